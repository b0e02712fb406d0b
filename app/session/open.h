// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/progress.h"
#include "analysis/values/run.h"
#include "app/session/celsius.h"
#include "io/batch/batch_file.h"
#include "io/csv/import.h"

#include <tl/expected.hpp>

#include <cstddef>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

namespace potwatch::session {

using Faults = batch::Faults;

// How a recorded file becomes a run.
struct OpenOptions {
    csv::ImportOptions import;
    std::string batch_file;    // empty = NAME.batch.toml beside the CSV, where there is one
    bool shared_batch = false; // the batch file serves several runs: each goes by its own file's name
    std::string channel;       // the reacting mass; empty = the batch's, else left to the analysis
    std::string thermocouple;  // the type behind columns in millivolts: "K"
    std::string cold_junction; // of those columns: a temperature in °C, or the name of the column that holds it
};

// A run ready for the analysis, and what was noticed on the way.
struct OpenedRun {
    Run run;
    std::vector<std::string> warnings;
};

// Reads a table with the importer; "-" is standard input.
// Errors: as csv::readFile, but a file that cannot be read is an input fault: it is the input that fails, not the
// storage.
[[nodiscard]] Result<csv::Table> readTable(const std::string& file, const csv::ImportOptions& options,
                                           const Progress& progress = {}, std::stop_token stop = {});

// The batch file that goes with a table: s03.batch.toml beside s03.csv; empty where there is none.
[[nodiscard]] std::string batchFileBeside(const std::string& file);

// A run as received, before anything is converted, and what the importer took for granted.
struct ReceivedRun {
    Run run;
    std::vector<std::string> remarks;
};

// Reads a CSV and its batch file as a run: the name from the batch file or else from the file's name.
// Errors: every fault of both files, so that a person mends them in one go.
[[nodiscard]] tl::expected<ReceivedRun, Faults> receiveRun(const std::string& file, const OpenOptions& options,
                                                           const Progress& progress = {}, std::stop_token stop = {});

// "3 lines of the file were refused; ...", as makeReady() warns where there are some.
[[nodiscard]] std::string refusedLinesText(std::size_t rows_refused);

// Makes a received run ready for the analysis, whatever it was kept in: temperatures in °C, corrected by what the batch
// states of their probes' calibration.
// pot_channel: the reacting mass; empty = the batch's, else left to the analysis.
// Errors: input (no column is known to be a temperature; a column in millivolts without the thermocouple's type or its
// cold junction; a calibration that no probe can have).
[[nodiscard]] tl::expected<OpenedRun, Faults> makeReady(ReceivedRun received, const std::string& pot_channel,
                                                        const Millivolts& millivolts);

// Both in one: opens a CSV with its batch file as a run.
[[nodiscard]] tl::expected<OpenedRun, Faults> openRun(const std::string& file, const OpenOptions& options,
                                                      const Progress& progress = {}, std::stop_token stop = {});

} // namespace potwatch::session
