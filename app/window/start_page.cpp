// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/start_page.h"

#include "app/window/look.h"

#include <QEvent>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QLabel* words(const QString& name, QWidget* parent) {
    auto* const label = new QLabel(parent);
    label->setObjectName(name);
    label->setWordWrap(true);
    label->setTextFormat(Qt::PlainText);
    return label;
}

} // namespace

StartPage::StartPage(QWidget* parent)
    : QWidget(parent)
    , title_(words(u"startTitle"_s, this))
    , text_(words(u"startText"_s, this))
    , import_(new QPushButton(tr("&Import a CSV..."), this))
    , demo_(new QPushButton(tr("&Try the demo"), this))
    , open_(new QPushButton(tr("Open a &book..."), this))
    , hint_(words(u"startHint"_s, this)) {
    setObjectName(u"startPage"_s);
    import_->setObjectName(u"startImport"_s);
    demo_->setObjectName(u"startDemo"_s);
    open_->setObjectName(u"startOpen"_s);
    import_->setDefault(true);
    for (QPushButton* const button : {import_, demo_, open_}) {
        button->setAccessibleName(button->text().remove(u'&'));
        const int line = button->fontMetrics().height();
        button->setMinimumHeight(line * 2);
        button->setMinimumWidth(line * 9);
    }
    QFont large = font();
    large.setPointSizeF(large.pointSizeF() * 1.7);
    title_->setFont(large);
    const int line = fontMetrics().height();
    auto* const column = new QVBoxLayout;
    column->setSpacing(line);
    column->addWidget(title_);
    column->addWidget(text_);
    auto* const buttons = new QHBoxLayout;
    buttons->setSpacing(line * 2 / 3);
    buttons->addWidget(import_);
    buttons->addWidget(demo_);
    buttons->addWidget(open_);
    buttons->addStretch(1);
    column->addLayout(buttons);
    column->addWidget(hint_);
    auto* const block = new QWidget(this);
    block->setLayout(column);
    block->setMaximumWidth(line * 38);
    auto* const row = new QHBoxLayout;
    row->addStretch(1);
    row->addWidget(block, 4);
    row->addStretch(1);
    auto* const page = new QVBoxLayout(this);
    page->addStretch(2);
    page->addLayout(row);
    page->addStretch(3);
    connect(import_, &QPushButton::clicked, this, &StartPage::importWanted);
    connect(demo_, &QPushButton::clicked, this, &StartPage::demoWanted);
    connect(open_, &QPushButton::clicked, this, &StartPage::openWanted);
    setState(State::noBook);
}

void StartPage::setState(State state) {
    const bool first = state == State::noBook || state == State::emptyBook;
    import_->setVisible(state != State::reading);
    demo_->setVisible(first);
    open_->setVisible(first);
    hint_->setVisible(state != State::reading);
    hint_->setText(tr("Or drop files anywhere on this window: tables from a logger or a spreadsheet, batch files, "
                      "batch books."));
    switch (state) {
    case State::noBook:
    case State::emptyBook:
        title_->setText(tr("Start with a run"));
        text_->setText(
            tr("Give Potwatch the temperatures that your logger wrote while a pot cured. It finds the onset, "
               "the peak, whether it boiled, and with a few weights also the heat and the degree of cure; "
               "each with the interval that it can be trusted to. Runs are kept in a batch book, one file "
               "of yours.\n\nThe demo is a book of seven castings and a blank, with invented data."));
        break;
    case State::noneSelected:
        title_->setText(tr("No run is selected"));
        text_->setText(tr("Choose a run in the batch book at the left, or import another one."));
        break;
    case State::reading:
        title_->setText(tr("Opening the book"));
        text_->setText(QString());
        break;
    }
}

void StartPage::focusFirst() {
    import_->setFocus();
}

} // namespace potwatch::window
