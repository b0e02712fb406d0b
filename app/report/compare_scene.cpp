// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/compare_scene.h"

#include "app/format/compare_text.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/report/axes_frame.h"

#include <QGraphicsItem>
#include <QPainterPath>
#include <QPen>
#include <QPolygonF>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

namespace potwatch::report {
namespace {

constexpr double left_margin = 66.0;
constexpr double right_margin = 24.0;
constexpr double top_margin = 34.0;
constexpr double axis_height = 56.0; // numbers and title of a lower axis
constexpr double between_panes = 40.0;
constexpr double mark = 4.0;            // half the size of a mark
constexpr std::size_t most_name = 16;   // characters of a name on the plot
constexpr std::size_t most_labels = 14; // beyond that names would cover the curves
constexpr double s_per_min = 60.0;

std::string shortName(const std::string& name) {
    return format::shortened(format::oneLine(name), most_name);
}

// A run is told by colour and by the form of its line, so that neither is needed alone.
QPen penOf(const Theme& theme, std::size_t run) {
    const std::array<QColor, 5> colours{theme.ink, theme.plateau, theme.rate, theme.heat_flow, theme.degree};
    const std::array<Qt::PenStyle, 4> styles{Qt::SolidLine, Qt::DashLine, Qt::DotLine, Qt::DashDotLine};
    return {colours[run % colours.size()], 1.6, styles[run % styles.size()]};
}

// Labels that do not lie on each other: tried beside their point, upwards first, and left out where all is taken.
class Labels {
public:
    Labels(AxesFrame& frame, QGraphicsScene& scene)
        : frame_(frame)
        , scene_(scene) {}

    void keepClear(const QRectF& place) { taken_.push_back(place); }

    void put(const std::string& words, QPointF at) {
        constexpr std::array<QPointF, 8> ways{QPointF(7.0, -4.0),  QPointF(7.0, -18.0),  QPointF(7.0, 10.0),
                                              QPointF(-7.0, -4.0), QPointF(-7.0, -18.0), QPointF(-7.0, 10.0),
                                              QPointF(7.0, -32.0), QPointF(7.0, 24.0)};
        for (const QPointF& way : ways) {
            const QRectF place = frame_.label(words, at + way, way.x() < 0.0 ? 1.0 : 0.0, 0.5);
            const bool free = frame_.box().contains(place) &&
                              std::none_of(taken_.begin(), taken_.end(),
                                           [&](const QRectF& other) { return other.intersects(place); });
            if (free) {
                taken_.push_back(place);
                return;
            }
            const auto items = scene_.items(Qt::DescendingOrder);
            delete items.front(); // what was just put there
        }
    }

private:
    AxesFrame& frame_;
    QGraphicsScene& scene_;
    std::vector<QRectF> taken_;
};

Range withRoom(Range range, double share) {
    const double more = range.width() > 0.0 ? share * range.width() : std::max(1.0, 0.05 * std::abs(range.low));
    return {range.low - more, range.high + more};
}

std::string momentOf(compare::Align align) {
    switch (align) {
    case compare::Align::start:
        return "time from the start, min";
    case compare::Align::dose:
        return "time from dose start, min";
    case compare::Align::onset:
        return "time from onset, min";
    case compare::Align::peak:
        return "time from the peak, min";
    }
    return "";
}

void drawOverlay(QGraphicsScene& scene, const Theme& theme, const ComparePicture& picture, QRectF box) {
    const session::Comparison& comparison = picture.comparison;
    Range times{HUGE_VAL, -HUGE_VAL};
    Range temperatures{HUGE_VAL, -HUGE_VAL};
    double last_s = -HUGE_VAL;
    std::vector<std::size_t> drawn;
    for (std::size_t i = 0; i < picture.runs.size(); ++i) {
        const compare::Curve& curve = picture.runs[i].curve;
        if (!comparison.aligned[i].offset_s || curve.time_s.empty()) {
            continue;
        }
        drawn.push_back(i);
        const double offset_s = *comparison.aligned[i].offset_s;
        const auto& peak = picture.runs[i].findings.landmarks.peak;
        times.low = std::min(times.low, curve.time_s.front() - offset_s);
        times.high = std::max(times.high, curve.time_s.back() - offset_s);
        last_s = std::max(last_s, (peak ? peak->time_s.value : curve.time_s.back()) - offset_s);
        for (const double value : curve.temperature_c) {
            temperatures.low = std::min(temperatures.low, value);
            temperatures.high = std::max(temperatures.high, value);
        }
    }
    if (drawn.empty()) {
        AxesFrame(scene, theme, box, {0.0, 1.0}, {0.0, 100.0})
            .draw("No run has that moment", momentOf(comparison.request.align), "temperature, °C");
        return;
    }
    // The cooling tells little: a stretch of it is enough.
    times.high = std::min(times.high, last_s + 0.6 * (last_s - times.low) + s_per_min);
    temperatures = withRoom(temperatures, 0.08);
    AxesFrame frame(scene, theme, box, {times.low / s_per_min, times.high / s_per_min}, temperatures);
    frame.draw("Temperature of the runs", momentOf(comparison.request.align), "temperature, °C");
    Labels labels(frame, scene);
    if (comparison.request.limit && comparison.y->unit == "°C") {
        const double y = frame.at(frame.across().low, *comparison.request.limit).y();
        if (y > box.top() && y < box.bottom()) {
            frame.line({box.left(), y}, {box.right(), y}, theme.ink, 1.0, Qt::DashLine);
            labels.keepClear(frame.label(fmt::format("limit {} °C", format::numberText(*comparison.request.limit)),
                                         {box.right() - 6.0, y - 3.0}, 1.0, 1.0));
        }
    }
    for (const std::size_t i : drawn) {
        const compare::Curve& curve = picture.runs[i].curve;
        const double offset_s = *comparison.aligned[i].offset_s;
        QPainterPath path;
        for (std::size_t k = 0; k < curve.time_s.size() && curve.time_s[k] - offset_s <= times.high; ++k) {
            const QPointF at = frame.at((curve.time_s[k] - offset_s) / s_per_min, curve.temperature_c[k]);
            k == 0 ? path.moveTo(at) : path.lineTo(at);
        }
        scene.addPath(path, penOf(theme, i));
    }
    for (const std::size_t i : drawn) {
        const compare::Curve& curve = picture.runs[i].curve;
        if (drawn.size() > most_labels && i % (drawn.size() / most_labels + 1) != 0) {
            continue;
        }
        const auto top = static_cast<std::size_t>(
            std::max_element(curve.temperature_c.begin(), curve.temperature_c.end()) - curve.temperature_c.begin());
        labels.put(
            shortName(comparison.names[i]),
            frame.at((curve.time_s[top] - *comparison.aligned[i].offset_s) / s_per_min, curve.temperature_c[top]));
    }
}

QPainterPath bandOf(const AxesFrame& frame, const std::vector<double>& x, const std::vector<double>& low,
                    const std::vector<double>& high) {
    QPolygonF polygon;
    const Range& y = frame.upright();
    // Points far off the page are brought to just beside it: a painter's numbers have an end.
    const auto held = [&](double value) { return std::clamp(value, y.low - y.width(), y.high + y.width()); };
    for (std::size_t i = 0; i < x.size(); ++i) {
        polygon << frame.at(x[i], held(low[i]));
    }
    for (std::size_t i = x.size(); i-- > 0;) {
        polygon << frame.at(x[i], held(high[i]));
    }
    QPainterPath band;
    band.addPolygon(polygon);
    band.closeSubpath();
    QPainterPath page;
    page.addRect(frame.box());
    return band.intersected(page);
}

void drawTrend(QGraphicsScene& scene, const Theme& theme, const session::Comparison& comparison, AxesFrame& frame) {
    const compare::TrendBands& bands = comparison.bands;
    const QRectF& box = frame.box();
    if (!bands.low.empty()) {
        for (const auto& [low, high] :
             {std::pair(&bands.run_low, &bands.run_high), std::pair(&bands.low, &bands.high)}) {
            QColor fill = theme.plateau;
            fill.setAlphaF(static_cast<float>(theme.band));
            scene.addPath(bandOf(frame, bands.x, *low, *high), QPen(Qt::NoPen), fill);
        }
    }
    // Cut at the frame: vector formats know no clipping of painted lines.
    QPainterPath line;
    for (std::size_t i = 1; i < bands.x.size(); ++i) {
        QPointF from = frame.at(bands.x[i - 1], bands.y[i - 1]);
        QPointF to = frame.at(bands.x[i], bands.y[i]);
        const auto cut = [&](QPointF& end, const QPointF& other) {
            const double y = std::clamp(end.y(), box.top(), box.bottom());
            if (y != end.y() && other.y() != end.y()) {
                end = other + (end - other) * ((y - other.y()) / (end.y() - other.y()));
            }
        };
        const auto beside = [&](double y) { return y < box.top() ? -1 : y > box.bottom() ? 1 : 0; };
        if (beside(from.y()) != 0 && beside(from.y()) == beside(to.y())) {
            continue;
        }
        cut(from, to);
        cut(to, from);
        line.moveTo(from);
        line.lineTo(to);
    }
    scene.addPath(line, QPen(theme.plateau, 2.0));
}

void drawPoints(QGraphicsScene& scene, const Theme& theme, const session::Comparison& comparison, AxesFrame& frame,
                Labels& labels) {
    const bool few = comparison.scatter.size() <= most_labels;
    for (const session::ScatterPoint& one : comparison.scatter) {
        if (!one.point) {
            continue;
        }
        const QPointF at = frame.at(one.point->x, one.point->y);
        QPainterPath path;
        if (one.point->at_least) {
            path.addPolygon(QPolygonF({at + QPointF(-mark, 0.0), at + QPointF(mark, 0.0),
                                       at + QPointF(0.0, -2.0 * mark), at + QPointF(-mark, 0.0)}));
            frame.line(at, at - QPointF(0.0, 4.0 * mark), theme.ink, 1.2);
        } else {
            const double half = coverage_factor_95 * one.point->u;
            frame.line(frame.at(one.point->x, one.point->y - half), frame.at(one.point->x, one.point->y + half),
                       theme.ink, 1.2);
            path.addEllipse(at, mark, mark);
        }
        scene.addPath(path, QPen(theme.ink, 1.2), one.counts() ? theme.ink : theme.ground);
        labels.keepClear(QRectF(at - QPointF(mark, mark), at + QPointF(mark, mark)));
        if (few) {
            labels.put(shortName(comparison.names[one.run]), at);
        }
    }
}

void drawScatter(QGraphicsScene& scene, const Theme& theme, const ComparePicture& picture, QRectF box) {
    const session::Comparison& comparison = picture.comparison;
    Range x{HUGE_VAL, -HUGE_VAL};
    Range y{HUGE_VAL, -HUGE_VAL};
    const auto hold = [](Range& range, double value) {
        range = {std::min(range.low, value), std::max(range.high, value)};
    };
    for (const session::ScatterPoint& one : comparison.scatter) {
        if (one.point) {
            hold(x, one.point->x);
            hold(y, one.point->y - coverage_factor_95 * one.point->u);
            hold(y, one.point->y + coverage_factor_95 * one.point->u);
        }
    }
    if (x.low > x.high) {
        AxesFrame(scene, theme, box, {0.0, 1.0}, {0.0, 1.0})
            .draw("No run has both figures", format::headingText(*comparison.x), format::headingText(*comparison.y));
        return;
    }
    for (const double value : comparison.bands.x) {
        hold(x, value);
    }
    if (comparison.request.limit) {
        hold(y, *comparison.request.limit);
    }
    const bool factors = compare::wantsFactors(x.low, x.high);
    const Range across = factors ? Range{x.low / 1.15, x.high * 1.15} : withRoom(x, 0.06);
    AxesFrame frame(scene, theme, box, across, withRoom(y, 0.16), factors);
    const std::string form = comparison.trend
                                 ? std::string(compare::nameOf(comparison.trend->form)) + " trend, 95 % "
                                                                                          "bands of the "
                                                                                          "trend and of one "
                                                                                          "more run"
                                 : std::string("no trend");
    frame.draw(fmt::format("{} against {}: {}", comparison.y->title, comparison.x->title, form),
               format::headingText(*comparison.x), format::headingText(*comparison.y));
    if (comparison.trend) {
        drawTrend(scene, theme, comparison, frame);
    }
    Labels labels(frame, scene);
    if (comparison.request.limit) {
        const double at = frame.at(across.low, *comparison.request.limit).y();
        frame.line({box.left(), at}, {box.right(), at}, theme.ink, 1.0, Qt::DashLine);
        const std::string limit = format::numberText(*comparison.request.limit) + " " + std::string(comparison.y->unit);
        labels.keepClear(frame.label("limit " + limit, {box.right() - 6.0, at + 3.0}, 1.0, 0.0));
        if (comparison.at_limit && comparison.at_limit->estimate) {
            const Estimate& estimate = *comparison.at_limit->estimate;
            const auto inside = [&](double value) { return std::clamp(value, across.low, across.high); };
            frame.line(frame.at(inside(estimate.low), comparison.at_limit->limit),
                       frame.at(inside(estimate.high), comparison.at_limit->limit), theme.rate, 4.0);
            if (estimate.value > across.low && estimate.value < across.high) {
                const double half = 0.5 * (estimate.high - estimate.low);
                labels.keepClear(frame.label(
                    fmt::format("{} {} ({} to {})", format::figureText(estimate.value, half), comparison.x->unit,
                                format::figureText(estimate.low, half), format::figureText(estimate.high, half)),
                    frame.at(estimate.value, comparison.at_limit->limit) + QPointF(0.0, 8.0), 0.0, 0.0));
            }
        }
    }
    drawPoints(scene, theme, comparison, frame, labels);
}

} // namespace

std::unique_ptr<QGraphicsScene> compareScene(const ComparePicture& picture, const Theme& theme, QSizeF size) {
    auto scene = std::make_unique<QGraphicsScene>();
    scene->setSceneRect(QRectF(QPointF(), size));
    scene->addRect(QRectF(QPointF(), size), QPen(Qt::NoPen), theme.ground);
    const double height = 0.5 * (size.height() - top_margin - 2.0 * axis_height - between_panes);
    const double width = size.width() - left_margin - right_margin;
    drawOverlay(*scene, theme, picture, {left_margin, top_margin, width, height});
    drawScatter(*scene, theme, picture,
                {left_margin, top_margin + height + axis_height + between_panes, width, height});
    return scene;
}

} // namespace potwatch::report
