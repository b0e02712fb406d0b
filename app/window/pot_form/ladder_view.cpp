// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/ladder_view.h"

#include <QHBoxLayout>
#include <QVBoxLayout>

#include <algorithm>

namespace potwatch::window {
namespace {

QString linked(const std::string& words, const std::string& place) {
    const QString text = QString::fromStdString(words).toHtmlEscaped();
    return place.empty()
               ? text
               : QStringLiteral("<a href=\"%1\">%2</a>").arg(QString::fromStdString(place).toHtmlEscaped(), text);
}

} // namespace

LadderView::LadderView(QWidget* parent)
    : QWidget(parent)
    , next_(new QLabel(this))
    , steps_(new QLabel(this))
    , more_(new QToolButton(this)) {
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    auto* const row = new QHBoxLayout;
    row->addWidget(next_, 1);
    row->addWidget(more_, 0, Qt::AlignTop);
    column->addLayout(row);
    column->addWidget(steps_);
    next_->setObjectName(QStringLiteral("next step"));
    steps_->setObjectName(QStringLiteral("ladder"));
    more_->setObjectName(QStringLiteral("ladder open"));
    more_->setAccessibleName(tr("What each step of knowledge buys"));
    more_->setToolTip(tr("What each step of knowledge buys"));
    more_->setAutoRaise(true);
    more_->setCheckable(true);
    more_->setArrowType(Qt::RightArrow);
    for (QLabel* const label : {next_, steps_}) {
        label->setWordWrap(true);
        label->setTextFormat(Qt::RichText);
        label->setTextInteractionFlags(Qt::LinksAccessibleByMouse | Qt::LinksAccessibleByKeyboard);
        connect(label, &QLabel::linkActivated, this, &LadderView::fieldWanted);
    }
    connect(more_, &QToolButton::toggled, this, &LadderView::open);
    open(false);
}

void LadderView::open(bool opened) {
    more_->setArrowType(opened ? Qt::DownArrow : Qt::RightArrow);
    steps_->setVisible(opened);
}

void LadderView::setRungs(const std::vector<session::Rung>& rungs) {
    const auto next = std::find_if(rungs.begin(), rungs.end(), [](const session::Rung& rung) { return !rung.reached; });
    if (rungs.empty()) {
        next_->clear();
    } else if (next == rungs.end()) {
        next_->setText(tr("All that this run has a use for is stated."));
    } else {
        next_->setText(
            tr("With %1 you also get %2.")
                .arg(linked(next->knowledge, next->field), QString::fromStdString(next->buys).toHtmlEscaped()));
    }
    QString steps;
    for (const session::Rung& rung : rungs) {
        steps += QStringLiteral("<p style=\"margin:2px 0\">%1 %2: %3</p>")
                     .arg(rung.reached ? QStringLiteral("\u2713") : QStringLiteral("\u2013"),
                          linked(rung.knowledge, rung.reached ? std::string() : rung.field),
                          QString::fromStdString(rung.buys).toHtmlEscaped());
    }
    steps_->setText(steps);
    more_->setVisible(!rungs.empty());
}

} // namespace potwatch::window
