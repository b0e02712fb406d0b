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

constexpr double noisy = 4.0;      // times the height of the pane, up and down
constexpr double seen_spike = 1.5; // page units that a spike sticks out of a step to be one
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

void appendPolygon(std::vector<Polyline>& to, Polyline polygon, bool for_pixels) {
    constexpr std::size_t fewest_corners = 3;
    if (!for_pixels) {
        polygon = simplified(polygon, invisible);
    }
    if (polygon.size() >= fewest_corners) {
        to.push_back(std::move(polygon));
    }
}

void appendBoxes(std::vector<Box>& to, const std::vector<Box>& boxes, const Box& area) {
    for (const Box& box : boxes) {
        const Box cut{.left = std::max(box.left, area.left),
                      .top = std::max(box.top, area.top),
                      .right = std::min(box.right, area.right),
                      .bottom = std::min(box.bottom, area.bottom)};
        if (cut.left < cut.right && cut.top < cut.bottom) {
            to.push_back(cut);
        }
    }
}

// On whole pixels, which is ten times as quick as anything else; boxes that touch leave no seam.
void paintBoxes(QPainter& painter, const std::vector<Box>& boxes, const QColor& colour) {
    if (boxes.empty()) {
        return;
    }
    const QTransform to_pixels = painter.combinedTransform();
    std::vector<QRect> rects;
    rects.reserve(boxes.size());
    for (const Box& box : boxes) {
        const QRectF own = to_pixels.mapRect(QRectF(QPointF(box.left, box.top), QPointF(box.right, box.bottom)));
        const int left = qRound(own.left());
        const int top = qRound(own.top());
        rects.emplace_back(left, top, std::max(1, qRound(own.right()) - left), std::max(1, qRound(own.bottom()) - top));
    }
    painter.save();
    painter.resetTransform();
    painter.setRenderHint(QPainter::Antialiasing, false);
    painter.setPen(Qt::NoPen);
    painter.setBrush(colour);
    painter.drawRects(rects.data(), static_cast<int>(rects.size()));
    painter.restore();
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
        pen.setJoinStyle(Qt::SvgMiterJoin); // square steps, and spikes that end where they end
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
    for_pixels_ = look.for_pixels;
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
    const bool stepped = trace.style == TraceStyle::degree;
    const double least_spike = seen_spike * range.width() / area_.height() / trace.factor;
    const double column = area_.width() / look.columns->columns.count;
    Stroke stroke{.style = trace.style, .lines = {}, .columns = {}};
    Area filled{.style = trace.style, .is_band = false, .polygons = {}};
    for (Polyline line : stepped ? steps(time_s_, samples, *look.step_columns, trace.pyramid.get(), least_spike)
                                 : decimate(time_s_, samples, *look.columns, trace.pyramid.get())) {
        for (Point& p : line) {
            p = onPage({.x = p.x, .y = p.y * trace.factor}, look, range);
        }
        if (trace.style == TraceStyle::heat_flow && !line.empty()) {
            const double zero = onPage({.x = 0.0, .y = 0.0}, look, range).y;
            if (for_pixels_) {
                appendBoxes(filled.columns, columnsTo(zero, line, area_.left, column), area_);
            } else {
                Polyline polygon = line;
                polygon.push_back({.x = line.back().x, .y = zero});
                polygon.push_back({.x = line.front().x, .y = zero});
                appendPolygon(filled.polygons, clippedPolygon(polygon, area_), for_pixels_);
            }
        }
        for (Polyline& part : clipped(line, area_)) {
            addPart(stroke, std::move(part), column, stepped);
        }
    }
    if (trace.style == TraceStyle::temperature) {
        temperature_lines_ = stroke.lines;
        for (const Box& box : stroke.columns) {
            const double x = 0.5 * (box.left + box.right);
            temperature_lines_.push_back({{.x = x, .y = box.top}, {.x = x, .y = box.bottom}});
        }
    }
    strokes_.push_back(std::move(stroke));
    if (!filled.polygons.empty() || !filled.columns.empty()) {
        areas_.push_back(std::move(filled));
    }
}

void PaneItem::addPart(Stroke& stroke, Polyline part, double column, bool stepped) const {
    if (!for_pixels_) {
        stroke.lines.push_back(simplified(part, invisible));
    } else if (stepped || verticalTravel(part) < noisy * area_.height()) {
        stroke.lines.push_back(stepped ? std::move(part) : thinned(part, invisible));
    } else {
        const double width = std::max(column, tracePen(stroke.style, theme_).widthF());
        appendBoxes(stroke.columns, columnBoxes(part, area_.left, column, width), area_);
    }
}

void PaneItem::addBand(const PaneBand& band, const PaneLook& look) {
    const Range& range = rangeOf(band.on_right_axis, look);
    Area area{.style = band.of, .is_band = true, .polygons = {}};
    for (Polyline polygon : decimateBand(time_s_, band.limits, *look.columns, band.pyramid.get())) {
        for (Point& p : polygon) {
            p = onPage({.x = p.x, .y = p.y * band.factor}, look, range);
        }
        if (for_pixels_ && verticalTravel(polygon) > 2.0 * noisy * area_.height()) {
            appendBoxes(area.columns, bandColumns(polygon, area_.left, area_.width() / look.columns->columns.count),
                        area_);
        } else {
            appendPolygon(area.polygons, clippedPolygon(polygon, area_), for_pixels_);
        }
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
        paintBoxes(*painter, area.columns, areaColour(area.style, area.is_band, theme_));
        painter->setBrush(areaColour(area.style, area.is_band, theme_));
        for (const Polyline& polygon : area.polygons) {
            painter->drawPolygon(polygonOf(polygon));
        }
    }
    painter->setBrush(Qt::NoBrush);
    for (const Stroke& stroke : strokes_) {
        const QPen pen = tracePen(stroke.style, theme_);
        paintBoxes(*painter, stroke.columns, pen.color()); // dashes would be lost in the noise
        painter->setPen(pen);
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
        for (const Box& box : stroke.columns) {
            points.push_back({.x = box.left, .y = box.top});
            points.push_back({.x = box.right, .y = box.bottom});
        }
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
