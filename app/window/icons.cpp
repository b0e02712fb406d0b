// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/icons.h"

#include <QPainter>
#include <QPainterPath>
#include <QPen>

namespace potwatch::window {
namespace {

// In a square of 24 by 24.
void drawAnalyse(QPainter& painter) {
    // A trace that rises from its baseline to a peak and cools, with a dimension line over it.
    QPainterPath trace(QPointF(2.5, 20.0));
    trace.lineTo(7.0, 20.0);
    trace.cubicTo(10.0, 20.0, 10.0, 8.5, 12.5, 8.5);
    trace.cubicTo(15.0, 8.5, 15.5, 15.5, 21.5, 16.5);
    painter.drawPath(trace);
    painter.drawLine(QPointF(7.0, 2.5), QPointF(7.0, 6.5));
    painter.drawLine(QPointF(12.5, 2.5), QPointF(12.5, 6.5));
    painter.drawLine(QPointF(7.0, 4.5), QPointF(12.5, 4.5));
}

void drawCompare(QPainter& painter) {
    // Two traces over each other, one higher than the other, on one baseline.
    QPainterPath high(QPointF(2.5, 20.0));
    high.cubicTo(7.5, 20.0, 7.0, 3.5, 10.5, 3.5);
    high.cubicTo(14.0, 3.5, 14.5, 17.5, 21.5, 19.0);
    painter.drawPath(high);
    QPainterPath low(QPointF(6.0, 20.5));
    low.cubicTo(11.0, 20.5, 11.0, 11.5, 14.5, 11.5);
    low.cubicTo(17.5, 11.5, 18.5, 14.0, 21.5, 15.0);
    painter.drawPath(low);
}

void drawCaution(QPainter& painter) {
    QPainterPath outline(QPointF(12.0, 3.0));
    outline.lineTo(22.0, 20.5);
    outline.lineTo(2.0, 20.5);
    outline.closeSubpath();
    painter.drawPath(outline);
    painter.drawLine(QPointF(12.0, 9.5), QPointF(12.0, 14.5));
    painter.drawPoint(QPointF(12.0, 17.5));
}

void drawInformation(QPainter& painter) {
    painter.drawEllipse(QPointF(12.0, 12.0), 9.5, 9.5);
    painter.drawLine(QPointF(12.0, 11.0), QPointF(12.0, 17.0));
    painter.drawPoint(QPointF(12.0, 7.3));
}

void drawRecording(QPainter& painter) {
    painter.drawEllipse(QPointF(12.0, 12.0), 9.0, 9.0);
    painter.setBrush(painter.pen().color());
    painter.drawEllipse(QPointF(12.0, 12.0), 4.0, 4.0);
}

void drawReport(QPainter& painter) {
    // A written page with a folded corner and a small trace on it.
    QPainterPath page(QPointF(5.0, 2.5));
    page.lineTo(14.5, 2.5);
    page.lineTo(19.0, 7.0);
    page.lineTo(19.0, 21.5);
    page.lineTo(5.0, 21.5);
    page.closeSubpath();
    page.moveTo(14.5, 2.5);
    page.lineTo(14.5, 7.0);
    page.lineTo(19.0, 7.0);
    painter.drawPath(page);
    QPainterPath trace(QPointF(8.0, 13.0));
    trace.cubicTo(10.5, 13.0, 10.0, 8.5, 11.5, 8.5);
    trace.cubicTo(13.0, 8.5, 13.0, 12.0, 16.0, 12.5);
    painter.drawPath(trace);
    painter.drawLine(QPointF(8.5, 17.5), QPointF(15.5, 17.5));
}

void drawRecovered(QPainter& painter) {
    // A line that was broken and is joined again.
    painter.drawLine(QPointF(3.0, 12.0), QPointF(9.0, 12.0));
    painter.drawLine(QPointF(15.0, 12.0), QPointF(21.0, 12.0));
    painter.drawEllipse(QPointF(12.0, 12.0), 3.5, 3.5);
}

void drawSearching(QPainter& painter) {
    painter.drawEllipse(QPointF(10.5, 10.5), 6.5, 6.5);
    painter.drawLine(QPointF(15.5, 15.5), QPointF(21.0, 21.0));
}

} // namespace

void drawSign(QPainter& painter, Sign sign, const QRectF& square, const QColor& colour) {
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    painter.translate(square.topLeft());
    painter.scale(square.width() / 24.0, square.height() / 24.0);
    painter.setPen(QPen(colour, 1.8, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
    painter.setBrush(Qt::NoBrush);
    switch (sign) {
    case Sign::analyse:
        drawAnalyse(painter);
        break;
    case Sign::compare:
        drawCompare(painter);
        break;
    case Sign::recording:
        drawRecording(painter);
        break;
    case Sign::report:
        drawReport(painter);
        break;
    case Sign::recovered:
        drawRecovered(painter);
        break;
    case Sign::caution:
        drawCaution(painter);
        break;
    case Sign::information:
        drawInformation(painter);
        break;
    case Sign::searching:
        drawSearching(painter);
        break;
    }
    painter.restore();
}

} // namespace potwatch::window
