// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/heat_bar.h"

#include "app/format/watch_text.h"
#include "app/report/theme.h"
#include "app/window/look.h"

#include <QPainter>
#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <optional>

namespace potwatch::window {
namespace {

QString figure(double temperature_c) {
    return QString::fromStdString(fmt::format("{:.0f} °C", temperature_c));
}

} // namespace

HeatBar::HeatBar(QWidget* parent)
    : QWidget(parent) {
    setObjectName(QStringLiteral("heatBar"));
    setAccessibleName(tr("Temperature of the pot between start, limit and boiling point"));
    setSizePolicy(QSizePolicy::Fixed, QSizePolicy::Expanding);
}

QSize HeatBar::sizeHint() const {
    return {fontMetrics().horizontalAdvance(QStringLiteral("could reach 000 to 000 °C")) + 5 * fontMetrics().height(),
            fontMetrics().height() * 20};
}

QSize HeatBar::minimumSizeHint() const {
    return {sizeHint().width(), fontMetrics().height() * 10};
}

void HeatBar::clear() {
    state_ = {};
    update();
}

void HeatBar::setState(const WatchState& state) {
    state_ = state;
    update();
}

std::vector<HeatBar::Mark> HeatBar::sortedMarks() const {
    std::vector<Mark> marks{{state_.limit_c, tr("limit %1").arg(figure(state_.limit_c))}};
    if (state_.boiling_c) {
        marks.push_back({*state_.boiling_c, tr("boils %1").arg(figure(*state_.boiling_c))});
    }
    if (const std::optional<double> top_c = state_.mtsr_high_c ? state_.mtsr_high_c : state_.mtsr_c) {
        marks.push_back({*top_c, tr("could reach %1").arg(QString::fromStdString(format::couldReachText(state_)))});
    }
    if (state_.start_c) {
        marks.push_back({*state_.start_c, tr("start %1").arg(figure(*state_.start_c))});
    }
    std::stable_sort(marks.begin(), marks.end(),
                     [](const Mark& a, const Mark& b) { return a.temperature_c > b.temperature_c; });
    return marks;
}

QStringList HeatBar::marks() const {
    QStringList words;
    for (const Mark& mark : sortedMarks()) {
        words += mark.words;
    }
    return words;
}

void HeatBar::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const report::Theme theme = isDark(palette()) ? report::darkTheme() : report::paperTheme();
    const double line = fontMetrics().height();
    const std::vector<Mark> marks = sortedMarks();
    double low_c = std::min(state_.start_c.value_or(20.0), marks.back().temperature_c);
    double high_c = marks.front().temperature_c;
    if (state_.temperature_c) {
        low_c = std::min(low_c, *state_.temperature_c);
        high_c = std::max(high_c, *state_.temperature_c);
    }
    low_c -= 5.0;
    high_c += 8.0;
    const QRectF bar(0.5 * line, line, 3.0 * line, height() - 2.0 * line);
    const auto yOf = [&](double temperature_c) {
        return bar.bottom() - bar.height() * (temperature_c - low_c) / (high_c - low_c);
    };
    painter.setPen(Qt::NoPen);
    painter.setBrush(theme.ground);
    painter.drawRect(bar);
    if (state_.temperature_c) {
        painter.setBrush(mixed(theme.ground, theme.ink, 0.45));
        painter.drawRect(QRectF(QPointF(bar.left(), yOf(*state_.temperature_c)), bar.bottomRight()));
    }
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(theme.frame, 1.2));
    painter.drawRect(bar);
    // The words stand beside their lines, pushed apart where they would run into each other.
    std::vector<double> middles;
    for (const Mark& mark : marks) {
        const double y = yOf(mark.temperature_c);
        middles.push_back(middles.empty() ? y : std::max(y, middles.back() + 1.1 * line));
    }
    double lowest = height() - 0.6 * line;
    for (std::size_t i = marks.size(); i-- > 0;) {
        middles[i] = std::min(middles[i], lowest);
        lowest = middles[i] - 1.1 * line;
    }
    for (std::size_t i = 0; i < marks.size(); ++i) {
        const double y = yOf(marks[i].temperature_c);
        painter.setPen(QPen(theme.ink, 2.0));
        painter.drawLine(QPointF(bar.left(), y), QPointF(bar.right() + 0.4 * line, y));
        painter.setPen(QPen(theme.frame, 1.0));
        painter.drawLine(QPointF(bar.right() + 0.4 * line, y), QPointF(bar.right() + line, middles[i]));
        painter.setPen(palette().color(QPalette::WindowText));
        painter.drawText(QRectF(bar.right() + 1.2 * line, middles[i] - line, width(), 2.0 * line),
                         Qt::AlignLeft | Qt::AlignVCenter, marks[i].words);
    }
}

} // namespace potwatch::window
