// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/report_content.h"

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::report {

// The parts that a report's content is put together from. No part says a figure but through app/format, so that it
// reads as in the window and on the command line.

// Of a figure that is not known.
inline constexpr std::string_view not_known = "not known";

// The run's name, else its file's.
[[nodiscard]] std::string nameOf(const Findings& findings);

// "File rod-03.csv, channel pot_c: 14 401 samples kept, 0 lines refused, over 2 h, one every 0.5 s (median)."
[[nodiscard]] std::string samplesText(const Findings& findings);

// What is stated of the pot and the outcome, a row each; no row where nothing is. The notes are not among it: they may
// be longer than a page.
[[nodiscard]] Table batchTable(const Batch& batch);

// Landmarks; heat and cure; and where there are several exotherms, a word and a table of them.
[[nodiscard]] std::vector<Block> findingBlocks(const Findings& findings);

[[nodiscard]] Table eventTable(const Analysis& analysis);
[[nodiscard]] Table inputTable(const Findings& findings);

// A row a run: dosing rate, peak and its time, onset, heat, degree, boiled, outcome.
[[nodiscard]] Table summaryTable(std::span<const session::ReportRun> runs, bool with_blanks = true);

// Of two runs or more: the next rate to try and why, overlay, table, scatter, and all that is said of the trend; where
// there is no comparison, the table and why.
[[nodiscard]] std::vector<Block> comparisonBlocks(std::span<const session::ReportRun> runs,
                                                  const session::Comparison* comparison);

// The usual cautions.
[[nodiscard]] std::vector<Block> cautionBlocks();

// How each of the findings in these runs was computed, and by which version; with a comparison (null: none) its trend
// too.
[[nodiscard]] std::vector<Block> methodBlocks(std::span<const session::ReportRun> runs,
                                              const session::Comparison* comparison = nullptr);

// Whether any run has the moment at which the runs are laid over each other.
[[nodiscard]] bool isAnyAligned(const session::Comparison& comparison);

// Rows for that table: how trend, rate at the limit and next rate were found; none of what the comparison has not.
[[nodiscard]] std::vector<std::vector<std::string>> comparisonMethods(const session::Comparison& comparison);

} // namespace potwatch::report
