// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/axis.h"
#include "app/report/theme.h"

#include <QGraphicsScene>
#include <QPointF>
#include <QRectF>

#include <string>

namespace potwatch::report {

// Axes with ticks around a rectangle, and where data lie in it.
class AxesFrame {
public:
    // Assumes: the ranges have a width; with `factors` x is above 0 and its axis goes by even factors.
    AxesFrame(QGraphicsScene& scene, const Theme& theme, QRectF box, Range x, Range y, bool factors = false);

    void draw(const std::string& title, const std::string& x_title, const std::string& y_title);

    [[nodiscard]] QPointF at(double x, double y) const;
    [[nodiscard]] const QRectF& box() const { return box_; }
    [[nodiscard]] const Range& across() const { return x_; }
    [[nodiscard]] const Range& upright() const { return y_; }

    void line(QPointF from, QPointF to, const QColor& colour, double width, Qt::PenStyle style = Qt::SolidLine);
    // Where the words lie; the shares say which part of them lies at `where`: 0.5 their middle.
    QRectF label(const std::string& words, QPointF where, double left_share, double top_share, bool bold = false);

private:
    QGraphicsScene& scene_;
    const Theme& theme_;
    QRectF box_;
    Range x_;
    Range y_;
    bool factors_;
};

} // namespace potwatch::report
