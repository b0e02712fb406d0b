// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/plot_content.h"

#include <string>

namespace potwatch::window {

// The words of the chart's cursors.

// A moment with no more digits than the picture shows: "13 min 55.2 s". resolution_s: seconds a pixel.
[[nodiscard]] std::string momentText(double time_s, double resolution_s);

// "13 min 55 s: 45.6 °C, read 44.9 °C, 12.1 K/min, 85 W, 4.2 kJ, cure 0.21"; what is missing there is left out.
[[nodiscard]] std::string readOut(const report::PlotContent& content, double time_s, double resolution_s);

// From the first cursor to the second: "1 min 30 s, +51.4 K, 34.3 K/min on average".
[[nodiscard]] std::string distanceText(const report::PlotContent& content, double from_s, double to_s,
                                       double resolution_s);

// The temperature at a time, of the trace that pins stand on; NaN where it is not known.
[[nodiscard]] double temperatureAt(const report::PlotContent& content, double time_s);

} // namespace potwatch::window
