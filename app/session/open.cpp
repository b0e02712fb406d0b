// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/open.h"

#include "analysis/signal/stray.h"
#include "app/format/number.h"

#include <fmt/format.h>

#include <cmath>
#include <filesystem>
#include <system_error>
#include <utility>

namespace potwatch::session {
namespace {

// Whatever keeps an input from being read is the input's fault, be it the file system's doing or a newer format's.
Fault asInputFault(Fault fault) {
    if (fault.kind == FaultKind::storage || fault.kind == FaultKind::unsupported) {
        fault.kind = FaultKind::input;
    }
    return fault;
}

bool isStandardInput(const std::string& file) {
    return file == "-";
}

tl::expected<Batch, Faults> readBatch(const std::string& file) {
    if (file.empty()) {
        return Batch();
    }
    tl::expected<Batch, Faults> batch = batch::readFile(file);
    if (!batch) {
        for (Fault& fault : batch.error()) {
            fault = asInputFault(std::move(fault));
        }
    }
    return batch;
}

std::string nameFromFile(const std::string& file) {
    return isStandardInput(file) ? std::string("standard input") : std::filesystem::path(file).stem().string();
}

} // namespace

std::string batchFileBeside(const std::string& file) {
    if (isStandardInput(file)) {
        return {};
    }
    const std::filesystem::path beside = std::filesystem::path(file).replace_extension(".batch.toml");
    std::error_code ignored;
    return std::filesystem::exists(beside, ignored) ? beside.string() : std::string();
}

Result<csv::Table> readTable(const std::string& file, const csv::ImportOptions& options, const Progress& progress,
                             std::stop_token stop) {
    const std::string path = isStandardInput(file) ? "/dev/stdin" : file;
    return csv::readFile(path, options, progress, std::move(stop)).map_error([&](Fault fault) {
        if (isStandardInput(file) && fault.where.file == path) {
            fault.where.file = "standard input";
        }
        return asInputFault(std::move(fault));
    });
}

tl::expected<ReceivedRun, Faults> receiveRun(const std::string& file, const OpenOptions& options,
                                             const Progress& progress, std::stop_token stop) {
    tl::expected<Batch, Faults> batch =
        readBatch(options.batch_file.empty() ? batchFileBeside(file) : options.batch_file);
    Result<csv::Table> table = readTable(file, options.import, progress, std::move(stop));
    if (!table || !batch) {
        Faults faults = batch ? Faults() : std::move(batch.error());
        if (!table) {
            faults.insert(faults.begin(), std::move(table.error()));
        }
        return tl::unexpected(std::move(faults));
    }
    ReceivedRun received{.remarks = std::move(table->notes)};
    Run& run = received.run;
    run.name = batch->name.empty() || options.shared_batch ? nameFromFile(file) : batch->name;
    run.file = file;
    run.started = batch->started ? batch->started : table->started;
    run.time_s = std::move(table->time_s);
    run.channels = std::move(table->channels);
    run.rows_refused = table->rows_refused;
    run.batch = std::move(*batch);
    return received;
}

std::string refusedLinesText(std::size_t rows_refused) {
    return std::to_string(rows_refused) +
           (rows_refused == 1 ? " line of the file was refused" : " lines of the file were refused") +
           "; `potwatch inspect` lists them with the reasons";
}

namespace {

// Takes out the rows of a run whose time cannot be right, and says so. Where the first row is among them, times count
// from the first that stays.
std::vector<std::string> leaveOutStrayRows(Run& run) {
    std::vector<std::string> warnings;
    std::vector<bool> stays(run.time_s.size(), true);
    for (const signal::Stray& stray : signal::strayRows(run.time_s)) {
        for (const std::size_t row : stray.rows) {
            stays[row] = false;
        }
        const std::size_t count = stray.rows.size();
        warnings.push_back(fmt::format(
            "{} far from all others and {} left out: time {:.0f} s, {} away; the logger's clock was wrong there, or "
            "{} not belong to this run",
            count == 1 ? "1 reading lies" : fmt::format("{} readings lie", count), count == 1 ? "is" : "are",
            stray.first_s, format::durationText(stray.away_s), count == 1 ? "it does" : "they do"));
    }
    if (warnings.empty()) {
        return warnings;
    }
    const auto keep = [&](std::vector<double>& values) {
        std::size_t kept = 0;
        for (std::size_t row = 0; row < values.size(); ++row) {
            if (stays[row]) {
                values[kept++] = values[row];
            }
        }
        values.resize(kept);
    };
    const bool from_a_stray = !stays.front();
    keep(run.time_s);
    for (Channel& channel : run.channels) {
        keep(channel.values);
    }
    if (from_a_stray) {
        const double start_s = run.time_s.front();
        for (double& time_s : run.time_s) {
            time_s -= start_s;
        }
        if (run.started && !run.batch.started) {
            run.started->utc_us += std::llround(1e6 * start_s);
        }
        warnings.emplace_back("the first reading was one of them: times count from the first that is left");
    }
    return warnings;
}

} // namespace

tl::expected<OpenedRun, Faults> makeReady(ReceivedRun received, const std::string& pot_channel,
                                          const Millivolts& millivolts) {
    OpenedRun opened{.run = std::move(received.run), .warnings = std::move(received.remarks)};
    Run& run = opened.run;
    if (run.rows_refused > 0) {
        opened.warnings.push_back(refusedLinesText(run.rows_refused));
    }
    const std::vector<std::string> left_out = leaveOutStrayRows(run);
    opened.warnings.insert(opened.warnings.end(), left_out.begin(), left_out.end());
    Result<std::vector<std::string>> converted =
        convertToCelsius(run, pot_channel.empty() ? run.batch.pot_channel : pot_channel, millivolts);
    if (!converted) {
        return tl::unexpected(Faults{std::move(converted.error())});
    }
    Result<std::vector<std::string>> corrected = correctReadings(run);
    if (!corrected) {
        return tl::unexpected(Faults{std::move(corrected.error())});
    }
    opened.warnings.insert(opened.warnings.end(), converted->begin(), converted->end());
    opened.warnings.insert(opened.warnings.end(), corrected->begin(), corrected->end());
    return opened;
}

tl::expected<OpenedRun, Faults> openRun(const std::string& file, const OpenOptions& options, const Progress& progress,
                                        std::stop_token stop) {
    return receiveRun(file, options, progress, std::move(stop)).and_then([&](ReceivedRun&& received) {
        return makeReady(std::move(received), options.channel,
                         {.type = options.thermocouple, .cold_junction = options.cold_junction});
    });
}

} // namespace potwatch::session
