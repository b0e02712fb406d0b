// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QColor>

namespace potwatch::report {

// Colours of a plot. Traces keep at least 3:1 contrast on the ground, text is always ink.
// Source: the Okabe-Ito palette (Okabe and Ito, "Color Universal Design", 2008): vermilion, bluish green, reddish
// purple, blue.
struct Theme {
    QColor ground;
    QColor ink;
    QColor frame;
    QColor grid;    // decoration, carries no meaning
    QColor reading; // the probe's trace behind the resin's
    QColor rate;
    QColor heat_flow;
    QColor degree;
    QColor plateau;     // hatching of the boil plateau
    double fill = 0.30; // opacity of filled areas
    double band = 0.22; // opacity of interval bands
};

[[nodiscard]] inline Theme paperTheme() {
    return {.ground = QColor(255, 255, 255),
            .ink = QColor(26, 26, 26),
            .frame = QColor(90, 90, 90),
            .grid = QColor(226, 226, 226),
            .reading = QColor(118, 118, 118),
            .rate = QColor(213, 94, 0),
            .heat_flow = QColor(0, 158, 115),
            .degree = QColor(204, 121, 167),
            .plateau = QColor(0, 114, 178)};
}

} // namespace potwatch::report
