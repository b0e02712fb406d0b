// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/landmarks/exotherm.h"
#include "analysis/values/findings.h"
#include "analysis/values/landmark_kind.h"

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::findings {

// The landmarks that a person put by hand, as far as they can be used.
struct PutByHand {
    landmarks::Rise rise; // the largest one, with Rise::by_hand, located anew
    std::optional<BoilPlateau> plateau;
    std::vector<LandmarkKind> used; // in the order of all_landmark_kinds
    std::vector<std::string> warnings;
};

// Takes over what a person put by hand on the largest rise. What lies outside the trace or the rise, or in the wrong
// order, is left out with a warning that says what to do; the later one of two that contradict each other gives way.
// Assumes: rise and plateau were found on curves with the lag of course.
[[nodiscard]] PutByHand putByHand(std::span<const LandmarkOverride> overrides, const landmarks::Rise& rise,
                                  const std::optional<BoilPlateau>& plateau, const landmarks::Course& course,
                                  const landmarks::Curves& curves);

// "first deviation", "onset", "steepest rise", "start of boiling", "peak", "end of boiling", "end of the exotherm".
[[nodiscard]] std::string_view wordsFor(LandmarkKind kind);

} // namespace potwatch::findings
