// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/compare_scene.h"
#include "app/window/compare/compare_desk.h"

#include <QPixmap>
#include <QWidget>

namespace potwatch::window {

// The picture of the comparison. The run under the mouse is lit up; by key the runs are gone through from left to right
// in the scatter.
class CompareChart : public QWidget {
    Q_OBJECT

public:
    explicit CompareChart(CompareDesk& desk, QWidget* parent = nullptr);

    // Where the runs lie, for tests; laid out if need be.
    [[nodiscard]] const report::CompareMap& map();
    // What is said of the run at that place; empty = no run there.
    [[nodiscard]] QString tipAt(QPointF at);

Q_SIGNALS:
    void runWanted(const potwatch::book::RunId& id); // Enter or a double click: to be analysed

protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void changeEvent(QEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseDoubleClickEvent(QMouseEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    bool event(QEvent* event) override;

private:
    void layOut();
    void step(int by);

    CompareDesk& desk_;
    std::shared_ptr<const ComparedSet> shown_;
    report::CompareMap map_;
    QPixmap picture_; // null until it is painted in this size and these colours
};

} // namespace potwatch::window
