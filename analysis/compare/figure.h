// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/compared_run.h"
#include "analysis/values/estimate.h"

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace potwatch::compare {

enum class FigureGroup { dosing, pot, landmarks, heat, cure, outcome };

// What one run has of a figure: a number, or a text (hardness), or neither and why.
struct FigureValue {
    std::optional<Estimate> estimate; // a number that the person stated has u = 0 and low = high = value
    std::string text;
    std::string missing; // why there is neither: "the dose is not stated: ..."
    bool at_least =
        false; // without boiling it would have been more (peak of a pot that boiled), or it is a lower bound

    bool operator==(const FigureValue&) const = default;
};

// One column of the table, and an axis of the scatter where it is a number.
struct Figure {
    std::string_view key;   // fixed: of JSON and CSV, and for --x and --y; with its unit: "dose_rate_g_per_min"
    std::string_view title; // "dosing rate"
    std::string_view unit;  // "g/min"; "" for a plain number or a text
    FigureGroup group = FigureGroup::landmarks;
    bool is_text = false;
    bool shown = false; // among the columns that the terminal shows, and a page at first
    FigureValue (*of)(const ComparedRun& run) = nullptr;
};

// The catalogue, in the order of the columns: first what was done, then what came of it. Keys are unique.
[[nodiscard]] std::span<const Figure> figures();

// Null where no figure has that key.
[[nodiscard]] const Figure* findFigure(std::string_view key);

[[nodiscard]] std::string_view titleOf(FigureGroup group);

// The temperature at which the pot boils, as the analysis took it [°C]; empty where it is not known.
[[nodiscard]] std::optional<double> boilingPointOf(const ComparedRun& run);

} // namespace potwatch::compare
