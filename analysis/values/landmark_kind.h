// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <optional>
#include <string_view>

namespace potwatch {

// The landmarks of a run's largest exotherm, in the order of time.
enum class LandmarkKind { firstDeviation, onset, steepest, boilStart, peak, boilEnd, end };

inline constexpr std::array<LandmarkKind, 7> all_landmark_kinds{
    LandmarkKind::firstDeviation, LandmarkKind::onset,   LandmarkKind::steepest, LandmarkKind::boilStart,
    LandmarkKind::peak,           LandmarkKind::boilEnd, LandmarkKind::end};

// The kind as it stands in files: "first_deviation", "onset", "steepest", "boil_start", "peak", "boil_end", "end".
[[nodiscard]] std::string_view nameOf(LandmarkKind kind);
[[nodiscard]] std::optional<LandmarkKind> landmarkKindNamed(std::string_view name);

// A landmark put where the person says it is. It outranks what the analysis would find, and what hangs on it (its
// temperature, the spans, the cooling that the heat balance reads, the plateau's evaporation) follows it.
struct LandmarkOverride {
    LandmarkKind landmark = LandmarkKind::onset;
    double time_s = 0.0;

    bool operator==(const LandmarkOverride&) const = default;
};

} // namespace potwatch
