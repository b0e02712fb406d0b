// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/lit_panel.h"

#include "app/format/compare_text.h"
#include "app/session/book_list.h"

#include <QBuffer>
#include <QHBoxLayout>
#include <QIcon>
#include <QImageReader>
#include <QLabel>
#include <QToolButton>
#include <QVBoxLayout>

#include <algorithm>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr std::size_t most_photos = 3;
constexpr std::size_t most_kept = 400;
constexpr int photo_lines = 6; // their height

QString text(const std::string& utf8) {
    return QString::fromStdString(utf8);
}

} // namespace

LitPanel::LitPanel(CompareDesk& desk, QWidget* parent)
    : QWidget(parent)
    , desk_(desk)
    , title_(new QLabel(this))
    , words_(new QLabel(this))
    , photos_(new QWidget(this))
    , row_(new QHBoxLayout(photos_)) {
    setObjectName(u"litPanel"_s);
    const int gap = fontMetrics().averageCharWidth();
    auto* const column = new QVBoxLayout;
    column->setSpacing(gap / 3);
    QFont bold = font();
    bold.setBold(true);
    title_->setFont(bold);
    title_->setObjectName(u"litTitle"_s);
    title_->setTextFormat(Qt::PlainText);
    words_->setObjectName(u"litWords"_s);
    words_->setTextFormat(Qt::PlainText);
    words_->setWordWrap(true);
    words_->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    words_->setTextInteractionFlags(Qt::TextSelectableByMouse);
    column->addWidget(title_);
    column->addWidget(words_, 1);
    auto* const whole = new QHBoxLayout(this);
    whole->setContentsMargins(0, 0, 0, 0);
    whole->setSpacing(gap);
    whole->addLayout(column, 1);
    row_->setContentsMargins(0, 0, 0, 0);
    whole->addWidget(photos_, 0, Qt::AlignTop);
    setMinimumHeight((photo_lines + 1) * fontMetrics().height());
    connect(&desk_, &CompareDesk::litChanged, this, &LitPanel::refresh);
    connect(&desk_, &CompareDesk::runsChanged, this, &LitPanel::refresh);
    connect(&desk_, &CompareDesk::comparedChanged, this, &LitPanel::refresh);
    refresh();
}

void LitPanel::refresh() {
    for (QToolButton* const old : photos_->findChildren<QToolButton*>()) {
        old->hide();
        old->deleteLater();
    }
    const session::RunToCompare* const run = desk_.run(desk_.lit());
    if (run == nullptr || !run->run) {
        title_->setText(run == nullptr ? tr("No run is lit up") : tr("Not analysed"));
        words_->setText(run == nullptr ? tr("Point at a run in the picture, or go through the table.")
                                       : text(describe(run->why_not.value_or(Fault{}))));
        return;
    }
    title_->setText(text(run->run->name));
    QStringList lines;
    for (const compare::Figure& figure : compare::figures()) {
        const bool peak = figure.key == "peak_temperature_c";
        if ((figure.group != compare::FigureGroup::outcome && !peak) || figure.key == "foam_level") {
            continue;
        }
        if (const std::string value = format::figureText(figure.of(*run->run), figure); !value.empty()) {
            lines += tr("%1: %2").arg(
                QString::fromUtf8(figure.title.data(), static_cast<qsizetype>(figure.title.size())), text(value));
        }
    }
    if (session::outcomeText(run->run->batch.outcome).empty()) {
        lines += tr("No outcome stated: weigh the piece, look at it, and write it down on Analyse, Outcome.");
    }
    if (const auto& compared = desk_.compared(); compared && !compared->fault) {
        if (const auto at = compared->indexOf(run->id)) {
            if (const std::string& why = compared->comparison.scatter[*at].left_out; !why.empty()) {
                lines += tr("Not in the trend: %1").arg(text(why));
            }
            if (const compare::AlignedRun& aligned = compared->comparison.aligned[*at]; !aligned.offset_s) {
                lines += tr("Not among the traces: %1").arg(text(aligned.missing));
            }
        }
    }
    words_->setText(lines.join(u'\n'));
    const int height = photo_lines * fontMetrics().height();
    for (std::size_t i = 0; i < std::min(run->photos.size(), most_photos); ++i) {
        const QString name = text(run->photos[i]);
        const auto found = pictures_.find({run->id, name});
        auto* const button = new QToolButton(photos_);
        button->setObjectName(u"litPhoto"_s);
        button->setAutoRaise(true);
        button->setIconSize(QSize(height * 4 / 3, height));
        button->setAccessibleName(tr("Photo %1, to be looked at large").arg(name));
        button->setToolTip(name);
        if (found == pictures_.end()) {
            pictures_.emplace(std::pair(run->id, name), QPixmap());
            Q_EMIT photoNeeded(run->id, name);
        } else {
            button->setIcon(QIcon(found->second));
        }
        connect(button, &QToolButton::clicked, this, [this, id = run->id, name] { Q_EMIT photoWanted(id, name); });
        row_->addWidget(button);
        button->show();
    }
}

void LitPanel::setPhoto(const book::RunId& id, const QString& name, const QByteArray& bytes) {
    QByteArray copy = bytes;
    QBuffer buffer(&copy);
    buffer.open(QIODevice::ReadOnly);
    QImageReader reader(&buffer); // decoded no larger than it is shown: a camera's picture takes half a second
    reader.setAutoTransform(true);
    const int height = photo_lines * fontMetrics().height();
    const QSize most(2 * height * 4 / 3, 2 * height);
    if (const QSize size = reader.size(); size.isValid() && size.width() > most.width()) {
        reader.setScaledSize(size.scaled(most, Qt::KeepAspectRatio));
    }
    if (pictures_.size() > most_kept) {
        pictures_.clear();
    }
    pictures_[{id, name}] = QPixmap::fromImageReader(&reader);
    if (id == desk_.lit()) {
        refresh();
    }
}

void LitPanel::forget() {
    pictures_.clear();
}

} // namespace potwatch::window
