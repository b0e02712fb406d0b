// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/compared_run.h"

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::compare {

// The moment of every run that an overlay lays on top of each other.
enum class Align { start, dose, onset, peak };

// Where a run stands in an overlay: its curve is drawn at time_s - offset_s.
struct AlignedRun {
    std::optional<double> offset_s;
    std::string missing; // why the run has no such moment; it is then not drawn, and this is said

    bool operator==(const AlignedRun&) const = default;
};

// Shape: one a run, in their order.
[[nodiscard]] std::vector<AlignedRun> aligned(std::span<const ComparedRun> runs, Align align);

// "start", "dose", "onset", "peak", as the command line has it.
[[nodiscard]] std::string_view nameOf(Align align);
[[nodiscard]] std::optional<Align> alignOf(std::string_view name);

} // namespace potwatch::compare
