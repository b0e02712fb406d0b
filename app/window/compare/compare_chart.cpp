// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/compare_chart.h"

#include "app/format/compare_text.h"
#include "app/window/plot_theme.h"

#include <QEvent>
#include <QHelpEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QToolTip>

#include <algorithm>
#include <utility>

namespace potwatch::window {

CompareChart::CompareChart(CompareDesk& desk, QWidget* parent)
    : QWidget(parent)
    , desk_(desk) {
    setObjectName(QStringLiteral("compareChart"));
    setAccessibleName(tr("Traces of the runs, and the scatter of what was chosen; the arrow keys go through the runs"));
    setMouseTracking(true);
    setFocusPolicy(Qt::StrongFocus);
    setMinimumSize(fontMetrics().averageCharWidth() * 50, fontMetrics().height() * 18);
    connect(&desk_, &CompareDesk::comparedChanged, this, [this] {
        picture_ = QPixmap();
        update();
    });
    connect(&desk_, &CompareDesk::litChanged, this, qOverload<>(&QWidget::update));
}

void CompareChart::layOut() {
    if (!picture_.isNull()) {
        return;
    }
    shown_ = desk_.compared();
    const double ratio = devicePixelRatioF();
    picture_ = QPixmap((QSizeF(size()) * ratio).toSize());
    picture_.setDevicePixelRatio(ratio);
    picture_.fill(palette().color(QPalette::Base));
    map_ = {};
    if (!shown_ || shown_->fault) {
        return;
    }
    const auto scene = report::compareScene({.comparison = shown_->comparison, .runs = shown_->runs},
                                            plotTheme(palette()), QSizeF(size()), &map_);
    QPainter painter(&picture_);
    painter.setRenderHint(QPainter::Antialiasing);
    scene->render(&painter, QRectF(rect()), scene->sceneRect());
}

const report::CompareMap& CompareChart::map() {
    layOut();
    return map_;
}

void CompareChart::paintEvent(QPaintEvent*) {
    layOut();
    QPainter painter(this);
    painter.drawPixmap(0, 0, picture_);
    painter.setRenderHint(QPainter::Antialiasing);
    if (shown_ && !shown_->fault) {
        if (const std::optional<std::size_t> lit = shown_->indexOf(desk_.lit())) {
            report::drawLit(painter, {.comparison = shown_->comparison, .runs = shown_->runs}, map_,
                            plotTheme(palette()), *lit);
        }
    }
    if (hasFocus()) {
        painter.setPen(QPen(palette().color(QPalette::Highlight), 2.0));
        painter.setBrush(Qt::NoBrush);
        painter.drawRect(QRectF(rect()).adjusted(1.0, 1.0, -1.0, -1.0));
    }
}

void CompareChart::resizeEvent(QResizeEvent* event) {
    picture_ = QPixmap();
    QWidget::resizeEvent(event);
}

void CompareChart::changeEvent(QEvent* event) {
    if (event->type() == QEvent::PaletteChange || event->type() == QEvent::StyleChange) {
        picture_ = QPixmap();
        update();
    }
    QWidget::changeEvent(event);
}

QString CompareChart::tipAt(QPointF at) {
    layOut();
    const std::optional<std::size_t> run =
        shown_ && !shown_->fault ? report::runAt(map_, {.x = at.x(), .y = at.y()}) : std::nullopt;
    if (!run) {
        return {};
    }
    const session::Comparison& comparison = shown_->comparison;
    QStringList lines{QString::fromStdString(comparison.names[*run])};
    for (const compare::Figure* const figure : {comparison.x, comparison.y}) {
        const std::string value = format::figureText(figure->of(shown_->runs[*run]), *figure);
        if (!value.empty()) {
            lines +=
                tr("%1: %2").arg(QString::fromUtf8(figure->title.data(), static_cast<qsizetype>(figure->title.size())),
                                 QString::fromStdString(value));
        }
    }
    if (const session::ScatterPoint& point = comparison.scatter[*run]; !point.left_out.empty()) {
        lines += tr("Not in the trend: %1").arg(QString::fromStdString(point.left_out));
    } else if (point.point && point.point->at_least) {
        lines += tr("It boiled: without the boiling it would have become hotter still");
    }
    return lines.join(QLatin1Char('\n'));
}

void CompareChart::mouseMoveEvent(QMouseEvent* event) {
    layOut();
    if (shown_ && !shown_->fault) {
        const QPointF at = event->position();
        if (const std::optional<std::size_t> run = report::runAt(map_, {.x = at.x(), .y = at.y()})) {
            desk_.setLit(shown_->ids[*run]); // and it stays lit: its outcome is to be read beside
        }
    }
    QWidget::mouseMoveEvent(event);
}

void CompareChart::mousePressEvent(QMouseEvent* event) {
    setFocus(Qt::MouseFocusReason);
    if (tipAt(event->position()).isEmpty()) {
        desk_.setLit({});
    }
    QWidget::mousePressEvent(event);
}

void CompareChart::mouseDoubleClickEvent(QMouseEvent* event) {
    if (!tipAt(event->position()).isEmpty() && !desk_.lit().empty()) {
        Q_EMIT runWanted(desk_.lit());
    }
}

void CompareChart::step(int by) {
    layOut();
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t r = 0; r < map_.points.size(); ++r) {
        if (map_.points[r]) {
            order.emplace_back(map_.points[r]->x, r);
        }
    }
    std::sort(order.begin(), order.end());
    if (order.empty()) {
        return;
    }
    const std::optional<std::size_t> lit = shown_->indexOf(desk_.lit());
    const auto now =
        std::find_if(order.begin(), order.end(), [&](const auto& one) { return lit && one.second == *lit; });
    const auto last = static_cast<std::ptrdiff_t>(order.size()) - 1;
    const std::ptrdiff_t next =
        now == order.end() ? (by > 0 ? 0 : last) : std::clamp<std::ptrdiff_t>(now - order.begin() + by, 0, last);
    desk_.setLit(shown_->ids[order[static_cast<std::size_t>(next)].second]);
}

void CompareChart::keyPressEvent(QKeyEvent* event) {
    switch (event->key()) {
    case Qt::Key_Left:
    case Qt::Key_Up:
        step(-1);
        return;
    case Qt::Key_Right:
    case Qt::Key_Down:
        step(1);
        return;
    case Qt::Key_Escape:
        desk_.setLit({});
        return;
    case Qt::Key_Return:
    case Qt::Key_Enter:
        if (!desk_.lit().empty()) {
            Q_EMIT runWanted(desk_.lit());
        }
        return;
    default:
        QWidget::keyPressEvent(event);
    }
}

bool CompareChart::event(QEvent* event) {
    if (event->type() == QEvent::ToolTip) {
        const auto* const help = static_cast<QHelpEvent*>(event);
        const QString tip = tipAt(help->pos());
        if (tip.isEmpty()) {
            QToolTip::hideText();
        } else {
            QToolTip::showText(help->globalPos(), tip, this);
        }
        return true;
    }
    return QWidget::event(event);
}

} // namespace potwatch::window
