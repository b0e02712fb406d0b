// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/warning_band.h"

#include "app/window/record/big_words.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr double advice_size = 2.0; // of the text size
constexpr double sentence_size = 1.5;

QLabel* line(const QString& name, double times, QWidget* parent) {
    auto* const label = new QLabel(parent);
    label->setObjectName(name);
    label->setTextFormat(Qt::PlainText);
    label->setWordWrap(true);
    QFont font = parent->font();
    if (font.pointSizeF() > 0.0) {
        font.setPointSizeF(times * font.pointSizeF());
    }
    label->setFont(font);
    return label;
}

} // namespace

WarningBand::WarningBand(QWidget* parent)
    : QFrame(parent) {
    setObjectName(u"warningBand"_s);
    setAutoFillBackground(true);
    QPalette colours = palette(); // Okabe-Ito orange with black on it: 9:1
    colours.setColor(QPalette::Window, QColor(230, 159, 0));
    colours.setColor(QPalette::WindowText, Qt::black);
    setPalette(colours);
    auto* const row = new QHBoxLayout(this);
    auto* const words = new QVBoxLayout;
    what_ = new BigWords(BigWords::Height::words, this);
    what_->setObjectName(u"warningWords"_s);
    advice_ = line(u"warningAdvice"_s, advice_size, this);
    sentence_ = line(u"warningSentence"_s, sentence_size, this);
    words->addWidget(what_);
    words->addWidget(advice_);
    words->addWidget(sentence_);
    row->addLayout(words, 1);
    seen_ = new QPushButton(tr("I have seen it (A)"), this);
    seen_->setObjectName(u"warningSeen"_s);
    seen_->setFont(advice_->font());
    seen_->setMinimumSize(seen_->sizeHint() + QSize(2, 1) * fontMetrics().height());
    seen_->setFocusPolicy(Qt::NoFocus); // its key is a letter, and Space is soon pressed by chance
    connect(seen_, &QPushButton::clicked, this, &WarningBand::seen);
    row->addWidget(seen_);
}

void WarningBand::say(const QString& what, const QString& advice, const QString& sentence) {
    what_->say(what);
    advice_->setText(advice);
    advice_->setVisible(!advice.isEmpty());
    sentence_->setText(sentence);
}

void WarningBand::setSeen(bool seen) {
    seen_->setVisible(!seen);
}

} // namespace potwatch::window
