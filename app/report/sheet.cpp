// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/sheet.h"

#include "app/report/drawing.h"

#include <QBrush>
#include <QFontMetricsF>
#include <QGraphicsEllipseItem>
#include <QGraphicsLineItem>
#include <QGraphicsPolygonItem>
#include <QGraphicsRectItem>
#include <QGraphicsSimpleTextItem>

#include <cmath>

namespace potwatch::report {

double Sheet::widthOf(const std::string& text, const QFont& font) {
    return QFontMetricsF(font).horizontalAdvance(QString::fromStdString(text));
}

std::string Sheet::fitted(const std::string& text, const QFont& font, double width) {
    return QFontMetricsF(font).elidedText(QString::fromStdString(text), Qt::ElideRight, width).toStdString();
}

void Sheet::keep(QGraphicsItem* item, double z) {
    item->setZValue(z);
    items_.push_back(item);
}

void Sheet::clear() {
    for (QGraphicsItem* const item : items_) {
        delete item;
    }
    items_.clear();
}

void Sheet::text(const std::string& words, Point at, const QFont& font, Align align, bool with_ground) {
    auto* const item = scene_.addSimpleText(QString::fromStdString(words), font);
    item->setBrush(theme_.ink);
    keep(item, layer::text);
    const QRectF box = item->boundingRect();
    double left = at.x;
    if (align == Align::centre) {
        left -= 0.5 * box.width();
    } else if (align == Align::right) {
        left -= box.width();
    }
    item->setPos(left, at.y - 0.5 * box.height());
    if (with_ground) {
        auto* const ground = scene_.addRect(box.adjusted(-2.0, 0.0, 2.0, 0.0), Qt::NoPen, theme_.ground);
        ground->setPos(item->pos());
        keep(ground, layer::mark);
    }
}

void Sheet::uprightText(const std::string& words, Point at, const QFont& font) {
    auto* const item = scene_.addSimpleText(QString::fromStdString(words), font);
    item->setBrush(theme_.ink);
    keep(item, layer::text);
    const QRectF box = item->boundingRect();
    item->setRotation(-90.0);
    item->setPos(at.x - 0.5 * box.height(), at.y + 0.5 * box.width());
}

void Sheet::line(Point from, Point to, const QPen& pen, double z) {
    keep(scene_.addLine(from.x, from.y, to.x, to.y, pen), z);
}

void Sheet::area(const Polyline& polygon, const QColor& colour, double z) {
    QPolygonF points;
    for (const Point& p : polygon) {
        points.append(QPointF(p.x, p.y));
    }
    keep(scene_.addPolygon(points, Qt::NoPen, colour), z);
}

void Sheet::frame(const Box& box) {
    keep(scene_.addRect(box.left, box.top, box.width(), box.height(), QPen(theme_.frame, 1.0), Qt::NoBrush),
         layer::pole);
}

void Sheet::arrow(Point tip, double direction) {
    constexpr double length = 8.0;
    constexpr double half_width = 1.8;
    const double back = tip.x - direction * length;
    area({tip, {.x = back, .y = tip.y - half_width}, {.x = back, .y = tip.y + half_width}}, theme_.ink, layer::mark);
}

void Sheet::dot(Point at) {
    constexpr double radius = 3.4;
    auto* const item = scene_.addEllipse(at.x - radius, at.y - radius, 2.0 * radius, 2.0 * radius,
                                         QPen(theme_.ground, 1.2), theme_.ink);
    keep(item, layer::mark);
}

void Sheet::arrowAlong(Point from, Point to) {
    constexpr double length = 9.0;
    constexpr double half_width = 2.6;
    const double away = std::hypot(to.x - from.x, to.y - from.y);
    if (away <= 0.0) {
        return;
    }
    const double ux = (to.x - from.x) / away;
    const double uy = (to.y - from.y) / away;
    const Point back{.x = to.x - length * ux, .y = to.y - length * uy};
    area({to,
          {.x = back.x - half_width * uy, .y = back.y + half_width * ux},
          {.x = back.x + half_width * uy, .y = back.y - half_width * ux}},
         theme_.ink, layer::mark);
}

void Sheet::pin(Point at, int number, double radius, bool square) {
    const QRectF box(at.x - radius, at.y - radius, 2.0 * radius, 2.0 * radius);
    const QPen pen(theme_.ink, 1.2);
    if (square) {
        keep(scene_.addRect(box, pen, theme_.ground), layer::mark + 0.5);
    } else {
        keep(scene_.addEllipse(box, pen, theme_.ground), layer::mark + 0.5);
    }
    text(std::to_string(number), at, drawingFont(number < 10 ? 11.0 : 9.0, true), Align::centre);
}

} // namespace potwatch::report
