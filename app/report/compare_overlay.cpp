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

struct Name {
    std::size_t run = 0; // of those drawn
    std::string words;
    QPointF peak;
};

// Puts names where they cover neither each other nor a trace, and where it is plain whose they are: over its peak; in a
// row over all peaks, with a line to each; or, where the peaks stand above each other, in the open to their left.
class Names {
public:
    Names(AxesFrame& frame, const Theme& theme, const std::vector<std::vector<Polyline>>& curves)
        : frame_(frame)
        , theme_(theme)
        , curves_(curves)
        , metrics_(drawingFont(text_height)) {}

    void keepClear(const QRectF& place) { taken_.push_back(place); }

    // What has no room over its own peak, below the row.
    [[nodiscard]] std::vector<Name> overPeaks(std::vector<Name> names) {
        std::erase_if(names, [&](const Name& name) {
            const QSizeF size = sizeOf(name);
            const QRectF place(name.peak - QPointF(0.5 * size.width(), size.height() + 3.0), size);
            return place.top() > rowBottom() + gap && put(name, place);
        });
        return names;
    }

    // In a row, each as near to over its peak as can be; false where there is no room, or it would be a fan of lines.
    [[nodiscard]] bool inRow(const std::vector<Name>& names) {
        double step = 0.0;
        std::vector<double> wanted;
        for (const Name& name : names) {
            step = std::max(step, sizeOf(name).width() + gap);
            wanted.push_back(name.peak.x());
        }
        const double whole = step * static_cast<double>(names.size());
        const auto [first, last] = std::minmax_element(wanted.begin(), wanted.end());
        constexpr double least_share = 0.3; // of the row, that the peaks take
        const QRectF& box = frame_.box();
        if (names.empty() || whole > box.width() || (names.size() > 1 && *last - *first < least_share * whole)) {
            return false;
        }
        const std::vector<double> placed = spreadLabels(wanted, step, box.left(), box.right());
        for (std::size_t i = 0; i < names.size(); ++i) {
            const QSizeF size = sizeOf(names[i]);
            const QRectF place(QPointF(placed[i] - 0.5 * size.width(), rowBottom() - size.height()), size);
            frame_.line({placed[i], place.bottom()}, names[i].peak, theme_.frame, 0.8);
            taken_.push_back(frame_.label(names[i].words, place.topLeft(), 0.0, 0.0));
        }
        return true;
    }

    [[nodiscard]] bool besidePeak(const Name& name) {
        const QSizeF size = sizeOf(name);
        constexpr double farthest = 160.0;
        for (double away = 10.0; away < farthest; away += 10.0) {
            for (const double lower : {0.0, -1.0, 1.0, -2.0, 2.0, 3.0}) {
                const QPointF end = name.peak + QPointF(-away, lower * label_height);
                const QRectF place(end - QPointF(size.width(), 0.5 * size.height()), size);
                if (put(name, place)) {
                    frame_.line(end + QPointF(2.0, 0.0), name.peak, theme_.frame, 0.8);
                    return true;
                }
            }
        }
        return false;
    }

private:
    static constexpr double gap = 7.0;

    [[nodiscard]] QSizeF sizeOf(const Name& name) const {
        return {metrics_.horizontalAdvance(QString::fromStdString(name.words)), metrics_.height()};
    }
    [[nodiscard]] double rowBottom() const { return frame_.box().top() + 2.0 + metrics_.height(); }

    bool put(const Name& name, const QRectF& place) {
        const QRectF around = place.adjusted(-gap, 0.0, gap, 0.0);
        const Box box{
            .left = place.left() - gap, .top = place.top(), .right = place.right() + gap, .bottom = place.bottom()};
        const bool free =
            frame_.box().contains(place) &&
            std::none_of(taken_.begin(), taken_.end(), [&](const QRectF& other) { return other.intersects(around); }) &&
            std::none_of(curves_.begin(), curves_.end(), [&](const auto& parts) {
                return std::any_of(parts.begin(), parts.end(),
                                   [&](const Polyline& part) { return !clipped(part, box).empty(); });
            });
        if (free) {
            taken_.push_back(frame_.label(name.words, place.topLeft(), 0.0, 0.0));
        }
        return free;
    }

    AxesFrame& frame_;
    const Theme& theme_;
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
    upright = {upright.low - 0.05 * upright.width(), upright.high + 0.18 * upright.width()}; // names stand over peaks
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
    Names names(frame, theme, map.curves);
    if (has_limit) {
        const double limit = *comparison.request.limit;
        const double y = frame.at(0.0, limit).y();
        frame.line({box.left(), y}, {box.right(), y}, theme.rate, 1.2, Qt::DashLine);
        names.keepClear(frame.label(fmt::format("limit {:g} °C", limit), {box.right() - 6.0, y - 1.0}, 1.0, 1.0));
    }
    if (!named) {
        return;
    }
    std::vector<Name> at_peaks;
    for (std::size_t i = 0; i < drawn.size(); ++i) {
        const Point peak = highestOf(map.curves[drawn[i]]);
        at_peaks.push_back({.run = i, .words = shortName(comparison, drawn[i]), .peak = {peak.x, peak.y}});
    }
    at_peaks = names.overPeaks(std::move(at_peaks));
    std::vector<std::size_t> in_margin; // at the ends of the traces, where there is no other place
    std::vector<double> wanted;
    if (!names.inRow(at_peaks)) {
        for (const Name& name : at_peaks) {
            if (!names.besidePeak(name)) {
                in_margin.push_back(name.run);
                wanted.push_back(ends[name.run]);
            }
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
