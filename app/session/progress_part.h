// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/progress.h"

#include <string_view>

namespace potwatch::session {

// The progress of one piece of work that is a share of the whole, from a point of the whole on.
// The whole's progress must outlive it.
[[nodiscard]] inline Progress partOf(const Progress& whole, double first, double share) {
    if (!whole) {
        return {};
    }
    return [&whole, first, share](double fraction, std::string_view doing) { whole(first + share * fraction, doing); };
}

} // namespace potwatch::session
