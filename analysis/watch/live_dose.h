// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/event.h"
#include "analysis/values/watch_state.h"

#include <optional>
#include <span>

namespace potwatch::watch {

// The dose as it stands while the pot cooks.
struct LiveDose {
    DosePhase phase = DosePhase::none;
    std::optional<double> dosed_g;      // up to now; empty where it cannot be told
    std::optional<double> share;        // of the stated total
    std::optional<double> rate_g_per_s; // steady dosing, while it goes on

    bool operator==(const LiveDose&) const = default;
};

// Events "dose start" and "dose end" outrank steps done by hand, which outrank the stated start and rate. What was
// dosed between the marks is known from the rate or the steps alone: a stated total says nothing of it until the dose
// has ended. With a rate the dose ends when the total is in, with steps where the total is reached; otherwise at its
// mark.
[[nodiscard]] LiveDose liveDose(const std::optional<Dose>& dose, std::span<const Event> events, double now_s);

} // namespace potwatch::watch
