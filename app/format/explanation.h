// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"
#include "app/format/finding_rows.h"

#include <string>
#include <string_view>
#include <vector>

namespace potwatch::format {

// A figure that a finding rests on.
struct ExplainedInput {
    std::string name;
    std::string value; // "1.85 J/(g K)"
    std::string u;     // "0.056 J/(g K)"; empty = not stated
    std::string from;  // "batch file", "default", "measured", "this run"
    std::string field; // of the batch: "charge.specific_heat_j_per_g_k"; empty where there is none

    bool operator==(const ExplainedInput&) const = default;
};

// How a finding was computed, in plain text.
struct Explanation {
    std::string title;  // "onset: 663 ± 2 s, 48.6 ± 1.2 °C"
    std::string shown;  // what is known of its interval, a sentence; empty where there is none
    std::string how;    // one short paragraph
    std::string inside; // the formula in words; empty where there is none
    std::vector<ExplainedInput> inputs;
    std::string by_hand; // "put by hand at 663 s"; empty where the analysis found it

    bool operator==(const Explanation&) const = default;
};

// How findings of a kind are computed, whatever the run: the first two texts of an explanation.
struct Method {
    std::string how;
    std::string inside;
};
[[nodiscard]] Method methodOf(FindingId id);

[[nodiscard]] Explanation explain(const Analysis& analysis, const FindingRow& row);

// The explanation as lines of text.
[[nodiscard]] std::string explanationText(const Explanation& explanation);

// The field of the batch that an input stands in: "sensor.lag_s" for "probe lag"; empty where there is none.
[[nodiscard]] std::string_view fieldOfInput(std::string_view input_name);

// The field of the batch that mends what a warning says, where the warning names one ("[charge] resin_g"); else empty.
[[nodiscard]] std::string fieldOfWarning(std::string_view warning);

} // namespace potwatch::format
