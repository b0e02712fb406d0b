// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/kinetics.h"

#include <optional>

namespace potwatch::watch {

// The pot as it stands at now_s while a catalyst is dosed steadily.
struct DosedPot {
    double now_s = 0.0;
    double temperature_c = 0.0;
    double surroundings_c = 0.0;
    double degree = 0.0;
    double dosed_g = 0.0;
    double rate_g_per_s = 0.0;
    std::optional<double> total_g;
    double limit_c = 0.0;
};

// Until when stopping the dose keeps the forecast peak under the limit.
struct UsefulStop {
    bool too_late = false;          // the peak passes the limit even if the dose stops now
    std::optional<double> latest_s; // time of the run; empty where the dose may go on to its end

    bool operator==(const UsefulStop&) const = default;
};

// The last time at which freezing the dose keeps the forecast peak under the limit, by bisection over forecasts of the
// pot (forecast::simulatePot) from its present state. Empty where it cannot be worked out: charge, specific heat,
// vessel or loss coefficient not stated, or role other than catalyst. Cost: some twenty forecasts, a few milliseconds.
[[nodiscard]] std::optional<UsefulStop> latestUsefulStop(const Batch& batch, const Kinetics& kinetics,
                                                         const DosedPot& pot);

} // namespace potwatch::watch
