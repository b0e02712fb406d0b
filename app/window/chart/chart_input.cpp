// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/chart/chart_parts.h"

#include <QApplication>
#include <QContextMenuEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QWheelEvent>

#include <algorithm>
#include <cmath>

namespace potwatch::window {

using report::Point;
using report::Range;

namespace {

constexpr double zoom_step = 1.25;
constexpr double pan_step = 0.1;
constexpr double drag_from = 4.0; // page units that a pressed pointer moves before it is a drag
constexpr double least_box = 6.0;

struct ToolKey {
    int key;
    ChartTool tool;
};
constexpr std::array<ToolKey, 6> tool_keys{{{Qt::Key_H, ChartTool::pan},
                                            {Qt::Key_Z, ChartTool::boxZoom},
                                            {Qt::Key_C, ChartTool::cursor},
                                            {Qt::Key_T, ChartTool::text},
                                            {Qt::Key_A, ChartTool::arrow},
                                            {Qt::Key_S, ChartTool::span}}};

bool isInside(Point at, const report::PlotLayout& layout) {
    return at.x >= layout.areas.front().left && at.x <= layout.areas.front().right &&
           at.y >= layout.areas.front().top && at.y <= layout.areas.back().bottom;
}

} // namespace

void ChartView::Parts::press(Point at, Qt::KeyboardModifiers modifiers) {
    closeEntry(true);
    pressed = at;
    now = at;
    dragged = false;
    gesture = Gesture::none;
    pressed_shown_s = canvas.shown();
    const bool shift = modifiers.testFlag(Qt::ShiftModifier);
    if (!isInside(at, canvas.layout())) {
        return;
    }
    const auto cursor = [&](std::size_t which) {
        held = {.kind = Target::Kind::cursor, .index = which};
        gesture = Gesture::moveCursor;
    };
    switch (tool) {
    case ChartTool::boxZoom:
        gesture = Gesture::box;
        break;
    case ChartTool::cursor:
        cursor(shift ? 1 : 0);
        moveCursor(held.index, canvas.layout().timeAt(at.x));
        break;
    case ChartTool::text:
        openEntry(drawnTo(at), -1);
        break;
    case ChartTool::arrow:
    case ChartTool::span:
        gesture = Gesture::draw;
        break;
    case ChartTool::pan:
        held = targetAt(at, surroundings());
        pending = {};
        if (held.kind == Target::Kind::cursor) {
            gesture = Gesture::moveCursor;
        } else if (held.kind == Target::Kind::annotation) {
            select(held);
            before_drag = canvas.content().annotations[held.index];
            before_drag->text = canvas.analysis().annotations[held.index].text; // as it was written, not as it is drawn
            gesture = Gesture::moveAnnotation;
        } else if (!held.isNone()) {
            select(held);
            gesture = landmarkOf(held, canvas.content()) ? Gesture::moveLandmark : Gesture::none;
        } else {
            gesture = shift ? Gesture::box : Gesture::pan;
        }
        break;
    }
    view.update();
}

void ChartView::Parts::move(Point at) {
    now = at;
    if (!dragged && std::hypot(at.x - pressed.x, at.y - pressed.y) < drag_from) {
        return;
    }
    dragged = true;
    switch (gesture) {
    case Gesture::pan: {
        const double by_s = (pressed.x - at.x) / canvas.layout().areas.front().width() * pressed_shown_s.width();
        view.setCursor(Qt::ClosedHandCursor);
        view.showTime({.low = pressed_shown_s.low + by_s, .high = pressed_shown_s.high + by_s});
        break;
    }
    case Gesture::moveCursor:
        moveCursor(held.index, canvas.layout().timeAt(at.x));
        break;
    case Gesture::moveLandmark:
    case Gesture::moveAnnotation:
        dragTo(at);
        break;
    case Gesture::box:
    case Gesture::draw:
    case Gesture::none:
        break;
    }
    view.update();
}

void ChartView::Parts::release(Point at, Qt::KeyboardModifiers modifiers) {
    const Gesture ended = gesture;
    gesture = Gesture::none;
    now = at;
    const report::PlotLayout& layout = canvas.layout();
    switch (ended) {
    case Gesture::pan:
    case Gesture::box:
        if (!dragged) { // a click
            select({});
            moveCursor(modifiers.testFlag(Qt::ShiftModifier) ? 1 : 0, layout.timeAt(at.x));
        } else if (ended == Gesture::box) {
            const report::Box& plot = layout.areas.front();
            const double left = std::clamp(std::min(pressed.x, at.x), plot.left, plot.right);
            const double right = std::clamp(std::max(pressed.x, at.x), plot.left, plot.right);
            const double top = std::min(pressed.y, at.y);
            const double bottom = std::max(pressed.y, at.y);
            const std::size_t pane = paneAt(pressed);
            const report::Box area = layout.areas[pane];
            // A box within one pane is meant for its values as well; one that reaches through it only for times.
            constexpr double through = 0.9;
            const bool values = bottom - top >= least_box && pane == paneAt(at) && area.contains(pressed) &&
                                bottom - top < through * area.height();
            const Range range{.low = report::valueOf(std::min(bottom, area.bottom), canvas.view(), layout, pane),
                              .high = report::valueOf(std::max(top, area.top), canvas.view(), layout, pane)};
            if (right - left >= least_box) {
                const Range shown{.low = layout.timeAt(left), .high = layout.timeAt(right)};
                if (values) {
                    canvas.holdRange(pane, range);
                }
                view.showTime(shown);
            }
        }
        break;
    case Gesture::moveLandmark:
    case Gesture::moveAnnotation:
        if (dragged) {
            dragTo(at);
            commit();
        }
        break;
    case Gesture::draw:
        if (dragged) {
            openEntry(drawnTo(at), -1);
        }
        break;
    case Gesture::moveCursor:
    case Gesture::none:
        break;
    }
    dragged = false;
    before_drag.reset();
    hover(at);
    view.update();
}

void ChartView::Parts::hover(Point at) {
    if (!isInside(at, canvas.layout())) {
        view.unsetCursor();
        return;
    }
    if (tool != ChartTool::pan) {
        view.setCursor(tool == ChartTool::text ? Qt::IBeamCursor : Qt::CrossCursor);
        return;
    }
    const Target target = targetAt(at, surroundings());
    switch (target.kind) {
    case Target::Kind::none:
        view.setCursor(Qt::ArrowCursor);
        break;
    case Target::Kind::annotation:
        view.setCursor(Qt::SizeAllCursor);
        break;
    case Target::Kind::pin:
        view.setCursor(landmarkOf(target, canvas.content()) ? Qt::SizeHorCursor : Qt::PointingHandCursor);
        break;
    case Target::Kind::plateauEdge:
    case Target::Kind::cursor:
        view.setCursor(Qt::SplitHCursor);
        break;
    }
}

void ChartView::Parts::cancel() {
    const bool idle =
        entry.isNull() && gesture == Gesture::none && pending.isEmpty() && selected.isNone() && tool == ChartTool::pan;
    closeEntry(false);
    if (gesture == Gesture::pan) {
        view.showTime(pressed_shown_s);
    }
    gesture = Gesture::none;
    dragged = false;
    before_drag.reset();
    pending = {};
    selected = {};
    view.setTool(ChartTool::pan);
    if (idle) {
        cursors_s = {};
    }
    view.unsetCursor();
    view.update();
}

bool ChartView::Parts::isOwnKey(int key, Qt::KeyboardModifiers modifiers) {
    if (modifiers.testFlag(Qt::ControlModifier) || modifiers.testFlag(Qt::MetaModifier)) {
        return false;
    }
    static constexpr std::array<int, 20> keys{Qt::Key_Left,   Qt::Key_Right,  Qt::Key_Up,       Qt::Key_Down,
                                              Qt::Key_Plus,   Qt::Key_Equal,  Qt::Key_Minus,    Qt::Key_Underscore,
                                              Qt::Key_Home,   Qt::Key_End,    Qt::Key_Escape,   Qt::Key_Enter,
                                              Qt::Key_Return, Qt::Key_F2,     Qt::Key_Delete,   Qt::Key_Backspace,
                                              Qt::Key_E,      Qt::Key_PageUp, Qt::Key_PageDown, Qt::Key_Menu};
    const bool tool_key = std::any_of(tool_keys.begin(), tool_keys.end(), [&](ToolKey own) { return own.key == key; });
    if (modifiers.testFlag(Qt::AltModifier)) {
        return key == Qt::Key_Left || key == Qt::Key_Right;
    }
    return tool_key || (key >= Qt::Key_0 && key <= Qt::Key_9) || std::find(keys.begin(), keys.end(), key) != keys.end();
}

bool ChartView::Parts::key(int key, Qt::KeyboardModifiers modifiers) {
    if (!isOwnKey(key, modifiers)) {
        return false;
    }
    const bool shift = modifiers.testFlag(Qt::ShiftModifier);
    const bool alt = modifiers.testFlag(Qt::AltModifier);
    constexpr double far_step = 10.0; // with Shift
    const double step = shift ? far_step : 1.0;
    for (const ToolKey& own : tool_keys) {
        if (own.key == key) {
            view.setTool(own.tool);
            return true;
        }
    }
    if (key >= Qt::Key_1 && key <= Qt::Key_9) {
        const auto index = static_cast<std::size_t>(key - Qt::Key_1);
        for (const Target& target : targets(surroundings())) {
            if (target.kind == Target::Kind::pin && target.index == index) {
                select(target);
            }
        }
        return true;
    }
    switch (key) {
    case Qt::Key_Left:
    case Qt::Key_Right: {
        const double sign = key == Qt::Key_Left ? -1.0 : 1.0;
        if (alt || tool == ChartTool::cursor) {
            const std::size_t which = shift ? 1 : 0;
            const Range shown = canvas.shown();
            const double from = cursors_s[which].value_or(cursors_s[0].value_or(0.5 * (shown.low + shown.high)));
            moveCursor(which, from + sign * secondsAPixel());
        } else if (!selected.isNone()) {
            nudge(sign * step, 0.0);
        } else {
            view.panBy(sign * pan_step * (shift ? 5.0 : 1.0));
        }
        return true;
    }
    case Qt::Key_Up:
    case Qt::Key_Down:
        if (selected.isNone()) {
            return false;
        }
        nudge(0.0, key == Qt::Key_Up ? -step : step);
        return true;
    case Qt::Key_PageUp:
    case Qt::Key_PageDown:
        view.panBy(key == Qt::Key_PageUp ? -1.0 : 1.0);
        return true;
    case Qt::Key_Plus:
    case Qt::Key_Equal:
        view.zoomBy(zoom_step);
        return true;
    case Qt::Key_Minus:
    case Qt::Key_Underscore:
        view.zoomBy(1.0 / zoom_step);
        return true;
    case Qt::Key_Home:
    case Qt::Key_0:
        view.fit();
        return true;
    case Qt::Key_End:
        view.fitAll();
        return true;
    case Qt::Key_Escape:
        cancel();
        return true;
    case Qt::Key_F2:
    case Qt::Key_Enter:
    case Qt::Key_Return:
        if (commit()) {
            return true;
        }
        if (selected.kind == Target::Kind::annotation) {
            openEntry(canvas.analysis().annotations[selected.index], static_cast<int>(selected.index));
        } else if (tool == ChartTool::text) {
            writeAtCursor();
        }
        return true;
    case Qt::Key_Delete:
    case Qt::Key_Backspace:
        removeSelected();
        return true;
    case Qt::Key_E:
        Q_EMIT view.eventWanted(cursors_s[0].value_or(0.5 * (canvas.shown().low + canvas.shown().high)));
        return true;
    case Qt::Key_Menu:
        showMenu(view.mapToGlobal(view.rect().center()), onPage(QPointF(view.rect().center())));
        return true;
    default:
        return false;
    }
}

bool ChartView::Parts::selectNext(bool forward) {
    const std::vector<Target> all = targets(surroundings());
    const auto found = std::find_if(all.begin(), all.end(), [&](const Target& target) {
        return target.kind == selected.kind && target.index == selected.index && target.landmark == selected.landmark;
    });
    const auto count = static_cast<std::ptrdiff_t>(all.size());
    std::ptrdiff_t next = forward ? 0 : count - 1;
    if (found != all.end()) {
        next = found - all.begin() + (forward ? 1 : -1);
    }
    if (next < 0 || next >= count) {
        select({});
        return false;
    }
    select(all[static_cast<std::size_t>(next)]);
    return true;
}

void ChartView::mousePressEvent(QMouseEvent* event) {
    if (event->button() != Qt::LeftButton || parts_->canvas.isEmpty()) {
        QWidget::mousePressEvent(event);
        return;
    }
    parts_->press(parts_->onPage(event->position()), event->modifiers());
}

void ChartView::mouseMoveEvent(QMouseEvent* event) {
    if (parts_->canvas.isEmpty()) {
        return;
    }
    if (event->buttons().testFlag(Qt::LeftButton) && parts_->gesture != Parts::Gesture::none) {
        parts_->move(parts_->onPage(event->position()));
    } else if (event->buttons() == Qt::NoButton) {
        parts_->hover(parts_->onPage(event->position()));
    }
}

void ChartView::mouseReleaseEvent(QMouseEvent* event) {
    if (event->button() == Qt::LeftButton && !parts_->canvas.isEmpty()) {
        parts_->release(parts_->onPage(event->position()), event->modifiers());
    }
}

void ChartView::mouseDoubleClickEvent(QMouseEvent* event) {
    if (event->button() != Qt::LeftButton || parts_->canvas.isEmpty()) {
        return;
    }
    const Target target = targetAt(parts_->onPage(event->position()), parts_->surroundings());
    if (parts_->tool == ChartTool::pan && target.kind == Target::Kind::annotation) {
        parts_->gesture = Parts::Gesture::none;
        parts_->select(target);
        parts_->openEntry(parts_->canvas.analysis().annotations[target.index], static_cast<int>(target.index));
    } else {
        mousePressEvent(event);
    }
}

void ChartView::leaveEvent(QEvent* event) {
    QWidget::leaveEvent(event);
    unsetCursor();
}

void ChartView::wheelEvent(QWheelEvent* event) {
    if (parts_->canvas.isEmpty()) {
        return;
    }
    event->accept();
    constexpr double notch = 120.0; // eighths of a degree
    const QPoint turned = event->angleDelta();
    if (event->modifiers().testFlag(Qt::ControlModifier)) {
        const double factor = std::pow(zoom_step, turned.y() / notch);
        const Range shown = shownTime();
        const report::PlotLayout& layout = parts_->canvas.layout();
        const double about = std::clamp(layout.timeAt(parts_->onPage(event->position()).x), shown.low, shown.high);
        showTime({.low = about + (shown.low - about) / factor, .high = about + (shown.high - about) / factor});
        return;
    }
    const QPoint pixels = event->pixelDelta();
    if (!pixels.isNull()) {
        const double width = parts_->canvas.layout().areas.front().width() * parts_->canvas.scale();
        panBy(-(std::abs(pixels.x()) > std::abs(pixels.y()) ? pixels.x() : pixels.y()) / width);
        return;
    }
    panBy(-pan_step * (turned.x() != 0 ? turned.x() : turned.y()) / notch);
}

void ChartView::keyPressEvent(QKeyEvent* event) {
    if (parts_->canvas.isEmpty() || !parts_->key(event->key(), event->modifiers())) {
        QWidget::keyPressEvent(event);
    }
}

bool ChartView::event(QEvent* event) {
    if (event->type() == QEvent::ShortcutOverride) { // the chart's own keys come before those of the window
        auto* const key = static_cast<QKeyEvent*>(event);
        if (!parts_->canvas.isEmpty() && Parts::isOwnKey(key->key(), key->modifiers())) {
            key->accept();
            return true;
        }
    }
    return QWidget::event(event);
}

bool ChartView::eventFilter(QObject* watched, QEvent* event) {
    const bool typed = event->type() == QEvent::KeyPress || event->type() == QEvent::ShortcutOverride;
    if (typed && watched == parts_->entry.data()) {
        const int key = static_cast<QKeyEvent*>(event)->key();
        const bool enter = key == Qt::Key_Enter || key == Qt::Key_Return;
        if (enter || key == Qt::Key_Escape) {
            event->accept();
            if (event->type() == QEvent::KeyPress) {
                parts_->closeEntry(enter);
            }
            return true;
        }
    }
    return QWidget::eventFilter(watched, event);
}

bool ChartView::focusNextPrevChild(bool next) {
    if (hasFocus() && !parts_->canvas.isEmpty() && parts_->selectNext(next)) {
        return true;
    }
    return QWidget::focusNextPrevChild(next);
}

void ChartView::contextMenuEvent(QContextMenuEvent* event) {
    if (!parts_->canvas.isEmpty()) {
        parts_->showMenu(event->globalPos(), parts_->onPage(QPointF(event->pos())));
    }
}

} // namespace potwatch::window
