// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/drawing.h"
#include "app/report/plot_margin.h"
#include "app/window/chart/chart_parts.h"
#include "app/window/chart/read_out.h"

#include <QFontMetricsF>
#include <QPainter>

#include <algorithm>
#include <cmath>

namespace potwatch::window {

using report::Point;

namespace {

QPointF pointOf(Point p) {
    return {p.x, p.y};
}

QRectF rectOf(const report::Box& box) {
    return {QPointF(box.left, box.top), QPointF(box.right, box.bottom)};
}

QString fitted(const QString& words, const QFont& font, double width) {
    return QFontMetricsF(font).elidedText(words, Qt::ElideRight, width);
}

} // namespace

QStringList ChartView::Parts::stripLines() {
    if (canvas.isEmpty()) {
        return {};
    }
    const report::PlotContent& content = canvas.content();
    const double pixel_s = secondsAPixel();
    QString first;
    QString second;
    if (cursors_s[0]) {
        first = QString::fromStdString(window::readOut(content, *cursors_s[0], pixel_s));
    }
    if (cursors_s[0] && cursors_s[1]) {
        second = ChartView::tr("to the dashed line at %1: %2")
                     .arg(QString::fromStdString(momentText(*cursors_s[1], pixel_s)),
                          QString::fromStdString(distanceText(content, *cursors_s[0], *cursors_s[1], pixel_s)));
    } else if (cursors_s[1]) {
        second = ChartView::tr("dashed line at %1")
                     .arg(QString::fromStdString(window::readOut(content, *cursors_s[1], pixel_s)));
    }
    QString hint;
    const auto landmark = landmarkOf(selected, content);
    if (pending.landmark_s) {
        hint = ChartView::tr("%1 to %2")
                   .arg(selected.kind == Target::Kind::pin ? QString::fromStdString(content.pins[selected.index].name)
                                                           : ChartView::tr("edge of the plateau"),
                        QString::fromStdString(window::readOut(content, *pending.landmark_s, pixel_s)));
        if (gesture == Gesture::none) {
            hint += ChartView::tr(" \u00b7 Enter keeps it there, Escape does not");
        }
    } else if (selected.kind == Target::Kind::pin && !landmark) {
        hint = ChartView::tr("only the landmarks of the hottest exotherm can be moved");
    } else if (landmark) {
        const QString name = selected.kind == Target::Kind::pin
                                 ? QString::fromStdString(content.pins[selected.index].name)
                                 : ChartView::tr("edge of the plateau");
        hint = isByHand(selected, content)
                   ? ChartView::tr("%1, put by hand: drag it, or arrow keys and Enter; Delete puts it back").arg(name)
                   : ChartView::tr("%1: drag it along the trace, or arrow keys and Enter").arg(name);
    } else if (selected.kind == Target::Kind::annotation) {
        hint = pending.annotation && gesture == Gesture::none
                   ? ChartView::tr("Enter keeps it there, Escape does not")
                   : ChartView::tr("drag or arrow keys move it, Enter edits its words, Delete removes it");
    } else {
        switch (tool) {
        case ChartTool::pan:
            hint = ChartView::tr("drag to move \u00b7 Ctrl+wheel zooms \u00b7 click for the values at a moment \u00b7 "
                                 "right button for more");
            break;
        case ChartTool::boxZoom:
            hint = ChartView::tr("drag a box around what you want to see");
            break;
        case ChartTool::text:
            hint = ChartView::tr("click where the words go, or Enter to write beside the cursor");
            break;
        case ChartTool::arrow:
            hint = ChartView::tr("drag from what you mean to where the words go");
            break;
        case ChartTool::span:
            hint = ChartView::tr("drag from the start to the end of the stretch");
            break;
        case ChartTool::cursor:
            hint = ChartView::tr("click or arrow keys move the line; with Shift the second one");
            break;
        }
    }
    const bool urgent = !selected.isNone() || tool != ChartTool::pan;
    if (first.isEmpty()) {
        first = second;
        second.clear();
    }
    QStringList lines;
    for (const QString& line : {first, second}) {
        if (!line.isEmpty()) {
            lines << line;
        }
    }
    if (lines.isEmpty() || urgent) {
        lines << hint;
    } else if (lines.size() == 1) {
        lines << ChartView::tr("Shift+click sets a second line to measure from this one");
    }
    return lines;
}

void ChartView::Parts::paintOver(QPainter& painter) {
    const report::Theme& theme = canvas.theme();
    const report::PlotLayout& layout = canvas.layout();
    painter.save();
    painter.scale(canvas.scale(), canvas.scale());
    painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing);
    const QFont font = report::drawingFont(report::small_text);
    painter.setFont(font);
    const auto words = [&](QPointF at, const QString& text) { // middle line at y, on a ground
        const double width = QFontMetricsF(font).horizontalAdvance(text);
        const double left = std::clamp(at.x(), 2.0, std::max(2.0, layout.page.size.width() - width - 4.0));
        const QRectF box(left, at.y() - 0.5 * report::line_height, width + 2.0, report::line_height);
        painter.fillRect(box.adjusted(-2.0, 0.0, 2.0, 0.0), theme.ground);
        painter.setPen(theme.ink);
        painter.drawText(box, Qt::AlignLeft | Qt::AlignVCenter, text);
    };
    painter.setClipRect(QRectF(0.0, layout.areas.front().top, layout.page.size.width(),
                               layout.areas.back().bottom - layout.areas.front().top));
    for (std::size_t i = 0; i < cursors_s.size(); ++i) {
        if (!cursors_s[i] || !layout.shows(*cursors_s[i])) {
            continue;
        }
        QPen pen(theme.ink, 1.2);
        if (i == 1) {
            pen.setDashPattern({5.0, 3.0});
        }
        const double x = layout.xOf(*cursors_s[i]);
        for (const report::Box& area : layout.areas) {
            painter.setPen(pen);
            painter.drawLine(QPointF(x, area.top), QPointF(x, area.bottom));
        }
        const double value = temperatureAt(canvas.content(), *cursors_s[i]);
        if (std::isfinite(value)) {
            painter.setPen(QPen(theme.ink, 1.4));
            painter.setBrush(theme.ground);
            painter.drawRect(QRectF(x - 3.0, report::yOf(value, canvas.view(), layout, 0) - 3.0, 6.0, 6.0));
        }
    }
    const auto ring = [&](const QRectF& around) {
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(theme.plateau, 2.0));
        painter.drawRoundedRect(around, 4.0, 4.0);
    };
    if (selected.kind == Target::Kind::pin) {
        for (const report::ShownPin& pin : canvas.marks().pins) {
            if (pin.pin == selected.index) {
                const double r = report::pin_radius + 3.5;
                ring(QRectF(pin.place.x - r, pin.place.y - r, 2.0 * r, 2.0 * r));
            }
        }
    } else if (selected.kind == Target::Kind::plateauEdge && canvas.content().boil_plateau) {
        const double time_s = selected.landmark == LandmarkKind::boilStart ? canvas.content().boil_plateau->from_s
                                                                           : canvas.content().boil_plateau->to_s;
        const report::Box& area = layout.areas.front();
        const double x = layout.xOf(time_s);
        ring(QRectF(x - 4.0, area.top + 2.0, 8.0, area.height() - 4.0));
    } else if (selected.kind == Target::Kind::annotation) {
        for (const report::ShownAnnotation& shown : canvas.marks().annotations) {
            if (shown.annotation == selected.index) {
                if (shown.text.width() > 0.0) {
                    ring(rectOf(shown.text).adjusted(-4.0, -2.0, 4.0, 2.0));
                }
                if (canvas.content().annotations[shown.annotation].kind != AnnotationKind::text) {
                    painter.setBrush(theme.ground);
                    for (const Point& end : {shown.at, shown.to}) {
                        painter.drawEllipse(pointOf(end), 4.0, 4.0);
                    }
                }
            }
        }
    }
    QPen ghost(theme.ink, 1.2);
    ghost.setDashPattern({3.0, 2.0});
    if (pending.landmark_s && layout.shows(*pending.landmark_s)) {
        const report::Box& area = layout.areas.front();
        const double x = layout.xOf(*pending.landmark_s);
        painter.setPen(ghost);
        painter.drawLine(QPointF(x, area.top), QPointF(x, area.bottom));
        const double value = temperatureAt(canvas.content(), *pending.landmark_s);
        if (std::isfinite(value)) {
            painter.setPen(QPen(theme.ground, 1.2));
            painter.setBrush(theme.ink);
            painter.drawEllipse(QPointF(x, report::yOf(value, canvas.view(), layout, 0)), 5.0, 5.0);
        }
    }
    std::optional<Annotation> drawn = pending.annotation;
    if (gesture == Gesture::draw && dragged) {
        drawn = drawnTo(now);
    } else if (!entry.isNull() && entered_index < 0) {
        drawn = entered;
    }
    if (drawn) {
        if (const auto pane = report::paneIndex(canvas.content(), drawn->pane)) {
            const auto at = [&](double time_s, double value) {
                return QPointF(layout.xOf(time_s), report::yOf(value, canvas.view(), layout, *pane));
            };
            const QPointF from = at(drawn->time_s, drawn->value);
            QPointF words_at = from;
            painter.setPen(ghost);
            if (drawn->kind != AnnotationKind::text) {
                const QPointF to =
                    at(drawn->to_time_s, drawn->kind == AnnotationKind::span ? drawn->value : drawn->to_value);
                painter.drawLine(from, to);
                painter.setBrush(theme.ink);
                painter.drawEllipse(from, 3.0, 3.0);
                if (drawn->kind == AnnotationKind::span) {
                    painter.drawEllipse(to, 3.0, 3.0);
                    words_at = 0.5 * (from + to) + QPointF(-30.0, -10.0);
                } else {
                    words_at = to;
                }
            }
            if (!drawn->text.empty() && entry.isNull()) {
                words(words_at, QString::fromStdString(drawn->text));
            }
        }
    }
    if (gesture == Gesture::box && dragged) {
        const report::Box& first = layout.areas.front();
        QRectF box(QPointF(std::clamp(pressed.x, first.left, first.right), pressed.y),
                   QPointF(std::clamp(now.x, first.left, first.right), now.y));
        box = box.normalized();
        QColor fill = theme.plateau;
        fill.setAlphaF(0.15F);
        painter.setPen(ghost);
        painter.setBrush(fill);
        painter.drawRect(box);
    }
    painter.setClipping(false);
    const QStringList lines = stripLines();
    double y = 12.0;
    painter.setPen(theme.ink);
    for (const QString& line : lines) {
        painter.drawText(QRectF(report::page_edge, y - 0.5 * report::line_height,
                                layout.page.size.width() - 2.0 * report::page_edge, report::line_height),
                         Qt::AlignLeft | Qt::AlignVCenter,
                         fitted(line, font, layout.page.size.width() - 2.0 * report::page_edge));
        y += report::line_height;
    }
    painter.restore();
}

} // namespace potwatch::window
