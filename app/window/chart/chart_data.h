// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"
#include "app/report/plot_content.h"

#include <memory>
#include <stop_token>

namespace potwatch::window {

// One run made ready to be drawn: what its plot says, with a pyramid over each trace. Never changed once made, so that
// it can be made on another thread.
struct ChartData {
    std::shared_ptr<const Analysis> analysis; // the content looks into it
    report::PlotContent content;
};

// Null where it was stopped. Cost: a few passes over all samples.
[[nodiscard]] std::shared_ptr<const ChartData> chartData(std::shared_ptr<const Analysis> analysis,
                                                         const std::stop_token& stop = {});

} // namespace potwatch::window
