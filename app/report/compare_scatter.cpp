// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/compare_scatter.h"

#include "app/format/compare_text.h"
#include "app/format/number.h"
#include "app/report/axes_frame.h"
#include "app/report/compare_overlay.h"
#include "app/report/drawing.h"

#include <QFontMetricsF>
#include <QPainterPath>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>

namespace potwatch::report {
namespace {

constexpr double mark = 4.2;          // half the size of a mark
constexpr double strip_height = 40.0; // at the foot of the frame, where there is an interval at the limit
constexpr double arrow_height = 24.0; // above a mark that is that or more
constexpr double most_decades = 1.0;  // of x on an even axis; more is easier to read on a logarithmic one
constexpr double label_height = 15.0;
constexpr double coverage = coverage_factor_95;

Range emptyRange() {
    return {std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
}

void widen(Range& range, double value) {
    range.low = std::min(range.low, value);
    range.high = std::max(range.high, value);
}

bool isEmpty(const Range& range) {
    return !(range.low <= range.high);
}

struct Across {
    Range range;
    bool by_factors = false;
};

// The stretch of x: of the runs, and of the limit where the bands reach it.
Across across(const session::Comparison& comparison) {
    Range range = emptyRange();
    for (const session::ScatterPoint& point : comparison.scatter) {
        if (point.point) {
            widen(range, point.point->x);
        }
    }
    for (const double x : comparison.bands.x) {
        widen(range, x);
    }
    if (isEmpty(range)) {
        return {.range = {0.0, 1.0}};
    }
    Across axis{.range = range};
    axis.by_factors = range.low > 0.0 && std::log10(range.high / range.low) >= most_decades;
    if (axis.by_factors) {
        const double more = std::pow(range.high / range.low, 0.06);
        axis.range = {range.low / more, range.high * more};
    } else {
        const double more = range.width() > 0.0 ? 0.06 * range.width() : 0.5 * std::abs(range.high) + 1e-3;
        axis.range = {range.low - more, range.high + more};
    }
    return axis;
}

Range up(const session::Comparison& comparison, double height) {
    Range range = emptyRange();
    for (const session::ScatterPoint& point : comparison.scatter) {
        if (point.point) {
            widen(range, point.point->y - coverage * point.point->u);
            widen(range, point.point->y + coverage * point.point->u);
        }
    }
    for (const double y : comparison.bands.y) {
        widen(range, y);
    }
    if (comparison.request.limit) {
        widen(range, *comparison.request.limit);
    }
    if (isEmpty(range)) {
        return {0.0, 1.0};
    }
    // Bands as far as they do not flatten the rest.
    const double most = 0.35 * range.width();
    const Range runs = range;
    for (const double y : comparison.bands.run_low) {
        widen(range, std::max(y, runs.low - most));
    }
    for (const double y : comparison.bands.run_high) {
        widen(range, std::min(y, runs.high + most));
    }
    const double more = range.width() > 0.0 ? 0.07 * range.width() : std::max(0.5, 0.05 * std::abs(range.high));
    range = {range.low - more, range.high + more};
    const double shown = std::max(2.0 * arrow_height, height - arrow_height);
    for (const session::ScatterPoint& point : comparison.scatter) {
        if (point.point && point.point->at_least) {
            widen(range, point.point->y + range.width() * arrow_height / shown);
        }
    }
    if (comparison.at_limit) {
        range.low -= range.width() * strip_height / std::max(2.0 * strip_height, height - strip_height);
    }
    return range;
}

class Scatter {
public:
    Scatter(QGraphicsScene& scene, const ComparePicture& picture, const Theme& theme, const QRectF& box,
            CompareMap& map)
        : scene_(scene)
        , comparison_(picture.comparison)
        , theme_(theme)
        , x_(across(comparison_))
        , frame_(scene, theme, box, x_.range, up(comparison_, box.height()), x_.by_factors)
        , named_(picture.runs.size() <= most_named_runs)
        , map_(map) {}

    void draw() {
        frame_.draw(title(), format::headingText(*comparison_.x), format::headingText(*comparison_.y));
        drawBands();
        drawLimit();
        drawPoints();
        drawMargin();
    }

private:
    [[nodiscard]] std::string title() const {
        const bool any = std::any_of(comparison_.scatter.begin(), comparison_.scatter.end(),
                                     [](const session::ScatterPoint& point) { return point.point.has_value(); });
        if (!any) {
            return "No run has both figures";
        }
        std::string words = fmt::format("{} against {}{}", comparison_.y->title, comparison_.x->title,
                                        comparison_.trend ? "" : ": no trend");
        if (words.front() >= 'a' && words.front() <= 'z') {
            words.front() = static_cast<char>(words.front() - 'a' + 'A');
        }
        return words;
    }

    [[nodiscard]] Box edge() const {
        const QRectF& box = frame_.box();
        return {.left = box.left(), .top = box.top(), .right = box.right(), .bottom = box.bottom()};
    }

    [[nodiscard]] Point at(double x, double y) const {
        const QPointF point = frame_.at(x, y);
        return {.x = point.x(), .y = point.y()};
    }

    [[nodiscard]] bool isShown(double x) const { return !x_.by_factors || x > 0.0; }

    void stroke(const Polyline& line, const QPen& pen) { scene_.addPath(pathOf(clipped(line, edge())), pen); }

    void band(const std::vector<double>& low, const std::vector<double>& high, double opacity, Qt::PenStyle style) {
        if (low.size() != comparison_.bands.x.size() || low.empty()) {
            return;
        }
        Polyline below;
        Polyline above;
        for (std::size_t i = 0; i < low.size(); ++i) {
            const double x = comparison_.bands.x[i];
            if (isShown(x)) {
                below.push_back(at(x, low[i]));
                above.push_back(at(x, high[i]));
            }
        }
        Polyline around = above;
        around.insert(around.end(), below.rbegin(), below.rend());
        QPolygonF polygon;
        for (const Point& point : clippedPolygon(around, edge())) {
            polygon << QPointF(point.x, point.y);
        }
        QColor fill = theme_.plateau;
        fill.setAlphaF(static_cast<float>(opacity));
        scene_.addPolygon(polygon, QPen(Qt::NoPen), fill);
        stroke(below, QPen(theme_.plateau, 0.8, style));
        stroke(above, QPen(theme_.plateau, 0.8, style));
    }

    // A name at the right, where its line leaves the frame.
    void name(const std::string& words, const Polyline& line) {
        if (const auto parts = clipped(line, edge()); !parts.empty() && !parts.back().empty()) {
            margin_words_.push_back(words);
            margin_from_.emplace_back(parts.back().back().x, parts.back().back().y);
        }
    }

    void drawBands() {
        const compare::TrendBands& bands = comparison_.bands;
        if (!comparison_.trend || bands.x.size() < 2) {
            return;
        }
        band(bands.run_low, bands.run_high, 0.35 * theme_.band, Qt::DotLine);
        band(bands.low, bands.high, 0.9 * theme_.band, Qt::NoPen);
        // The line itself from its formula, as fine as it is drawn: the bands' grid is coarse on a logarithmic axis.
        constexpr int steps = 120;
        Polyline line;
        const double from = bands.x.front();
        const double to = bands.x.back();
        for (int i = 0; i <= steps; ++i) {
            const double share = static_cast<double>(i) / steps;
            const double x = x_.by_factors ? from * std::pow(to / from, share) : from + (to - from) * share;
            line.push_back(at(x, compare::valueAt(*comparison_.trend, x)));
        }
        stroke(line, QPen(theme_.plateau, 2.0));
        name(std::string(compare::nameOf(comparison_.trend->form)), line);
        if (!bands.run_high.empty()) {
            Polyline high;
            Polyline low;
            for (std::size_t i = 0; i < bands.x.size(); ++i) {
                high.push_back(at(bands.x[i], bands.run_high[i]));
                low.push_back(at(bands.x[i], bands.high[i]));
            }
            name("95 % of runs", high);
            name("95 % of trend", low);
        }
    }

    void drawLimit() {
        if (!comparison_.request.limit) {
            return;
        }
        const double limit = *comparison_.request.limit;
        const Polyline line{at(x_.range.low, limit), at(x_.range.high, limit)};
        stroke(line, QPen(theme_.rate, 1.4, Qt::DashLine));
        name(fmt::format("limit {:g} {}", limit, comparison_.y->unit), line);
        if (!comparison_.at_limit) {
            return;
        }
        // The interval as a dimension line at the foot of the frame, under where the trend meets the limit.
        const compare::AtLimit& found = *comparison_.at_limit;
        const QRectF& box = frame_.box();
        const double y = box.bottom() - 12.0;
        const auto xOf = [&](const std::optional<double>& x, double otherwise) {
            return x && isShown(*x) ? std::clamp(frame_.at(*x, limit).x(), box.left(), box.right()) : otherwise;
        };
        const double low = xOf(found.low, box.left());
        const double high = xOf(found.high, box.right());
        const double mid = xOf(found.x, box.left());
        QColor fill = theme_.rate;
        fill.setAlphaF(0.10F);
        const double top = frame_.at(x_.range.high, limit).y();
        scene_.addRect(QRectF(QPointF(low, top), QPointF(high, box.bottom())), QPen(Qt::NoPen), fill);
        frame_.line({mid, top}, {mid, y}, theme_.rate, 1.2, Qt::DashLine);
        frame_.line({low, y}, {high, y}, theme_.ink, 1.4);
        const auto end = [&](double x, bool known, double outwards) {
            if (known) {
                frame_.line({x, y - 6.0}, {x, y + 6.0}, theme_.ink, 1.4);
            } else { // no end is determined: it goes on
                frame_.line({x, y}, {x - 7.0 * outwards, y - 4.0}, theme_.ink, 1.4);
                frame_.line({x, y}, {x - 7.0 * outwards, y + 4.0}, theme_.ink, 1.4);
            }
        };
        end(low, found.low.has_value(), -1.0);
        end(high, found.high.has_value(), 1.0);
        scene_.addEllipse(QRectF(mid - 3.5, y - 3.5, 7.0, 7.0), QPen(theme_.ink, 1.0), theme_.ink);
        std::string words = fmt::format("{} {}", format::numberText(found.x, 3), comparison_.x->unit);
        if (found.estimate) {
            const double half = 0.5 * (found.estimate->high - found.estimate->low);
            words = fmt::format("{} {} ({} to {})", format::figureText(found.x, half), comparison_.x->unit,
                                format::figureText(found.estimate->low, half),
                                format::figureText(found.estimate->high, half));
        }
        const bool left_half = mid < box.center().x();
        taken_.push_back(frame_.label(words, {left_half ? std::max(mid, low) + 8.0 : mid - 8.0, y - 3.0},
                                      left_half ? 0.0 : 1.0, 1.0, true));
        taken_.push_back(QRectF(QPointF(low, y - 7.0), QPointF(high, y + 7.0)));
    }

    void drawPoints() {
        for (std::size_t r = 0; r < comparison_.scatter.size(); ++r) {
            const session::ScatterPoint& point = comparison_.scatter[r];
            if (!point.point || !isShown(point.point->x)) {
                continue;
            }
            const QPointF where = frame_.at(point.point->x, point.point->y);
            map_.points[r] = Point{.x = where.x(), .y = where.y()};
            taken_.push_back(QRectF(where.x() - 6.0, where.y() - 6.0, 12.0, 12.0));
            drawPoint(r, point, where);
        }
        if (!named_) {
            return;
        }
        for (std::size_t r = 0; r < comparison_.scatter.size(); ++r) {
            if (map_.points[r]) {
                nameBeside(r, QPointF(map_.points[r]->x, map_.points[r]->y));
            }
        }
    }

    void drawPoint(std::size_t r, const session::ScatterPoint& point, QPointF where) {
        QPen pen(named_ ? runPen(theme_, r).color() : theme_.ink, 1.5);
        const double half = coverage * point.point->u;
        const double top =
            std::clamp(frame_.at(point.point->x, point.point->y + half).y(), frame_.box().top(), frame_.box().bottom());
        const double bottom =
            std::clamp(frame_.at(point.point->x, point.point->y - half).y(), frame_.box().top(), frame_.box().bottom());
        if (bottom - top > 2.0 * mark) {
            scene_.addLine(QLineF(where.x(), top, where.x(), bottom), QPen(pen.color(), 1.0));
        }
        const bool counts = point.counts();
        const QRectF circle(where.x() - mark, where.y() - mark, 2.0 * mark, 2.0 * mark);
        if (point.point->at_least) {
            // Open, with an arrow: it is that or more.
            QPainterPath arrow;
            arrow.moveTo(where - QPointF(0.0, mark));
            arrow.lineTo(where - QPointF(0.0, 19.0));
            arrow.moveTo(where + QPointF(-4.0, -13.0));
            arrow.lineTo(where - QPointF(0.0, 19.0));
            arrow.lineTo(where + QPointF(4.0, -13.0));
            scene_.addPath(arrow, pen);
            taken_.push_back(QRectF(where.x() - 5.0, where.y() - 20.0, 10.0, 16.0));
        }
        if (!counts) {
            QPainterPath cross; // left out: struck through
            cross.moveTo(circle.bottomLeft() + QPointF(-2.5, 2.5));
            cross.lineTo(circle.topRight() + QPointF(2.5, -2.5));
            scene_.addPath(cross, QPen(theme_.frame, 1.2));
            pen.setColor(theme_.frame);
        }
        const bool open = !counts || point.point->at_least;
        scene_.addEllipse(circle, pen, open ? theme_.ground : pen.color());
    }

    // Where it covers nothing; left out where there is no such place.
    void nameBeside(std::size_t r, QPointF where) {
        const std::string words = shortName(comparison_, r);
        const QFontMetricsF metrics(drawingFont(12.0));
        const double width = metrics.horizontalAdvance(QString::fromStdString(words));
        const double height = metrics.height();
        const std::array<QPointF, 6> places{QPointF(8.0, -0.5 * height), QPointF(-8.0 - width, -0.5 * height),
                                            QPointF(-0.5 * width, 8.0),  QPointF(-0.5 * width, -8.0 - height),
                                            QPointF(7.0, 4.0),           QPointF(-7.0 - width, 4.0)};
        for (const QPointF& place : places) {
            const QRectF box(where + place, QSizeF(width, height));
            const bool free =
                frame_.box().contains(box) &&
                std::none_of(taken_.begin(), taken_.end(), [&](const QRectF& other) { return other.intersects(box); });
            if (free) {
                taken_.push_back(frame_.label(words, box.topLeft(), 0.0, 0.0));
                return;
            }
        }
    }

    void drawMargin() {
        std::vector<double> wanted;
        for (const QPointF& from : margin_from_) {
            wanted.push_back(from.y());
        }
        const QRectF& box = frame_.box();
        const std::vector<double> places = spreadLabels(wanted, label_height, box.top() - 6.0, box.bottom() + 6.0);
        for (std::size_t i = 0; i < places.size(); ++i) {
            frame_.line({std::max(margin_from_[i].x(), box.right()), margin_from_[i].y()},
                        {box.right() + 9.0, places[i]}, theme_.frame, 0.8);
            frame_.label(margin_words_[i], {box.right() + 12.0, places[i]}, 0.0, 0.5);
        }
    }

    QGraphicsScene& scene_;
    const session::Comparison& comparison_;
    const Theme& theme_;
    Across x_;
    AxesFrame frame_;
    bool named_;
    CompareMap& map_;
    std::vector<QRectF> taken_;
    std::vector<std::string> margin_words_;
    std::vector<QPointF> margin_from_;
};

} // namespace

void drawScatter(QGraphicsScene& scene, const ComparePicture& picture, const Theme& theme, const QRectF& box,
                 CompareMap& map) {
    if (picture.comparison.x != nullptr && picture.comparison.y != nullptr) {
        Scatter(scene, picture, theme, box, map).draw();
    }
}

} // namespace potwatch::report
