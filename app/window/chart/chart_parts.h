// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/geometry.h"
#include "app/window/chart/chart_canvas.h"
#include "app/window/chart/chart_target.h"
#include "app/window/chart/chart_view.h"

#include <QLineEdit>
#include <QPointer>

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <thread>

namespace potwatch::window {

// The state of a ChartView, and what it does with it; the widget only hands its events in.
struct ChartView::Parts {
    // What the pressed mouse button is doing.
    enum class Gesture { none, pan, box, moveLandmark, moveAnnotation, moveCursor, draw };

    // What was moved and is not yet said to anybody.
    struct Pending {
        std::optional<double> landmark_s;
        std::optional<Annotation> annotation;

        [[nodiscard]] bool isEmpty() const { return !landmark_s && !annotation; }
    };

    explicit Parts(ChartView& chart)
        : view(chart) {}

    // chart_view.cpp
    void load(std::shared_ptr<const Analysis> wanted, bool keep_view);
    void take(std::shared_ptr<const ChartData> data, bool keep_view);
    void describe(); // for who cannot see it
    void changed(bool moved);
    [[nodiscard]] ChartSurroundings surroundings();
    [[nodiscard]] report::Point onPage(QPointF pixels) const;
    [[nodiscard]] QPointF onWidget(report::Point page) const;
    [[nodiscard]] double secondsAPixel();
    [[nodiscard]] QStringList stripLines();

    // chart_input.cpp
    void press(report::Point at, Qt::KeyboardModifiers modifiers);
    void move(report::Point at);
    void release(report::Point at, Qt::KeyboardModifiers modifiers);
    void hover(report::Point at);
    void cancel();
    bool key(int key, Qt::KeyboardModifiers modifiers);
    [[nodiscard]] static bool isOwnKey(int key, Qt::KeyboardModifiers modifiers);
    bool selectNext(bool forward);

    // chart_change.cpp
    void select(const Target& target);
    void dragTo(report::Point at);
    void nudge(double dx, double dy); // what is selected, in page units
    bool commit();                    // says what is pending
    bool removeSelected();            // the annotation, or the landmark's place by hand
    void moveCursor(std::size_t which, double time_s);
    void openEntry(const Annotation& annotation, int index);
    void closeEntry(bool keep);
    void writeAtCursor(); // a new text, by keyboard alone
    [[nodiscard]] Annotation drawnTo(report::Point at);
    [[nodiscard]] std::size_t paneAt(report::Point at);
    [[nodiscard]] double clampedTime(double time_s) const; // within the trace

    // chart_overlay.cpp
    void paintOver(QPainter& painter);

    // chart_menu.cpp
    void showMenu(const QPoint& global, report::Point at);

    ChartView& view;
    ChartCanvas canvas;
    std::optional<report::Range> wanted_s; // asked for while the run was made ready
    std::uint64_t generation = 0;
    bool busy = false;
    ChartTool tool = ChartTool::pan;
    std::array<std::optional<double>, 2> cursors_s;
    Target selected;
    Pending pending;
    Gesture gesture = Gesture::none;
    bool dragged = false; // the press has become a drag
    report::Point pressed;
    report::Point now;
    report::Range pressed_shown_s;
    Target held; // by the gesture
    std::optional<Annotation> before_drag;
    QPointer<QLineEdit> entry;
    Annotation entered;
    int entered_index = -1; // -1: a new one
    std::jthread worker;    // last: it ends before what it may still speak to
};

} // namespace potwatch::window
