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

// A row a run: dose rate, onset, peak, heat, degree, boiled, outcome.
[[nodiscard]] Table summaryTable(std::span<const session::ReportRun> runs);

// The usual cautions.
[[nodiscard]] std::vector<Block> cautionBlocks();

// How each of the findings in these runs was computed, and by which version.
[[nodiscard]] std::vector<Block> methodBlocks(std::span<const session::ReportRun> runs);

} // namespace potwatch::report
