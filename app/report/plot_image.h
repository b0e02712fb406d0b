// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/plot.h"

#include <QImage>

namespace potwatch::report {

// The plot as it is in a PNG file, for the clipboard or the printer. Errors: as writePlot.
[[nodiscard]] Result<QImage> plotImage(const Analysis& analysis, const PlotOptions& options = {});

} // namespace potwatch::report
