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
    QColor highlight;   // ground of what is lit up; its edges are ink
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
            .plateau = QColor(0, 114, 178),
            .highlight = QColor(230, 159, 0)};
}

// The same for a dark window: sky blue in place of blue, which is too dark there.
[[nodiscard]] inline Theme darkTheme() {
    return {.ground = QColor(27, 29, 31),
            .ink = QColor(236, 236, 236),
            .frame = QColor(150, 150, 150),
            .grid = QColor(56, 58, 60),
            .reading = QColor(140, 140, 140),
            .rate = QColor(213, 94, 0),
            .heat_flow = QColor(0, 158, 115),
            .degree = QColor(204, 121, 167),
            .plateau = QColor(86, 180, 233),
            .highlight = QColor(230, 159, 0),
            .fill = 0.34,
            .band = 0.30};
}

} // namespace potwatch::report
