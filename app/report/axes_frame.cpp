// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/axes_frame.h"

#include "app/report/drawing.h"

#include <QGraphicsSimpleTextItem>
#include <QPen>
#include <QString>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace potwatch::report {
namespace {

constexpr double text_height = 12.0;

std::string numberOf(double value, int decimals) {
    std::string number = fmt::format("{:.{}f}", std::abs(value) < 1e-12 ? 0.0 : value, decimals);
    if (number.starts_with('-')) {
        number.replace(0, 1, "−");
    }
    return number;
}

// 1, 2 and 5 times the powers of ten within a range.
std::vector<double> factorTicks(const Range& range) {
    std::vector<double> all;
    for (int power = static_cast<int>(std::floor(std::log10(range.low))); std::pow(10.0, power) <= range.high;
         ++power) {
        for (const double digit : {1.0, 2.0, 5.0}) {
            const double value = digit * std::pow(10.0, power);
            if (value >= range.low && value <= range.high) {
                all.push_back(value);
            }
        }
    }
    return all;
}

} // namespace

AxesFrame::AxesFrame(QGraphicsScene& scene, const Theme& theme, QRectF box, Range x, Range y, bool factors)
    : scene_(scene)
    , theme_(theme)
    , box_(box)
    , x_(x)
    , y_(y)
    , factors_(factors) {}

void AxesFrame::draw(const std::string& title, const std::string& x_title, const std::string& y_title) {
    const double x_step = roundStep(x_, std::max(2, static_cast<int>(box_.width() / 32.0)));
    for (const double value : factors_ ? factorTicks(x_) : ticks(x_, x_step)) {
        const double x = at(value, 0.0).x();
        line({x, box_.top()}, {x, box_.bottom()}, theme_.grid, 1.0);
        label(factors_ ? fmt::format("{:.3g}", value) : numberOf(value, decimalsOfStep(x_step)),
              {x, box_.bottom() + 5.0}, 0.5, 0.0);
    }
    const double y_step = roundStep(y_, std::max(2, static_cast<int>(box_.height() / 25.0)));
    for (const double value : ticks(y_, y_step)) {
        const double y = at(x_.low, value).y();
        line({box_.left(), y}, {box_.right(), y}, theme_.grid, 1.0);
        label(numberOf(value, decimalsOfStep(y_step)), {box_.left() - 6.0, y}, 1.0, 0.5);
    }
    scene_.addRect(box_, QPen(theme_.frame, 1.0));
    label(title, {box_.left(), box_.top() - 8.0}, 0.0, 1.0, true);
    label(x_title, {box_.center().x(), box_.bottom() + 24.0}, 0.5, 0.0);
    auto* item = scene_.addSimpleText(QString::fromStdString(y_title), drawingFont(text_height));
    item->setBrush(theme_.ink);
    item->setRotation(-90.0);
    item->setPos(box_.left() - 54.0, box_.center().y() + 0.5 * item->boundingRect().width());
}

QPointF AxesFrame::at(double x, double y) const {
    const double share = factors_ ? std::log(x / x_.low) / std::log(x_.high / x_.low) : (x - x_.low) / x_.width();
    return {box_.left() + share * box_.width(), box_.bottom() - (y - y_.low) / y_.width() * box_.height()};
}

void AxesFrame::line(QPointF from, QPointF to, const QColor& colour, double width, Qt::PenStyle style) {
    scene_.addLine(QLineF(from, to), QPen(colour, width, style));
}

QRectF AxesFrame::label(const std::string& words, QPointF where, double left_share, double top_share, bool bold) {
    auto* item = scene_.addSimpleText(QString::fromStdString(words), drawingFont(text_height, bold));
    item->setBrush(theme_.ink);
    const QRectF size = item->boundingRect();
    item->setPos(where.x() - left_share * size.width(), where.y() - top_share * size.height());
    return item->sceneBoundingRect();
}

} // namespace potwatch::report
