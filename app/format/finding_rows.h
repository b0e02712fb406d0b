// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/annotation.h"
#include "analysis/values/findings.h"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::format {

// Findings as rows of a list, in the words of the command line.

enum class FindingGroup { timesAndTemperatures, heat, cure, samples };

enum class FindingId {
    firstDeviation,
    onset,
    steepest,
    fastestRise,
    peak,
    highestReading,
    boiling,
    end,
    otherExotherm,
    heatReleased,
    heatPerGram,
    lossCoefficient,
    lossExponent,
    surroundings,
    heatCapacity,
    adiabaticRise,
    thermalInertia,
    mtsr,
    evaporated,
    residualHeat,
    degree,
    degreeAt,
    degreeBefore,
    referenceHeat,
    stage,
    gelTime,
    equivalentTime,
    samples,
    interval
};

// Which of the exotherms are worth naming, in the order of time: the one that the landmarks belong to, and the hottest
// of the others. A pot has a few; a trace with more is of something else.
inline constexpr std::size_t most_named_exotherms = 6;
[[nodiscard]] std::vector<std::size_t> namedExotherms(const Findings& findings);

// The one whose peak is nearest that of the landmarks at the top; empty where there is none.
[[nodiscard]] std::optional<std::size_t> largestExotherm(const Findings& findings);

// The stretch of a pane that a finding comes from; a moment where both ends are equal.
struct FindingPlace {
    PaneKind pane = PaneKind::temperature;
    double from_s = 0.0;
    double to_s = 0.0;

    bool operator==(const FindingPlace&) const = default;
};

struct FindingRow {
    FindingId id = FindingId::onset;
    FindingGroup group = FindingGroup::timesAndTemperatures;
    std::string name;      // "onset"
    std::string result;    // "663 ± 2 s"; "not found"
    std::string second;    // of a landmark: "48.6 ± 1.2 °C"
    std::string intervals; // "661 to 665 s, 47.4 to 49.8 °C"; empty where there is none
    std::optional<FindingPlace> place;
    std::optional<double> time_s;         // of a landmark: that of its pin on the chart
    std::optional<LandmarkKind> landmark; // where it is one of the hottest exotherm; of "boiling" its start
    bool by_hand = false;

    bool operator==(const FindingRow&) const = default;
};

// All findings, group by group. What was not found has a row that says so where a person would look for it.
[[nodiscard]] std::vector<FindingRow> findingRows(const Analysis& analysis);

[[nodiscard]] std::string_view titleOf(FindingGroup group);

// "onset	663 ± 2 s	48.6 ± 1.2 °C	661 to 665 s, 47.4 to 49.8 °C": for the clipboard.
[[nodiscard]] std::string tabbed(const FindingRow& row);

} // namespace potwatch::format
