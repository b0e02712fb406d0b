// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/run_csv.h"

#include "io/csv/formula.h"

#include <fmt/format.h>

#include <cmath>
#include <iterator>

namespace potwatch::session {
namespace {

constexpr std::size_t rows_between_looks = 4096;

} // namespace

std::string runCsv(const Run& run, const Progress& progress, const std::stop_token& stop) {
    std::string names = "time_s";
    std::string units = "s";
    for (const Channel& channel : run.channels) {
        names += ',' + csv::cellOfText(channel.name);
        units += ',' + csv::cellOfText(channel.unit);
    }
    std::string text = names + '\n' + units + '\n';
    for (std::size_t row = 0; row < run.time_s.size(); ++row) {
        if (row % rows_between_looks == 0) {
            if (stop.stop_requested()) {
                break;
            }
            if (progress) {
                progress(static_cast<double>(row) / static_cast<double>(run.time_s.size()), "writing the table");
            }
        }
        fmt::format_to(std::back_inserter(text), "{}", run.time_s[row]);
        for (const Channel& channel : run.channels) {
            text += ',';
            if (!std::isnan(channel.values[row])) {
                fmt::format_to(std::back_inserter(text), "{}", channel.values[row]);
            }
        }
        text += '\n';
    }
    return text;
}

} // namespace potwatch::session
