// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/plot_content.h"
#include "app/report/plot_layout.h"
#include "app/report/sheet.h"

namespace potwatch::report {

// The column of words beside the panes: keys, landmarks, notes, each beside its pane where there is room, and pushed
// down where there is not, so that nothing overlaps.
// Returns how many pins have their words there; no more should be drawn.
std::size_t drawMargin(Sheet& sheet, const PlotContent& content, const PlotLayout& layout);

inline constexpr double pin_radius = 8.5;

} // namespace potwatch::report
