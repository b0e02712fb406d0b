// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/pane_item.h"

#include <QPainter>
#include <QPen>
#include <QPolygonF>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::report {
namespace {

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

Point onPage(Point data, const PaneLook& look, const Range& range) {
    return {.x = look.area.left + (data.x - look.shown_s.low) / look.shown_s.width() * look.area.width(),
            .y = look.area.bottom - (data.y - range.low) / range.width() * look.area.height()};
}

const Range& rangeOf(bool on_right_axis, const PaneLook& look) {
    return on_right_axis && look.view.right_range ? *look.view.right_range : look.view.range;
}

void appendPolygon(std::vector<Polyline>& to, Polyline polygon, bool for_screen) {
    constexpr std::size_t fewest_corners = 3;
    if (!for_screen) {
        polygon = simplified(polygon, invisible);
    }
    if (polygon.size() >= fewest_corners) {
        to.push_back(std::move(polygon));
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

void PaneItem::layOut(const PaneLook& look) {
    prepareGeometryChange();
    area_ = look.area;
    for_screen_ = look.for_screen;
    areas_.clear();
    strokes_.clear();
    temperature_lines_.clear();
    for (const PaneTrace& trace : pane_.traces) {
        addTrace(trace, look);
    }
    for (const PaneBand& band : pane_.bands) {
        addBand(band, look);
    }
    std::stable_sort(areas_.begin(), areas_.end(),
                     [](const Area& a, const Area& b) { return !a.is_band && b.is_band; });
}

void PaneItem::addTrace(const PaneTrace& trace, const PaneLook& look) {
    const Range& range = rangeOf(trace.on_right_axis, look);
    const Samples samples = samplesOf(trace.value);
    Stroke stroke{.style = trace.style, .lines = {}};
    Area filled{.style = trace.style, .is_band = false, .polygons = {}};
    for (Polyline line : trace.style == TraceStyle::degree
                             ? steps(time_s_, samples, *look.step_columns, trace.pyramid.get())
                             : decimate(time_s_, samples, *look.columns, trace.pyramid.get())) {
        for (Point& p : line) {
            p = onPage({.x = p.x, .y = p.y * trace.factor}, look, range);
        }
        if (trace.style == TraceStyle::heat_flow && !line.empty()) {
            const double zero = onPage({.x = 0.0, .y = 0.0}, look, range).y;
            Polyline polygon = line;
            polygon.push_back({.x = line.back().x, .y = zero});
            polygon.push_back({.x = line.front().x, .y = zero});
            appendPolygon(filled.polygons, clippedPolygon(polygon, area_), for_screen_);
        }
        for (Polyline& part : clipped(line, area_)) {
            stroke.lines.push_back(for_screen_ ? std::move(part) : simplified(part, invisible));
        }
    }
    if (trace.style == TraceStyle::temperature) {
        temperature_lines_ = stroke.lines;
    }
    strokes_.push_back(std::move(stroke));
    if (!filled.polygons.empty()) {
        areas_.push_back(std::move(filled));
    }
}

void PaneItem::addBand(const PaneBand& band, const PaneLook& look) {
    const Range& range = rangeOf(band.on_right_axis, look);
    Area area{.style = band.of, .is_band = true, .polygons = {}};
    for (Polyline polygon : decimateBand(time_s_, band.limits, *look.columns, band.pyramid.get())) {
        for (Point& p : polygon) {
            p = onPage({.x = p.x, .y = p.y * band.factor}, look, range);
        }
        appendPolygon(area.polygons, clippedPolygon(polygon, area_), for_screen_);
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
