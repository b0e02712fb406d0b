// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/compare_overlay.h"

#include "app/format/text.h"
#include "app/report/axes_frame.h"
#include "app/report/drawing.h"

#include <QFontMetricsF>
#include <QGraphicsItem>
#include <QPainter>
#include <QPainterPath>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <utility>

namespace potwatch::report {
namespace {

constexpr double line_width = 1.7;
constexpr double text_height = 12.0;
constexpr double leader = 22.0; // from the end of a trace to its name
constexpr double label_height = 15.0;

// All traces as one item: an item of Qt's own a trace would stroke each once more to know how large it is.
class CurvesItem : public QGraphicsItem {
public:
    explicit CurvesItem(const QRectF& box)
        : box_(box) {}

    void add(QPainterPath path, const QPen& pen) { curves_.emplace_back(std::move(path), pen); }
    [[nodiscard]] QRectF boundingRect() const override { return box_; }
    void paint(QPainter* painter, const QStyleOptionGraphicsItem*, QWidget*) override {
        painter->setBrush(Qt::NoBrush);
        for (const auto& [path, pen] : curves_) {
            painter->setPen(pen);
            painter->drawPath(path);
        }
    }

private:
    QRectF box_;
    std::vector<std::pair<QPainterPath, QPen>> curves_;
};

// What is worth seeing of the runs: from a while before they stir until they have cooled a good way.
Range shownTimes(const ComparePicture& picture) {
    constexpr double before = 0.5; // of the time from the first stir to the peak
    constexpr double after = 1.2;
    Range shown{std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
    for (std::size_t r = 0; r < picture.runs.size(); ++r) {
        const compare::ComparedRun& run = picture.runs[r];
        const std::optional<double>& offset_s = picture.comparison.aligned[r].offset_s;
        if (!offset_s || run.curve.time_s.empty()) {
            continue;
        }
        double from = run.curve.time_s.front();
        double to = run.curve.time_s.back();
        const Landmarks& found = run.findings.landmarks;
        if (found.peak) {
            const double peak = found.peak->time_s.value;
            const double stir = found.first_deviation ? found.first_deviation->time_s.value
                                : found.onset         ? found.onset->time_s.value
                                                      : from;
            from = std::max(from, std::min(stir, *offset_s) - before * (peak - stir));
            to = std::min(to, peak + after * (peak - stir));
        }
        shown.low = std::min(shown.low, from - *offset_s);
        shown.high = std::max(shown.high, to - *offset_s);
    }
    if (!(shown.low < shown.high)) {
        return {0.0, 60.0};
    }
    return shown;
}

// The lowest and the highest temperature of a run in view.
void widen(Range& range, const compare::ComparedRun& run, double offset_s, const Range& shown_s) {
    for (std::size_t i = 0; i < run.curve.time_s.size(); ++i) {
        const double time_s = run.curve.time_s[i] - offset_s;
        if (time_s >= shown_s.low && time_s <= shown_s.high) {
            range.low = std::min(range.low, run.curve.temperature_c[i]);
            range.high = std::max(range.high, run.curve.temperature_c[i]);
        }
    }
}

std::string momentOf(compare::Align align) {
    switch (align) {
    case compare::Align::start:
        return "the start";
    case compare::Align::dose:
        return "dose start";
    case compare::Align::onset:
        return "onset";
    case compare::Align::peak:
        return "the peak";
    }
    return "";
}

// Puts names where they cover neither each other nor, if that can be had, a trace.
class Names {
public:
    Names(AxesFrame& frame, const std::vector<std::vector<Polyline>>& curves)
        : frame_(frame)
        , curves_(curves)
        , metrics_(drawingFont(text_height)) {}

    void keepClear(const QRectF& place) { taken_.push_back(place); }

    // At the peak of a trace: false where there is no room for it.
    [[nodiscard]] bool put(const std::string& words, const Point& peak) {
        const double width = metrics_.horizontalAdvance(QString::fromStdString(words));
        const double height = metrics_.height();
        const std::array<QPointF, 5> ways{QPointF(-0.5 * width, -height - 3.0), QPointF(5.0, -height - 1.0),
                                          QPointF(7.0, -0.5 * height), QPointF(-width - 5.0, -height - 1.0),
                                          QPointF(-width - 7.0, -0.5 * height)};
        std::optional<QRectF> best;
        std::size_t least = std::numeric_limits<std::size_t>::max();
        for (const QPointF& way : ways) {
            const QRectF place(QPointF(peak.x, peak.y) + way, QSizeF(width, height));
            const bool free = frame_.box().contains(place) &&
                              std::none_of(taken_.begin(), taken_.end(),
                                           [&](const QRectF& other) { return other.intersects(place); });
            const std::size_t crossed = free ? crossings(place) : least;
            if (crossed < least) {
                least = crossed;
                best = place;
            }
        }
        constexpr std::size_t most_crossed = 1;
        if (!best || least > most_crossed) {
            return false;
        }
        taken_.push_back(frame_.label(words, best->topLeft(), 0.0, 0.0));
        return true;
    }

private:
    [[nodiscard]] std::size_t crossings(const QRectF& place) const {
        const Box box{.left = place.left(), .top = place.top() + 2.0, .right = place.right(), .bottom = place.bottom()};
        return static_cast<std::size_t>(std::count_if(curves_.begin(), curves_.end(), [&](const auto& parts) {
            return std::any_of(parts.begin(), parts.end(),
                               [&](const Polyline& part) { return !clipped(part, box).empty(); });
        }));
    }

    AxesFrame& frame_;
    const std::vector<std::vector<Polyline>>& curves_;
    QFontMetricsF metrics_;
    std::vector<QRectF> taken_;
};

} // namespace

QPen runPen(const Theme& theme, std::size_t run) {
    const std::array<QColor, 5> colours{theme.ink, theme.plateau, theme.rate, theme.heat_flow, theme.degree};
    const std::array<QList<qreal>, 3> dashes{QList<qreal>{}, {6.0, 2.5}, {7.0, 2.5, 1.5, 2.5}};
    QPen pen(colours[run % colours.size()], line_width, Qt::SolidLine, Qt::FlatCap, Qt::RoundJoin);
    if (const QList<qreal>& dash = dashes[run % dashes.size()]; !dash.isEmpty()) {
        pen.setDashPattern(dash);
    }
    return pen;
}

std::string shortName(const session::Comparison& comparison, std::size_t run) {
    constexpr std::size_t most_letters = 15;
    return format::shortened(format::oneLine(comparison.names[run]), most_letters);
}

std::vector<double> spreadLabels(std::span<const double> wanted, double height, double top, double bottom) {
    std::vector<std::size_t> order(wanted.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return wanted[a] < wanted[b]; });
    // Labels that touch stand as one block around the mean of what they want.
    struct Block {
        double centre_sum = 0.0; // of where the first of the block would stand
        std::size_t count = 0;
        [[nodiscard]] double first() const { return centre_sum / static_cast<double>(count); }
    };
    std::vector<Block> blocks;
    const auto size = [&](const Block& block) { return height * static_cast<double>(block.count); };
    for (const std::size_t i : order) {
        blocks.push_back({.centre_sum = wanted[i], .count = 1});
        while (blocks.size() > 1) {
            Block& before = blocks[blocks.size() - 2];
            const Block& last = blocks.back();
            if (before.first() + size(before) <= last.first()) {
                break;
            }
            before.centre_sum += last.centre_sum - size(before) * static_cast<double>(last.count);
            before.count += last.count;
            blocks.pop_back();
        }
    }
    std::vector<double> placed(wanted.size());
    std::size_t at = 0;
    double free_from = top + 0.5 * height;
    double below = height * static_cast<double>(wanted.size());
    for (const Block& block : blocks) {
        double y = std::clamp(block.first(), free_from, std::max(free_from, bottom + 0.5 * height - below));
        below -= size(block);
        for (std::size_t i = 0; i < block.count; ++i, y += height) {
            placed[order[at++]] = y;
        }
        free_from = y;
    }
    return placed;
}

void drawOverlay(QGraphicsScene& scene, const ComparePicture& picture, const Theme& theme, const QRectF& box,
                 CompareMap& map) {
    const session::Comparison& comparison = picture.comparison;
    const bool named = picture.runs.size() <= most_named_runs;
    const Range shown_s = shownTimes(picture);
    Range upright{std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
    for (std::size_t r = 0; r < picture.runs.size(); ++r) {
        if (const auto& offset_s = comparison.aligned[r].offset_s) {
            widen(upright, picture.runs[r], *offset_s, shown_s);
        }
    }
    const bool has_limit =
        comparison.request.limit && comparison.y != nullptr && comparison.y->key == "peak_temperature_c";
    if (has_limit) {
        upright.high = std::max(upright.high, *comparison.request.limit);
    }
    upright = upright.low < upright.high ? upright : Range{0.0, 100.0};
    upright = {upright.low - 0.05 * upright.width(), upright.high + 0.14 * upright.width()}; // names stand over peaks
    const TimeAxis time = timeAxis(shown_s, std::max(2, static_cast<int>(box.width() / 55.0)));
    AxesFrame frame(scene, theme, box, {shown_s.low / time.unit_s, shown_s.high / time.unit_s}, upright);
    const bool any = std::any_of(comparison.aligned.begin(), comparison.aligned.end(),
                                 [](const compare::AlignedRun& run) { return run.offset_s.has_value(); });
    frame.draw(any ? "Temperature of the runs" : "No run has that moment",
               fmt::format("time from {}, {}", momentOf(comparison.request.align), time.unit), "temperature [°C]");
    if (shown_s.low < 0.0 && shown_s.high > 0.0) {
        frame.line(frame.at(0.0, upright.low), frame.at(0.0, upright.high), theme.frame, 1.0);
    }
    const Box edge{.left = box.left(), .top = box.top(), .right = box.right(), .bottom = box.bottom()};
    auto* const curves = new CurvesItem(box); // the scene's
    scene.addItem(curves);
    std::vector<std::size_t> drawn;
    std::vector<double> ends;
    std::vector<QPointF> end_points;
    for (std::size_t r = 0; r < picture.runs.size(); ++r) {
        const auto& offset_s = comparison.aligned[r].offset_s;
        if (!offset_s) {
            continue;
        }
        Polyline line;
        const compare::Curve& curve = picture.runs[r].curve;
        for (std::size_t i = 0; i < curve.time_s.size(); ++i) {
            const QPointF at = frame.at((curve.time_s[i] - *offset_s) / time.unit_s, curve.temperature_c[i]);
            line.push_back({at.x(), at.y()});
        }
        map.curves[r] = clipped(simplified(line, 0.2), edge);
        if (map.curves[r].empty()) {
            continue;
        }
        QPen pen = runPen(theme, r);
        if (!named) {
            pen = QPen(theme.reading, 1.0); // many wide ones would be one blot, and slow
        }
        curves->add(pathOf(map.curves[r]), pen);
        drawn.push_back(r);
        end_points.emplace_back(map.curves[r].back().back().x, map.curves[r].back().back().y);
        ends.push_back(end_points.back().y());
    }
    Names names(frame, map.curves);
    if (has_limit) {
        const double limit = *comparison.request.limit;
        const double y = frame.at(0.0, limit).y();
        frame.line({box.left(), y}, {box.right(), y}, theme.rate, 1.2, Qt::DashLine);
        names.keepClear(frame.label(fmt::format("limit {:g} °C", limit), {box.right() - 6.0, y - 1.0}, 1.0, 1.0));
    }
    if (!named) {
        return;
    }
    // A name at the end of its trace, where it is apart from the other ends; else at its peak. Peaks that have no room
    // for it share the margin with the ends.
    std::vector<std::size_t> in_margin;
    std::vector<double> wanted;
    for (std::size_t i = 0; i < drawn.size(); ++i) {
        const bool apart = std::none_of(ends.begin(), ends.end(), [&](const double& other) {
            return &other != &ends[i] && std::abs(other - ends[i]) < label_height;
        });
        if (apart || !names.put(shortName(comparison, drawn[i]), highestOf(map.curves[drawn[i]]))) {
            in_margin.push_back(i);
            wanted.push_back(ends[i]);
        }
    }
    const std::vector<double> places = spreadLabels(wanted, label_height, box.top() - 4.0, box.bottom() + 20.0);
    for (std::size_t k = 0; k < in_margin.size(); ++k) {
        const std::size_t i = in_margin[k];
        QPen pen = runPen(theme, drawn[i]);
        pen.setWidthF(1.0);
        if (end_points[i].x() < box.right() - 1.0) {
            pen = QPen(theme.frame, 0.7, Qt::DotLine); // the record ends before the picture does
        }
        const double x = box.right() + leader;
        scene.addLine(QLineF(end_points[i], QPointF(x - 4.0, places[k])), pen);
        frame.label(shortName(comparison, drawn[i]), {x, places[k]}, 0.0, 0.5);
    }
}

Point highestOf(const std::vector<Polyline>& parts) {
    Point highest{.x = 0.0, .y = std::numeric_limits<double>::infinity()};
    for (const Polyline& part : parts) {
        for (const Point& point : part) {
            highest = point.y < highest.y ? point : highest;
        }
    }
    return highest;
}

QPainterPath pathOf(const std::vector<Polyline>& parts) {
    QPainterPath path;
    for (const Polyline& part : parts) {
        for (std::size_t i = 0; i < part.size(); ++i) {
            if (i == 0) {
                path.moveTo(part[i].x, part[i].y);
            } else {
                path.lineTo(part[i].x, part[i].y);
            }
        }
    }
    return path;
}

} // namespace potwatch::report
