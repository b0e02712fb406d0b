// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/at_limit.h"
#include "analysis/compare/compared_run.h"
#include "analysis/compare/figure.h"
#include "analysis/compare/next_rate.h"
#include "analysis/compare/overlay.h"
#include "analysis/compare/trend.h"
#include "analysis/values/fault.h"
#include "app/session/analyse_files.h"

#include <cstddef>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::session {

// What the peak is to stay under where nothing else was chosen: some kelvin short of boiling water. Common practice, no
// source.
inline constexpr double usual_limit_c = 95.0;

// What the person chose.
struct CompareRequest {
    std::string x = "dose_rate_g_per_min"; // keys of compare::figures()
    std::string y = "peak_temperature_c";
    std::optional<double> limit; // of y, in its unit
    compare::Align align = compare::Align::dose;
    std::optional<compare::TrendForm> form; // empty = chosen by AICc
};

// One run in the scatter, or why it is not in it.
struct ScatterPoint {
    std::size_t run = 0; // index into the runs given
    std::optional<compare::TrendPoint> point;
    std::string left_out; // "the dose is not stated: ..."; "the same samples as rod 02". A run that is left out may
                          // still have a point (to be drawn hollow): the trend does not count it

    [[nodiscard]] bool counts() const { return point.has_value() && left_out.empty(); }
};

// All that a comparison shows, of runs in the order given. Figures are those of compare::figures(): they live as long
// as the program.
struct Comparison {
    CompareRequest request;
    const compare::Figure* x = nullptr;
    const compare::Figure* y = nullptr;
    std::vector<std::string> names;              // of the runs, made unique: "rod 02 (2)"
    std::vector<const compare::Figure*> columns; // those of which any run has a value, in the catalogue's order
    std::vector<std::vector<compare::FigureValue>> table; // [run][column]
    std::vector<compare::AlignedRun> aligned;             // [run]; the curves are the runs' own
    std::vector<ScatterPoint> scatter;                    // [run]
    std::optional<compare::Trend> trend;                  // empty: no_trend says why
    std::string no_trend;
    compare::TrendBands bands;                // over the x that were tried and, where it is near, the limit's
    std::optional<compare::AtLimit> at_limit; // empty: no_limit says why (where a limit was asked for)
    std::string no_limit;
    std::optional<compare::NextRate> next; // only for dosing rate against peak temperature, with a limit
    std::vector<std::string> warnings;     // runs given twice, runs that differ in more than x, extrapolation ...
};

// Each name once: where it comes again it is "rod 02 (2)". Shape: as given.
[[nodiscard]] std::vector<std::string> uniqueNames(std::span<const std::string> names);

// The figure of that key. Errors: input (no such figure: names the nearest; a text where a number is needed).
[[nodiscard]] Result<const compare::Figure*> figureFor(std::string_view key, bool number = true);

// Compares runs; fast enough to be called at every choice of the person (200 runs: under 100 ms).
// Errors: input (no runs; an unknown figure). What cannot be said of the runs is said within the comparison.
[[nodiscard]] Result<Comparison> compareRuns(std::span<const compare::ComparedRun> runs, const CompareRequest& request);

// A run as the comparison wants it, with the hash of its samples.
[[nodiscard]] compare::ComparedRun comparedRunOf(const Batch& batch, const Analysis& analysis);

// What is said of a blank among runs that are compared.
[[nodiscard]] std::string blankIsNotCompared(std::string_view name);

// Files opened and analysed (as analyseFiles) for a comparison: those that could be, in the order given, and all faults
// of the others. Blanks teach their vessel and are left out.
struct RunsToCompare {
    std::vector<compare::ComparedRun> runs;
    Faults faults;
    std::vector<std::string> warnings;
};
[[nodiscard]] RunsToCompare openToCompare(std::span<const FileToOpen> files, const AnalyseOptions& options,
                                          const Progress& progress = {}, std::stop_token stop = {});

// The table as CSV: the run's name, then a column a figure and, where any run has an uncertainty, two more with the
// ends of its 95 % interval ("peak_temperature_c_low"); an empty cell is unknown. Decimal points, commas, UTF-8.
// `order`: rows to write, indices of runs; empty = all.
[[nodiscard]] std::string compareCsv(const Comparison& comparison, std::span<const std::size_t> order = {});

} // namespace potwatch::session
