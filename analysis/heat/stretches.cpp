// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/stretches.h"

#include <algorithm>
#include <cmath>

namespace potwatch::heat {

double lossFactorAt(const std::vector<Stretch>& stretches, double at_s) {
    const auto found = std::find_if(stretches.begin(), stretches.end(), [&](const Stretch& stretch) {
        return at_s >= stretch.from_s && at_s <= stretch.to_s;
    });
    return found == stretches.end() ? 1.0 : std::exp(found->log_factor);
}

} // namespace potwatch::heat
