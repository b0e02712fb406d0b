// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/geometry.h"
#include "app/report/theme.h"

#include <QFont>
#include <QGraphicsScene>
#include <QPen>
#include <QString>

#include <string>
#include <vector>

namespace potwatch::report {

// What lies over what on a plot.
namespace layer {
inline constexpr double frame = 0.0;
inline constexpr double shade = 1.0;
inline constexpr double pole = 2.0;
inline constexpr double trace = 3.0;
inline constexpr double mark = 4.0;
inline constexpr double text = 5.0;
} // namespace layer

enum class Align { left, centre, right };

// Drawing words for a plot: text, lines, arrows and pins put on a scene in page units. Text is always ink. What it has
// drawn can be taken away again by clear().
class Sheet {
public:
    Sheet(QGraphicsScene& scene, const Theme& theme)
        : scene_(scene)
        , theme_(theme) {}

    void clear();
    [[nodiscard]] const Theme& theme() const { return theme_; }

    [[nodiscard]] static double widthOf(const std::string& text, const QFont& font);
    // The text cut with an ellipsis to that width.
    [[nodiscard]] static std::string fitted(const std::string& text, const QFont& font, double width);

    // Text whose middle line lies at y; with a ground behind it where lines may run under it.
    void text(const std::string& words, Point at, const QFont& font, Align align = Align::left,
              bool with_ground = false);
    // The same turned to read upwards, centred on the point.
    void uprightText(const std::string& words, Point at, const QFont& font);
    void line(Point from, Point to, const QPen& pen, double z);
    void area(const Polyline& polygon, const QColor& colour, double z);
    void frame(const Box& box);
    // A slender arrow head with its tip at the point; direction 1 points right, -1 left.
    void arrow(Point tip, double direction);
    void dot(Point at);
    // An arrow head with its tip at `to`, as at the end of a line from `from`.
    void arrowAlong(Point from, Point to);
    // A numbered circle, or a square.
    void pin(Point at, int number, double radius, bool square = false);

private:
    void keep(QGraphicsItem* item, double z);

    QGraphicsScene& scene_;
    Theme theme_;
    std::vector<QGraphicsItem*> items_; // of the scene
};

} // namespace potwatch::report
