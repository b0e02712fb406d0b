// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/series_csv.h"

#include "app/session/whole_file.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <iterator>
#include <string_view>
#include <vector>

namespace potwatch::session {
namespace {

struct Column {
    std::string_view name;
    const std::vector<double>* values;
};

std::array<Column, 11> columnsOf(const Series& series) {
    return {{{"time_s", &series.time_s},
             {"reading_c", &series.reading_c},
             {"temperature_c", &series.temperature_c},
             {"temperature_u_k", &series.temperature_u_k},
             {"rate_k_per_min", &series.rate_k_per_min},
             {"power_w", &series.power_w},
             {"heat_j", &series.heat_j},
             {"heat_u_j", &series.heat_u_j},
             {"degree", &series.degree},
             {"degree_low", &series.degree_low},
             {"degree_high", &series.degree_high}}};
}

} // namespace

std::string seriesCsv(const Series& series) {
    const std::array<Column, 11> columns = columnsOf(series);
    std::string text;
    for (const Column& column : columns) {
        text += column.name;
        text += &column == &columns.back() ? '\n' : ',';
    }
    for (std::size_t row = 0; row < series.time_s.size(); ++row) {
        for (const Column& column : columns) {
            if (row < column.values->size() && std::isfinite((*column.values)[row])) {
                fmt::format_to(std::back_inserter(text), "{}", (*column.values)[row]);
            }
            text += &column == &columns.back() ? '\n' : ',';
        }
    }
    return text;
}

Result<void> writeSeries(const Series& series, const std::string& path) {
    return writeWholeFile(path, seriesCsv(series));
}

} // namespace potwatch::session
