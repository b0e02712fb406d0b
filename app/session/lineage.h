// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"
#include "app/session/book_list.h"

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::compare {
struct ComparedRun;
}

namespace potwatch::session {

// What became of one figure from one run to the next.
struct FigureChange {
    std::optional<Estimate> before;
    std::optional<Estimate> now;
    bool before_at_least = false; // the pot boiled: the truth lies there or above it
    bool now_at_least = false;
    // now less before, both taken as independent: their common thermocouple makes the truth narrower, never wider.
    // Empty where one of them is unknown or only a lower bound. Source: JCGM 100:2008, 5.1.2.
    std::optional<Estimate> difference;

    bool operator==(const FigureChange&) const = default;
};

// A run beside the one it is based on: what was changed, and what came of it.
struct LineageLine {
    std::size_t run = 0;               // index into the runs given
    std::optional<std::size_t> parent; // likewise, and among the lines; empty = the start of a line
    int depth = 0;                     // as BookLine: steps to indent
    std::string name;
    std::vector<std::string> changes; // batchChanges: the most telling first; empty = the same again, or no parent
    FigureChange peak_c;
    FigureChange heat_j_per_g;
    FigureChange degree;
    std::optional<bool> boiled; // empty = not analysed
    std::optional<bool> parent_boiled;
    std::string outcome; // "foam at the edge, 4.4 % voids"; empty = not stated
    std::string parent_outcome;

    bool operator==(const LineageLine&) const = default;
};

// The runs that are not withdrawn, no blanks, a family one below the other, oldest first (as bookLines by date).
// Shape: `compared` as `runs`, null where a run is not analysed (yet).
[[nodiscard]] std::vector<LineageLine> lineage(std::span<const ListedRun> runs,
                                               std::span<const compare::ComparedRun* const> compared);

// "no longer boiled", "boiled, as before", "boiled now"; empty where neither boiled or one is not known.
[[nodiscard]] std::string boilChangeText(const LineageLine& line);

} // namespace potwatch::session
