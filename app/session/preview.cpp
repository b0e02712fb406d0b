// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/preview.h"

#include "app/session/celsius.h"
#include "app/session/memory.h"

#include <algorithm>
#include <filesystem>
#include <utility>

namespace potwatch::session {
namespace {

void keepFirstRows(csv::Table& table) {
    const std::size_t rows = std::min(table.time_s.size(), preview_rows);
    table.time_s.resize(rows);
    table.time_s.shrink_to_fit();
    for (Channel& channel : table.channels) {
        channel.values.resize(rows);
        channel.values.shrink_to_fit();
    }
}

void readInto(Preview& shown, const OpenOptions& options, const Progress& progress, std::stop_token stop) {
    if (const Result<void> fits = checkMemoryFor(shown.file, freeMemoryBytes()); !fits) {
        shown.faults.push_back(fits.error());
        return;
    }
    Result<csv::Table> table = readTable(shown.file, options.import, progress, std::move(stop));
    if (!table) {
        shown.faults.push_back(std::move(table.error()));
        return;
    }
    shown.table = std::move(*table);
    const std::vector<double>& time_s = shown.table.time_s;
    shown.rows_kept = time_s.size();
    shown.span_s = time_s.empty() ? 0.0 : *std::max_element(time_s.begin(), time_s.end()) - time_s.front();
    shown.interval_s = medianInterval(time_s);
    keepFirstRows(shown.table);
}

} // namespace

std::optional<double> medianInterval(const std::vector<double>& time_s) {
    std::vector<double> steps;
    steps.reserve(time_s.size());
    for (std::size_t i = 1; i < time_s.size(); ++i) {
        if (time_s[i] > time_s[i - 1]) {
            steps.push_back(time_s[i] - time_s[i - 1]);
        }
    }
    if (steps.empty()) {
        return std::nullopt;
    }
    const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
    std::nth_element(steps.begin(), middle, steps.end());
    return *middle;
}

Preview preview(const std::string& file, const OpenOptions& options, const Progress& progress, std::stop_token stop) {
    Preview shown{.file = file};
    shown.batch_file = options.batch_file.empty() ? batchFileBeside(file) : options.batch_file;
    shown.name = std::filesystem::path(file).stem().string();
    readInto(shown, options, progress, std::move(stop));
    std::string pot = options.channel;
    if (!shown.batch_file.empty()) {
        if (const auto batch = batch::readFile(shown.batch_file)) {
            shown.name = batch->name.empty() ? shown.name : batch->name;
            pot = pot.empty() ? batch->pot_channel : pot;
        } else {
            shown.faults.insert(shown.faults.end(), batch.error().begin(), batch.error().end());
        }
    }
    if (shown.rows_kept > 0) {
        Run first_rows{.time_s = shown.table.time_s, .channels = shown.table.channels};
        const Millivolts millivolts{.type = options.thermocouple, .cold_junction = options.cold_junction};
        if (const auto converted = convertToCelsius(first_rows, pot, millivolts); !converted) {
            Fault fault = converted.error();
            fault.where.file = file;
            shown.faults.push_back(std::move(fault));
        }
    }
    return shown;
}

} // namespace potwatch::session
