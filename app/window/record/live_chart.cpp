// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/live_chart.h"

#include "app/format/number.h"
#include "app/report/axis.h"
#include "app/report/theme.h"
#include "app/window/look.h"

#include <QPainter>
#include <QPainterPath>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::window {
namespace {

constexpr double least_span_s = 120.0; // in view from the start
constexpr double trend_s = 60.0;
constexpr std::size_t most_slopes = 1000;
constexpr double least_slope_k_per_min = 0.5; // less is seen without a figure

QString text(const std::string& words) {
    return QString::fromStdString(words);
}

QString figure(double temperature_c) {
    return text(fmt::format("{:.0f} °C", temperature_c));
}

} // namespace

// The frame, and what it shows.
struct LiveChart::Plot {
    QRectF frame;
    report::Range time_s;
    report::Range value_c;
    report::Theme theme;

    [[nodiscard]] double x(double t) const { return frame.left() + frame.width() * (t - time_s.low) / time_s.width(); }
    [[nodiscard]] double y(double v) const {
        return frame.bottom() - frame.height() * (v - value_c.low) / value_c.width();
    }
};

LiveChart::LiveChart(QWidget* parent)
    : QWidget(parent) {
    setObjectName(QStringLiteral("liveChart"));
    setAccessibleName(tr("Temperature against time"));
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
}

QSize LiveChart::sizeHint() const {
    return {fontMetrics().height() * 40, fontMetrics().height() * 22};
}

QSize LiveChart::minimumSizeHint() const {
    return {fontMetrics().height() * 20, fontMetrics().height() * 10};
}

void LiveChart::begin(const std::vector<session::LiveChannel>& channels, std::size_t pot) {
    channels_ = channels;
    traces_.assign(channels.size(), {});
    pot_ = pot;
    last_s_ = 0.0;
    state_ = {};
    slopes_.clear();
    slope_step_s_ = 1.0;
    events_.clear();
    update();
}

void LiveChart::setPot(std::size_t pot) {
    if (std::exchange(pot_, pot) != pot) {
        slopes_.clear(); // they were another channel's
        update();
    }
}

void LiveChart::add(const std::vector<session::LiveScan>& scans) {
    for (const session::LiveScan& scan : scans) {
        for (std::size_t i = 0; i < std::min(traces_.size(), scan.values.size()); ++i) {
            if (channels_[i].is_temperature) {
                traces_[i].add(scan.time_s, scan.values[i]);
            }
        }
        last_s_ = std::max(last_s_, scan.time_s);
    }
    update();
}

void LiveChart::setState(const WatchState& state) {
    state_ = state;
    const bool is_new = slopes_.empty() || state.time_s >= slopes_.back().time_s + slope_step_s_;
    if (is_new && state.reading_c && state.rate_k_per_min) {
        slopes_.push_back(
            {.time_s = state.time_s, .reading_c = *state.reading_c, .rate_k_per_min = *state.rate_k_per_min});
    }
    if (slopes_.size() > most_slopes) {
        std::size_t kept = 0;
        for (std::size_t i = 0; i < slopes_.size(); i += 2) {
            slopes_[kept++] = slopes_[i];
        }
        slopes_.resize(kept);
        slope_step_s_ *= 2.0;
    }
    update();
}

void LiveChart::setEvents(const std::vector<Event>& events) {
    events_ = events;
    std::stable_sort(events_.begin(), events_.end(),
                     [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
    update();
}

LiveChart::Plot LiveChart::plot() const {
    const double line = fontMetrics().height();
    Plot plot{.frame = QRectF(rect()).adjusted(2.6 * line, line, -2.0 * line, -2.2 * line),
              .time_s = {0.0, std::max(least_span_s, 1.05 * last_s_ + trend_s)},
              .value_c = {15.0, state_.limit_c},
              .theme = isDark(palette()) ? report::darkTheme() : report::paperTheme()};
    const auto show = [&](double value) {
        plot.value_c.low = std::min(plot.value_c.low, value);
        plot.value_c.high = std::max(plot.value_c.high, value);
    };
    for (const LiveTrace& trace : traces_) {
        for (const LiveTrace::Stretch& stretch : trace.stretches()) {
            if (stretch.scans > 0) {
                show(stretch.low);
                show(stretch.high);
            }
        }
    }
    if (state_.boiling_c) {
        show(*state_.boiling_c);
    }
    const double room = 0.06 * plot.value_c.width();
    plot.value_c = {plot.value_c.low - room, plot.value_c.high + room};
    return plot;
}

void LiveChart::drawAxes(QPainter& painter, const Plot& plot) const {
    const double line = fontMetrics().height();
    painter.fillRect(plot.frame, plot.theme.ground);
    const QColor words = palette().color(QPalette::WindowText);
    const double step =
        report::roundStep(plot.value_c, std::max(2, static_cast<int>(plot.frame.height() / (2.5 * line))));
    for (const double value : report::ticks(plot.value_c, step)) {
        painter.setPen(plot.theme.grid);
        painter.drawLine(QPointF(plot.frame.left(), plot.y(value)), QPointF(plot.frame.right(), plot.y(value)));
        if (plot.y(value) < plot.frame.top() + 0.6 * line) {
            continue; // there stands the unit
        }
        painter.setPen(words);
        painter.drawText(QRectF(0.0, plot.y(value) - line, plot.frame.left() - 0.4 * line, 2.0 * line),
                         Qt::AlignRight | Qt::AlignVCenter,
                         text(fmt::format("{:.{}f}", value, report::decimalsOfStep(step))));
    }
    const report::TimeAxis axis =
        report::timeAxis(plot.time_s, std::max(2, static_cast<int>(plot.frame.width() / (5.0 * line))));
    for (const double time_s : report::ticks(plot.time_s, axis.step_s)) {
        painter.setPen(plot.theme.grid);
        painter.drawLine(QPointF(plot.x(time_s), plot.frame.top()), QPointF(plot.x(time_s), plot.frame.bottom()));
        painter.setPen(words);
        painter.drawText(QRectF(plot.x(time_s) - 3.0 * line, plot.frame.bottom() + 0.2 * line, 6.0 * line, line),
                         Qt::AlignCenter, text(fmt::format("{:g}", time_s / axis.unit_s)));
    }
    painter.drawText(QRectF(plot.frame.left(), plot.frame.bottom() + 1.1 * line, plot.frame.width(), line),
                     Qt::AlignCenter, tr("time, %1").arg(text(std::string(axis.unit))));
    painter.drawText(QRectF(0.0, 0.0, plot.frame.left() - 0.4 * line, line), Qt::AlignRight | Qt::AlignVCenter,
                     tr("°C"));
    painter.setPen(plot.theme.frame);
    painter.drawRect(plot.frame);
}

void LiveChart::drawLevels(QPainter& painter, const Plot& plot) const {
    const double line = fontMetrics().height();
    const auto draw = [&](double value, Qt::PenStyle style, const QString& words, double lift) {
        painter.setPen(QPen(plot.theme.ink, 1.4, style));
        painter.drawLine(QPointF(plot.frame.left(), plot.y(value)), QPointF(plot.frame.right(), plot.y(value)));
        painter.setPen(plot.theme.ink);
        painter.drawText(QPointF(plot.frame.left() + 0.4 * line, plot.y(value) + lift * line), words);
    };
    const bool is_boiling_above = state_.boiling_c && *state_.boiling_c >= state_.limit_c;
    draw(state_.limit_c, Qt::DashLine, tr("limit %1").arg(figure(state_.limit_c)), is_boiling_above ? 0.9 : -0.2);
    if (state_.boiling_c) {
        draw(*state_.boiling_c, Qt::DotLine, tr("boils %1").arg(figure(*state_.boiling_c)),
             is_boiling_above ? -0.2 : 0.9);
    }
}

void LiveChart::drawTraces(QPainter& painter, const Plot& plot) const {
    const double line = fontMetrics().height();
    struct Name {
        double x;
        double y;
        QString words;
    };
    std::vector<Name> names;
    for (std::size_t i = 0; i < traces_.size(); ++i) {
        QPainterPath path;
        bool is_on = false;
        QPointF last;
        for (const LiveTrace::Stretch& stretch : traces_[i].stretches()) {
            if (stretch.scans == 0) {
                is_on = false;
                continue;
            }
            const QPointF low(plot.x(stretch.from_s), plot.y(stretch.low));
            const QPointF high(plot.x(stretch.to_s), plot.y(stretch.high));
            is_on ? path.lineTo(low) : path.moveTo(low);
            path.lineTo(high);
            is_on = true;
            last = QPointF(high.x(), 0.5 * (low.y() + high.y()));
        }
        if (path.isEmpty()) {
            continue;
        }
        const bool is_pot = i == pot_;
        painter.setPen(QPen(is_pot ? plot.theme.ink : plot.theme.reading, is_pot ? 2.6 : 1.4));
        painter.drawPath(path);
        // Beside the pot's end stands its trend: its name goes to the other side of it.
        const double aside = is_pot ? (state_.rate_k_per_min.value_or(0.0) < 0.0 ? -0.8 : 0.8) * line : 0.0;
        names.push_back({last.x() + 0.4 * line, last.y() + aside, text(channels_[i].name)});
    }
    // Each name beside the end of its trace, pushed down where two would run into each other.
    std::sort(names.begin(), names.end(), [](const Name& a, const Name& b) { return a.y < b.y; });
    double free = 0.0;
    painter.setPen(palette().color(QPalette::WindowText));
    for (const Name& name : names) {
        const double y = std::max(name.y, free);
        const double x = std::min(name.x, width() - 0.3 * line - fontMetrics().horizontalAdvance(name.words));
        painter.drawText(QPointF(x, y + 0.35 * line), name.words);
        free = y + line;
    }
}

void LiveChart::drawSlopes(QPainter& painter, const Plot& plot) const {
    const double line = fontMetrics().height();
    double free = plot.frame.left() + 5.0 * line;
    for (const Slope& slope : slopes_) {
        const QPointF place(plot.x(slope.time_s), plot.y(slope.reading_c));
        if (place.x() < free || std::abs(slope.rate_k_per_min) < least_slope_k_per_min) {
            continue;
        }
        const bool falls = slope.rate_k_per_min < 0.0;
        if (falls && place.x() + 6.0 * line > plot.x(last_s_)) {
            break; // there stands the name
        }
        const QPointF ahead(plot.x(slope.time_s + 60.0) - place.x(),
                            plot.y(slope.reading_c + slope.rate_k_per_min) - place.y());
        const QPointF half = ahead * (0.9 * line / std::hypot(ahead.x(), ahead.y()));
        painter.setPen(QPen(plot.theme.rate, 3.0));
        painter.drawLine(place - half, place + half);
        painter.setPen(plot.theme.ink);
        painter.drawText(
            QRectF(falls ? place.x() + 0.5 * line : place.x() - 8.5 * line, place.y() - 1.4 * line, 8.0 * line, line),
            (falls ? Qt::AlignLeft : Qt::AlignRight) | Qt::AlignVCenter,
            tr("%1 K/min").arg(text(format::numberText(slope.rate_k_per_min, 2))));
        free = place.x() + 7.0 * line;
    }
}

void LiveChart::drawTrend(QPainter& painter, const Plot& plot) const {
    if (state_.temperature_c && state_.rate_k_per_min) {
        painter.setPen(QPen(plot.theme.rate, 2.0, Qt::DashLine));
        painter.drawLine(QPointF(plot.x(state_.time_s), plot.y(*state_.temperature_c)),
                         QPointF(plot.x(state_.time_s + trend_s),
                                 plot.y(*state_.temperature_c + *state_.rate_k_per_min * trend_s / 60.0)));
    }
}

void LiveChart::drawEvents(QPainter& painter, const Plot& plot) const {
    const double line = fontMetrics().height();
    double free = plot.frame.left();
    for (const Event& event : events_) {
        const double x = plot.x(event.time_s);
        painter.setPen(QPen(plot.theme.ink, 1.6));
        painter.drawLine(QPointF(x, plot.frame.bottom() - 0.7 * line), QPointF(x, plot.frame.bottom()));
        const QString words = text(event.kind);
        const double width = fontMetrics().horizontalAdvance(words);
        if (x >= free && x + width < plot.frame.right()) { // else its mark alone: its words are in the log
            painter.drawText(QPointF(x + 0.2 * line, plot.frame.bottom() - 0.3 * line), words);
            free = x + width + 0.6 * line;
        }
    }
}

void LiveChart::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const Plot shown = plot();
    drawAxes(painter, shown);
    painter.save();
    painter.setClipRect(shown.frame);
    drawLevels(painter, shown);
    drawEvents(painter, shown);
    drawTrend(painter, shown);
    painter.restore();
    drawTraces(painter, shown);
    drawSlopes(painter, shown);
}

} // namespace potwatch::window
