// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/fit_plot.h"

#include "app/format/text.h"
#include "app/report/axis.h"
#include "app/report/drawing.h"
#include "app/report/file_ending.h"
#include "app/report/picture.h"
#include "app/report/theme.h"
#include "app/session/whole_file.h"

#include <QGraphicsScene>
#include <QGraphicsSimpleTextItem>
#include <QPainterPath>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace potwatch::report {
namespace {

constexpr QSizeF page{1080.0, 560.0};
constexpr double text_height = 12.0;
constexpr double mark = 3.4; // half the size of a mark
constexpr int forms = 7;

QString text(const std::string& utf8) {
    return QString::fromStdString(utf8);
}

// One of seven outlines around a point.
QPainterPath outline(int form, QPointF at) {
    QPainterPath path;
    const auto polygon = [&](std::initializer_list<QPointF> corners) {
        QPolygonF points;
        for (const QPointF& corner : corners) {
            points << at + corner * mark;
        }
        path.addPolygon(points);
        path.closeSubpath();
    };
    const auto line = [&](QPointF from, QPointF to) {
        path.moveTo(at + from * mark);
        path.lineTo(at + to * mark);
    };
    switch (form % forms) {
    case 0:
        path.addEllipse(at, mark, mark);
        break;
    case 1:
        polygon({{-0.9, -0.9}, {0.9, -0.9}, {0.9, 0.9}, {-0.9, 0.9}});
        break;
    case 2:
        polygon({{0.0, -1.1}, {1.0, 0.8}, {-1.0, 0.8}});
        break;
    case 3:
        polygon({{0.0, -1.2}, {1.2, 0.0}, {0.0, 1.2}, {-1.2, 0.0}});
        break;
    case 4:
        polygon({{0.0, 1.1}, {1.0, -0.8}, {-1.0, -0.8}});
        break;
    case 5:
        line({-1.0, -1.0}, {1.0, 1.0});
        line({-1.0, 1.0}, {1.0, -1.0});
        break;
    default:
        line({-1.2, 0.0}, {1.2, 0.0});
        line({0.0, -1.2}, {0.0, 1.2});
        break;
    }
    return path;
}

// Axes with ticks around a rectangle, and where data lie in it.
class Frame {
public:
    Frame(QGraphicsScene& scene, const Theme& theme, QRectF box, Range x, Range y)
        : scene_(scene)
        , theme_(theme)
        , box_(box)
        , x_(x)
        , y_(y) {}

    void draw(const std::string& title, const std::string& x_title, const std::string& y_title) {
        const double x_step = roundStep(x_, 6);
        for (const double value : ticks(x_, x_step)) {
            const double x = at(value, 0.0).x();
            line({x, box_.top()}, {x, box_.bottom()}, theme_.grid, 1.0);
            label(fmt::format("{:.{}f}", value, decimalsOfStep(x_step)), {x, box_.bottom() + 5.0}, 0.5, 0.0);
        }
        const double y_step = roundStep(y_, 8);
        for (const double value : ticks(y_, y_step)) {
            const double y = at(0.0, value).y();
            line({box_.left(), y}, {box_.right(), y}, theme_.grid, 1.0);
            std::string number = fmt::format("{:.{}f}", std::abs(value) < 1e-12 ? 0.0 : value, decimalsOfStep(y_step));
            if (number.starts_with('-')) {
                number.replace(0, 1, "−");
            }
            label(number, {box_.left() - 6.0, y}, 1.0, 0.5);
        }
        scene_.addRect(box_, QPen(theme_.frame, 1.0));
        label(title, {box_.left(), box_.top() - 8.0}, 0.0, 1.0, true);
        label(x_title, {box_.center().x(), box_.bottom() + 24.0}, 0.5, 0.0);
        auto* item = scene_.addSimpleText(text(y_title), drawingFont(text_height));
        item->setBrush(theme_.ink);
        item->setRotation(-90.0);
        item->setPos(box_.left() - 70.0, box_.center().y() + 0.5 * item->boundingRect().width());
    }

    [[nodiscard]] QPointF at(double x, double y) const {
        return {box_.left() + (x - x_.low) / x_.width() * box_.width(),
                box_.bottom() - (y - y_.low) / y_.width() * box_.height()};
    }

    void line(QPointF from, QPointF to, const QColor& colour, double width) {
        scene_.addLine(QLineF(from, to), QPen(colour, width));
    }

    void label(const std::string& words, QPointF where, double left_share, double top_share, bool bold = false) {
        auto* item = scene_.addSimpleText(text(words), drawingFont(text_height, bold));
        item->setBrush(theme_.ink);
        const QRectF size = item->boundingRect();
        item->setPos(where.x() - left_share * size.width(), where.y() - top_share * size.height());
    }

private:
    QGraphicsScene& scene_;
    const Theme& theme_;
    QRectF box_;
    Range x_;
    Range y_;
};

std::unique_ptr<QGraphicsScene> sceneOf(const KineticFit& fit) {
    auto scene = std::make_unique<QGraphicsScene>();
    const Theme theme = paperTheme();
    scene->setSceneRect(QRectF(QPointF(), page));
    scene->addRect(QRectF(QPointF(), page), QPen(Qt::NoPen), theme.ground);
    const std::array<QColor, 4> colours{theme.plateau, theme.rate, theme.heat_flow, theme.ink};

    double largest = 1e-6;
    for (const FittedRun& run : fit.runs) {
        for (std::size_t i = 0; i < run.degree.size(); ++i) {
            largest = std::max(largest, std::abs(run.measured_degree[i] - run.degree[i]));
        }
    }
    const QRectF left(90.0, 44.0, 380.0, 400.0);
    const QRectF right(590.0, 44.0, 400.0, 400.0);
    Frame residuals(*scene, theme, left, {-0.02, 1.02}, {-1.1 * largest, 1.1 * largest});
    residuals.draw("What the law misses", "degree of cure, modelled", "measured less modelled degree");
    residuals.line(residuals.at(-0.02, 0.0), residuals.at(1.02, 0.0), theme.ink, 1.0);
    Frame parity(*scene, theme, right, {-0.02, 1.02}, {-0.02, 1.02});
    parity.draw("Measured against modelled", "degree of cure, modelled", "degree of cure, measured");
    parity.line(parity.at(-0.02, -0.02), parity.at(1.02, 1.02), theme.ink, 1.0);

    constexpr double row_height = 17.0;
    const int columns = 6;
    for (std::size_t r = 0; r < fit.runs.size(); ++r) {
        const FittedRun& run = fit.runs[r];
        const QPen pen(colours[r % colours.size()], 1.1);
        QPainterPath left_marks;
        QPainterPath right_marks;
        for (std::size_t i = 0; i < run.degree.size(); ++i) {
            const double measured = run.measured_degree[i];
            const double modelled = run.degree[i];
            left_marks.addPath(outline(static_cast<int>(r), residuals.at(modelled, measured - modelled)));
            if (measured >= -0.02 && measured <= 1.02) {
                right_marks.addPath(outline(static_cast<int>(r), parity.at(modelled, measured)));
            }
        }
        scene->addPath(left_marks, pen);
        scene->addPath(right_marks, pen);
        // The key: form and name, in rows under both panes.
        const auto index = static_cast<int>(r);
        const QPointF key(96.0 + 160.0 * (index % columns), 496.0 + row_height * (index / columns));
        scene->addPath(outline(index, key), pen);
        residuals.label(format::shortened(format::oneLine(run.name), 20), key + QPointF(9.0, 0.0), 0.0, 0.5);
    }
    return scene;
}

} // namespace

Result<void> writeFitPlot(const KineticFit& fit, const std::string& path) {
    const bool svg = hasEnding(path, ".svg");
    const bool pdf = hasEnding(path, ".pdf");
    if (!svg && !pdf && !hasEnding(path, ".png")) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "a plot is written as .svg, .pdf or .png",
                                    .where = {.file = path},
                                    .remedy = "give the file one of these endings"});
    }
    if (auto ready = prepareDrawing(); !ready) {
        return ready;
    }
    const std::unique_ptr<QGraphicsScene> scene = sceneOf(fit);
    const std::string title = "kinetic fit";
    std::string bytes;
    if (svg) {
        bytes = svgOf(*scene, page, title);
    } else {
        bytes = pdf ? pdfOf(*scene, page, title) : pngOf(imageOf(*scene, page, (page * 2.0).toSize()));
    }
    return bytes.empty() ? tl::unexpected(cannotDraw(path)) : session::writeWholeFile(path, bytes);
}

} // namespace potwatch::report
