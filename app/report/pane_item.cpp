// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/pane_item.h"

#include "app/report/decimation.h"

#include <QPainter>
#include <QPen>
#include <QPolygonF>

#include <algorithm>
#include <cmath>

namespace potwatch::report {
namespace {

constexpr double step_width = 5.0; // page units of one step of the degree of cure
constexpr double invisible = 0.04; // page units that no eye misses: keeps files small

QColor colourOf(TraceStyle style, const Theme& theme) {
    switch (style) {
    case TraceStyle::reading:
        return theme.reading;
    case TraceStyle::rate:
        return theme.rate;
    case TraceStyle::heat_flow:
        return theme.heat_flow;
    case TraceStyle::degree:
        return theme.degree;
    case TraceStyle::temperature:
    case TraceStyle::heat:
        break;
    }
    return theme.ink;
}

QColor faded(QColor colour, double opacity) {
    colour.setAlphaF(static_cast<float>(opacity));
    return colour;
}

QPolygonF polygonOf(const Polyline& line) {
    QPolygonF polygon;
    polygon.reserve(static_cast<qsizetype>(line.size()));
    for (const Point& p : line) {
        polygon.append(QPointF(p.x, p.y));
    }
    return polygon;
}

void appendLines(std::vector<Polyline>& to, const std::vector<Polyline>& from) {
    for (const Polyline& line : from) {
        to.push_back(simplified(line, invisible));
    }
}

void appendPolygon(std::vector<Polyline>& to, const Polyline& polygon) {
    constexpr std::size_t fewest_corners = 3;
    const Polyline shorter = simplified(polygon, invisible);
    if (shorter.size() >= fewest_corners) {
        to.push_back(shorter);
    }
}

} // namespace

QPen tracePen(TraceStyle style, const Theme& theme) {
    QPen pen(colourOf(style, theme));
    pen.setCapStyle(Qt::RoundCap);
    pen.setJoinStyle(Qt::RoundJoin);
    switch (style) {
    case TraceStyle::temperature:
        pen.setWidthF(2.4);
        break;
    case TraceStyle::reading:
        pen.setWidthF(1.0);
        break;
    case TraceStyle::rate:
        pen.setWidthF(1.6);
        pen.setCapStyle(Qt::FlatCap);
        pen.setDashPattern({5.0, 2.2});
        break;
    case TraceStyle::heat_flow:
    case TraceStyle::heat:
        pen.setWidthF(1.2);
        break;
    case TraceStyle::degree:
        pen.setWidthF(1.8);
        pen.setJoinStyle(Qt::MiterJoin);
        pen.setCapStyle(Qt::FlatCap);
        break;
    }
    return pen;
}

QColor areaColour(TraceStyle style, bool is_band, const Theme& theme) {
    return faded(colourOf(style, theme), is_band ? theme.band : theme.fill);
}

PaneItem::PaneItem(const Pane& pane, std::span<const double> time_s, const Theme& theme, QGraphicsItem* parent)
    : QGraphicsItem(parent)
    , pane_(pane)
    , time_s_(time_s)
    , theme_(theme) {}

void PaneItem::layOut(const Box& area, const Range& shown_s, double columns_per_unit) {
    prepareGeometryChange();
    area_ = area;
    areas_.clear();
    strokes_.clear();
    temperature_lines_.clear();
    for (const PaneTrace& trace : pane_.traces) {
        addTrace(trace, shown_s, columns_per_unit);
    }
    for (const PaneBand& band : pane_.bands) {
        addBand(band, shown_s, columns_per_unit);
    }
    std::stable_sort(areas_.begin(), areas_.end(),
                     [](const Area& a, const Area& b) { return !a.is_band && b.is_band; });
}

Point PaneItem::onPage(Point data, const Range& shown_s, const Range& range) const {
    return {.x = area_.left + (data.x - shown_s.low) / shown_s.width() * area_.width(),
            .y = area_.bottom - (data.y - range.low) / range.width() * area_.height()};
}

void PaneItem::addTrace(const PaneTrace& trace, const Range& shown_s, double columns_per_unit) {
    const Range range = trace.on_right_axis && pane_.right_range ? *pane_.right_range : pane_.range;
    const bool stepped = trace.style == TraceStyle::degree;
    const double count = stepped ? area_.width() / step_width : area_.width() * columns_per_unit;
    const Columns columns{.from = shown_s.low, .to = shown_s.high, .count = std::max(1, static_cast<int>(count))};
    Stroke stroke{.style = trace.style, .lines = {}};
    Area filled{.style = trace.style, .is_band = false, .polygons = {}};
    for (Polyline line : stepped ? steps(time_s_, trace.value, columns) : decimate(time_s_, trace.value, columns)) {
        for (Point& p : line) {
            p = onPage({.x = p.x, .y = p.y * trace.factor}, shown_s, range);
        }
        if (trace.style == TraceStyle::heat_flow && !line.empty()) {
            const double zero = onPage({.x = 0.0, .y = 0.0}, shown_s, range).y;
            Polyline polygon = line;
            polygon.push_back({.x = line.back().x, .y = zero});
            polygon.push_back({.x = line.front().x, .y = zero});
            appendPolygon(filled.polygons, clippedPolygon(polygon, area_));
        }
        appendLines(stroke.lines, clipped(line, area_));
    }
    if (trace.style == TraceStyle::temperature) {
        temperature_lines_ = stroke.lines;
    }
    strokes_.push_back(std::move(stroke));
    if (!filled.polygons.empty()) {
        areas_.push_back(std::move(filled));
    }
}

void PaneItem::addBand(const PaneBand& band, const Range& shown_s, double columns_per_unit) {
    const Range range = band.on_right_axis && pane_.right_range ? *pane_.right_range : pane_.range;
    const Columns columns{.from = shown_s.low,
                          .to = shown_s.high,
                          .count = std::max(1, static_cast<int>(area_.width() * columns_per_unit))};
    Area area{.style = band.of, .is_band = true, .polygons = {}};
    for (Polyline polygon : decimateBand(time_s_, band.low, band.high, columns)) {
        for (Point& p : polygon) {
            p = onPage(p, shown_s, range);
        }
        appendPolygon(area.polygons, clippedPolygon(polygon, area_));
    }
    areas_.push_back(std::move(area));
}

QRectF PaneItem::boundingRect() const {
    constexpr double widest_pen = 2.4;
    return QRectF(QPointF(area_.left, area_.top), QPointF(area_.right, area_.bottom))
        .adjusted(-widest_pen, -widest_pen, widest_pen, widest_pen);
}

void PaneItem::paint(QPainter* painter, const QStyleOptionGraphicsItem*, QWidget*) {
    painter->setPen(Qt::NoPen);
    for (const Area& area : areas_) {
        painter->setBrush(areaColour(area.style, area.is_band, theme_));
        for (const Polyline& polygon : area.polygons) {
            painter->drawPolygon(polygonOf(polygon));
        }
    }
    painter->setBrush(Qt::NoBrush);
    for (const Stroke& stroke : strokes_) {
        painter->setPen(tracePen(stroke.style, theme_));
        for (const Polyline& line : stroke.lines) {
            if (line.size() == 1) { // a sample alone between gaps is a dot
                const QPointF at(line.front().x, line.front().y);
                painter->drawLine(at - QPointF(0.5, 0.0), at + QPointF(0.5, 0.0));
            } else {
                painter->drawPolyline(polygonOf(line));
            }
        }
    }
}

std::vector<Point> PaneItem::paintedPoints() const {
    std::vector<Point> points;
    for (const Stroke& stroke : strokes_) {
        for (const Polyline& line : stroke.lines) {
            points.insert(points.end(), line.begin(), line.end());
        }
    }
    for (const Area& area : areas_) {
        for (const Polyline& polygon : area.polygons) {
            points.insert(points.end(), polygon.begin(), polygon.end());
        }
    }
    return points;
}

} // namespace potwatch::report
