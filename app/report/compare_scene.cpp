// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/compare_scene.h"

#include "app/report/compare_overlay.h"
#include "app/report/compare_scatter.h"
#include "app/report/drawing.h"

#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::report {
namespace {

constexpr double left_margin = 62.0;
constexpr double right_margin = 118.0; // names
constexpr double top_margin = 30.0;
constexpr double between = 78.0; // numbers and title of the upper axis, title of the lower part
constexpr double bottom_margin = 48.0;
constexpr double overlay_share = 0.48;

std::unique_ptr<QGraphicsScene> emptyScene(const Theme& theme, QSizeF size) {
    auto scene = std::make_unique<QGraphicsScene>();
    scene->setItemIndexMethod(QGraphicsScene::NoIndex); // painted once, and nobody asks what lies where
    scene->setSceneRect(QRectF(QPointF(), size));
    scene->addRect(QRectF(QPointF(), size), QPen(Qt::NoPen), theme.ground);
    return scene;
}

double widthBetweenMargins(QSizeF size) {
    return std::max(60.0, size.width() - left_margin - right_margin);
}

CompareMap emptyMap(const ComparePicture& picture) {
    CompareMap map;
    map.curves.resize(picture.runs.size());
    map.points.resize(picture.runs.size());
    return map;
}

} // namespace

std::unique_ptr<QGraphicsScene> compareScene(const ComparePicture& picture, const Theme& theme, QSizeF size,
                                             CompareMap* map) {
    auto scene = emptyScene(theme, size);
    const double width = widthBetweenMargins(size);
    const double height = std::max(80.0, size.height() - top_margin - between - bottom_margin);
    CompareMap places = emptyMap(picture);
    places.overlay = QRectF(left_margin, top_margin, width, overlay_share * height);
    places.scatter = QRectF(left_margin, places.overlay.bottom() + between, width, (1.0 - overlay_share) * height);
    drawOverlay(*scene, picture, theme, places.overlay, places);
    drawScatter(*scene, picture, theme, places.scatter, places);
    if (map != nullptr) {
        *map = std::move(places);
    }
    return scene;
}

std::unique_ptr<QGraphicsScene> compareScene(const ComparePicture& picture, const Theme& theme, QSizeF size,
                                             ComparePart part) {
    auto scene = emptyScene(theme, size);
    CompareMap places = emptyMap(picture);
    const QRectF box(left_margin, top_margin, widthBetweenMargins(size),
                     std::max(40.0, size.height() - top_margin - bottom_margin));
    if (part == ComparePart::overlay) {
        drawOverlay(*scene, picture, theme, box, places);
    } else {
        drawScatter(*scene, picture, theme, box, places);
    }
    return scene;
}

void drawLit(QPainter& painter, const ComparePicture& picture, const CompareMap& map, const Theme& theme,
             std::size_t run) {
    if (run >= picture.runs.size() || run >= map.curves.size()) {
        return;
    }
    painter.save();
    painter.setBrush(Qt::NoBrush);
    const Point highest = highestOf(map.curves[run]);
    const QPainterPath path = pathOf(map.curves[run]);
    const bool named = picture.runs.size() <= most_named_runs;
    QColor glow = theme.highlight;
    glow.setAlphaF(0.55F);
    painter.setPen(QPen(glow, 8.0, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
    painter.drawPath(path);
    QPen pen = named ? runPen(theme, run) : QPen(theme.ink, 1.0);
    pen.setWidthF(2.6);
    painter.setPen(pen);
    painter.drawPath(path);
    painter.setFont(drawingFont(13.0, true));
    const QFontMetricsF metrics(painter.font());
    const QString name = QString::fromStdString(shortName(picture.comparison, run));
    // Its name beside it, on a ground of its own, wherever there is room for it.
    const auto label = [&](QPointF at) {
        QRectF place(at + QPointF(10.0, -metrics.height() - 6.0), metrics.size(0, name));
        if (place.right() > map.overlay.right()) {
            place.moveRight(at.x() - 10.0);
        }
        place.moveTop(std::max(place.top(),
                               at.y() > map.scatter.top() - 1.0 ? map.scatter.top() + 2.0 : map.overlay.top() + 2.0));
        painter.setPen(Qt::NoPen);
        painter.setBrush(theme.ground);
        painter.drawRoundedRect(place.adjusted(-4.0, -1.0, 4.0, 1.0), 3.0, 3.0);
        painter.setPen(QPen(theme.ink, 1.0));
        painter.setBrush(Qt::NoBrush);
        painter.drawRoundedRect(place.adjusted(-4.0, -1.0, 4.0, 1.0), 3.0, 3.0);
        painter.drawText(place, Qt::AlignCenter, name);
    };
    if (!path.isEmpty()) {
        label({highest.x, highest.y});
    }
    if (const std::optional<Point>& point = map.points[run]) {
        const QPointF at(point->x, point->y);
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(glow, 6.0));
        painter.drawEllipse(at, 10.0, 10.0);
        painter.setPen(QPen(theme.ink, 1.6));
        painter.drawEllipse(at, 10.0, 10.0);
        label(at + QPointF(4.0, 0.0));
    }
    painter.restore();
}

std::optional<std::size_t> runAt(const CompareMap& map, Point at, double within) {
    std::optional<std::size_t> nearest;
    double least = within;
    for (std::size_t r = 0; r < map.points.size(); ++r) {
        if (map.points[r]) {
            const double away = std::hypot(map.points[r]->x - at.x, map.points[r]->y - at.y);
            if (away <= least) {
                least = away;
                nearest = r;
            }
        }
    }
    if (nearest) {
        return nearest;
    }
    for (std::size_t r = 0; r < map.curves.size(); ++r) {
        for (const Polyline& part : map.curves[r]) {
            const double away = distance(at, part);
            if (away <= least) {
                least = away;
                nearest = r;
            }
        }
    }
    return nearest;
}

} // namespace potwatch::report
