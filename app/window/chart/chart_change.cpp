// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/number.h"
#include "app/window/chart/chart_parts.h"
#include "app/window/chart/read_out.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::window {

using report::Point;
using report::Range;

void ChartView::Parts::select(const Target& target) {
    if (!(target == selected)) {
        pending = {};
    }
    selected = target;
    view.update();
}

double ChartView::Parts::clampedTime(double time_s) const {
    const Range whole = report::wholeRange(canvas.content());
    return std::clamp(time_s, whole.low, whole.high);
}

std::size_t ChartView::Parts::paneAt(Point at) {
    const std::vector<report::Box>& areas = canvas.layout().areas;
    std::size_t pane = 0;
    double least = std::abs(at.y - 0.5 * (areas[0].top + areas[0].bottom)) - 0.5 * areas[0].height();
    for (std::size_t i = 1; i < areas.size(); ++i) {
        const double away = std::abs(at.y - 0.5 * (areas[i].top + areas[i].bottom)) - 0.5 * areas[i].height();
        if (away < least) {
            least = away;
            pane = i;
        }
    }
    return pane;
}

namespace {

// Moves the part of an annotation that is held by that much of time and value.
Annotation moved(Annotation annotation, Target::Part part, double by_s, double by_value) {
    if (part != Target::Part::to) {
        annotation.time_s += by_s;
    }
    if (part != Target::Part::at && annotation.kind != AnnotationKind::text) {
        annotation.to_time_s += by_s;
    }
    if (annotation.kind == AnnotationKind::span) { // it is level
        annotation.value += by_value;
        annotation.to_value = annotation.value;
        return annotation;
    }
    if (part != Target::Part::to) {
        annotation.value += by_value;
    }
    if (part != Target::Part::at && annotation.kind == AnnotationKind::arrow) {
        annotation.to_value += by_value;
    }
    return annotation;
}

} // namespace

void ChartView::Parts::dragTo(Point at) {
    const report::PlotLayout& layout = canvas.layout();
    const double by_s = layout.timeAt(at.x) - layout.timeAt(pressed.x);
    if (gesture == Gesture::moveLandmark || (gesture == Gesture::none && held.kind != Target::Kind::annotation)) {
        const auto landmark = landmarkOf(held, canvas.content());
        if (landmark) {
            const double from_s = held.kind == Target::Kind::pin             ? canvas.content().pins[held.index].time_s
                                  : held.landmark == LandmarkKind::boilStart ? canvas.content().boil_plateau->from_s
                                                                             : canvas.content().boil_plateau->to_s;
            pending.landmark_s = clampedTime(from_s + by_s);
        }
        return;
    }
    if (before_drag) {
        const auto pane = report::paneIndex(canvas.content(), before_drag->pane);
        if (pane) {
            const double by_value = report::valueOf(at.y, canvas.view(), layout, *pane) -
                                    report::valueOf(pressed.y, canvas.view(), layout, *pane);
            pending.annotation = moved(*before_drag, held.part, by_s, by_value);
        }
    }
}

void ChartView::Parts::nudge(double dx, double dy) {
    const double by_s = dx * secondsAPixel();
    if (selected.kind == Target::Kind::annotation) {
        const Annotation from = pending.annotation.value_or(canvas.analysis().annotations[selected.index]);
        const auto pane = report::paneIndex(canvas.content(), from.pane);
        if (pane) {
            const double a_pixel = canvas.view().panes[*pane].range.width() / canvas.layout().areas[*pane].height();
            pending.annotation = moved(from, selected.part, by_s, -dy * a_pixel);
        }
    } else if (landmarkOf(selected, canvas.content())) {
        double from_s = 0.0;
        if (selected.kind == Target::Kind::pin) {
            from_s = canvas.content().pins[selected.index].time_s;
        } else if (canvas.content().boil_plateau) {
            from_s = selected.landmark == LandmarkKind::boilStart ? canvas.content().boil_plateau->from_s
                                                                  : canvas.content().boil_plateau->to_s;
        }
        pending.landmark_s = clampedTime(pending.landmark_s.value_or(from_s) + by_s);
    }
    view.update();
}

bool ChartView::Parts::commit() {
    const Pending said = std::exchange(pending, {});
    view.update();
    if (said.landmark_s) {
        if (const auto landmark = landmarkOf(selected, canvas.content())) {
            Q_EMIT view.landmarkMoved(*landmark, *said.landmark_s);
            return true;
        }
    }
    if (said.annotation && selected.kind == Target::Kind::annotation) {
        Q_EMIT view.annotationChanged(static_cast<int>(selected.index), *said.annotation);
        return true;
    }
    return false;
}

bool ChartView::Parts::removeSelected() {
    const Target target = selected;
    pending = {};
    view.update();
    if (target.kind == Target::Kind::annotation) {
        selected = {};
        Q_EMIT view.annotationRemoved(static_cast<int>(target.index));
        return true;
    }
    const auto landmark = landmarkOf(target, canvas.content());
    if (landmark && isByHand(target, canvas.content())) {
        Q_EMIT view.landmarkReset(*landmark);
        return true;
    }
    return false;
}

void ChartView::Parts::moveCursor(std::size_t which, double time_s) {
    cursors_s[which] = clampedTime(time_s);
    const Range shown = canvas.shown();
    if (*cursors_s[which] < shown.low || *cursors_s[which] > shown.high) { // it takes the view along
        const double by_s =
            *cursors_s[which] < shown.low ? *cursors_s[which] - shown.low : *cursors_s[which] - shown.high;
        view.showTime({.low = shown.low + by_s, .high = shown.high + by_s});
    }
    view.update();
}

Annotation ChartView::Parts::drawnTo(Point at) {
    const report::PlotLayout& layout = canvas.layout();
    const std::size_t pane = paneAt(pressed);
    const report::Box& area = layout.areas[pane];
    const auto timeAt = [&](double x) { return layout.timeAt(std::clamp(x, area.left, area.right)); };
    const auto valueAt = [&](double y) {
        return report::valueOf(std::clamp(y, area.top, area.bottom), canvas.view(), layout, pane);
    };
    Annotation drawn{.kind = AnnotationKind::text,
                     .pane = canvas.content().panes[pane].kind,
                     .time_s = timeAt(pressed.x),
                     .value = valueAt(pressed.y),
                     .to_time_s = timeAt(at.x),
                     .to_value = valueAt(at.y),
                     .text = {}};
    if (tool == ChartTool::arrow) {
        drawn.kind = AnnotationKind::arrow;
    } else if (tool == ChartTool::span) {
        drawn.kind = AnnotationKind::span;
        if (drawn.to_time_s < drawn.time_s) {
            std::swap(drawn.time_s, drawn.to_time_s);
        }
        drawn.to_value = drawn.value;
        drawn.text = format::durationText(drawn.to_time_s - drawn.time_s);
        const double rise_k =
            temperatureAt(canvas.content(), drawn.to_time_s) - temperatureAt(canvas.content(), drawn.time_s);
        if (drawn.pane == PaneKind::temperature && std::isfinite(rise_k)) {
            drawn.text += ", " + format::riseText(rise_k);
        }
    } else {
        drawn.to_time_s = drawn.time_s;
        drawn.to_value = drawn.value;
    }
    return drawn;
}

void ChartView::Parts::writeAtCursor() {
    const report::PlotLayout& layout = canvas.layout();
    const double time_s = cursors_s[0].value_or(0.5 * (layout.shown_s.low + layout.shown_s.high));
    const double value = temperatureAt(canvas.content(), time_s);
    constexpr double above = 16.0;
    pressed = {.x = layout.xOf(time_s),
               .y = std::isfinite(value) ? report::yOf(value, canvas.view(), layout, 0) - above
                                         : 0.5 * (layout.areas[0].top + layout.areas[0].bottom)};
    openEntry(drawnTo(pressed), -1);
}

void ChartView::Parts::openEntry(const Annotation& annotation, int index) {
    closeEntry(true);
    const auto pane = report::paneIndex(canvas.content(), annotation.pane);
    if (!pane) {
        return;
    }
    entered = annotation;
    entered_index = index;
    entry = new QLineEdit(&view);
    entry->setObjectName(QStringLiteral("annotation_entry"));
    entry->setAccessibleName(ChartView::tr("Words of the annotation"));
    entry->setPlaceholderText(annotation.kind == AnnotationKind::span ? ChartView::tr("words, if any")
                                                                      : ChartView::tr("words"));
    entry->setText(QString::fromStdString(annotation.text));
    entry->setMaxLength(120);
    const report::PlotLayout& layout = canvas.layout();
    const bool at_end = annotation.kind == AnnotationKind::arrow;
    const double time_s = annotation.kind == AnnotationKind::span ? 0.5 * (annotation.time_s + annotation.to_time_s)
                          : at_end                                ? annotation.to_time_s
                                                                  : annotation.time_s;
    const double value = at_end ? annotation.to_value : annotation.value;
    const QPointF at = onWidget({.x = layout.xOf(time_s), .y = report::yOf(value, canvas.view(), layout, *pane)});
    constexpr int width = 220;
    const QSize size(std::min(width, view.width()), entry->sizeHint().height());
    const int left = static_cast<int>(at.x()) - (annotation.kind == AnnotationKind::text ? 6 : size.width() / 2);
    entry->setGeometry(
        std::clamp(left, 0, std::max(0, view.width() - size.width())),
        std::clamp(static_cast<int>(at.y()) - size.height() / 2, 0, std::max(0, view.height() - size.height())),
        size.width(), size.height());
    QObject::connect(entry, &QLineEdit::editingFinished, &view, [this] { closeEntry(true); });
    entry->installEventFilter(&view);
    entry->show();
    entry->setFocus(Qt::OtherFocusReason);
    entry->selectAll();
    view.update();
}

void ChartView::Parts::closeEntry(bool keep) {
    if (entry.isNull()) {
        return;
    }
    QLineEdit* const closing = entry.data();
    entry.clear(); // what follows may come back here
    const QString written = closing->text().trimmed();
    const bool had_focus = closing->hasFocus();
    closing->hide();
    closing->deleteLater();
    if (had_focus) {
        view.setFocus(Qt::OtherFocusReason);
    }
    view.update();
    const bool wordless = written.isEmpty() && entered.kind == AnnotationKind::text;
    if (!keep || wordless) {
        return;
    }
    Annotation annotation = entered;
    annotation.text = written.toStdString();
    if (entered_index >= 0) {
        if (annotation.text != entered.text) {
            Q_EMIT view.annotationChanged(entered_index, annotation);
        }
        return;
    }
    view.setTool(ChartTool::pan);
    Q_EMIT view.annotationAdded(annotation);
}

} // namespace potwatch::window
