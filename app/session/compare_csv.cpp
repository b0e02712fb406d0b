// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/text.h"
#include "app/session/compare.h"
#include "io/csv/formula.h"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

namespace potwatch::session {

namespace {

bool hasInterval(const Comparison& comparison, std::size_t column) {
    return std::any_of(comparison.table.begin(), comparison.table.end(), [&](const auto& row) {
        const auto& estimate = row[column].estimate;
        return estimate && estimate->high > estimate->low;
    });
}

} // namespace

std::string compareCsv(const Comparison& comparison, std::span<const std::size_t> order) {
    std::vector<std::size_t> rows(order.begin(), order.end());
    if (rows.empty()) {
        rows.resize(comparison.names.size());
        std::iota(rows.begin(), rows.end(), std::size_t{0});
    }
    std::string text = "run";
    std::vector<bool> with_interval;
    for (std::size_t j = 0; j < comparison.columns.size(); ++j) {
        with_interval.push_back(hasInterval(comparison, j));
        const std::string_view key = comparison.columns[j]->key;
        text += fmt::format(",{}", key);
        text += with_interval.back() ? fmt::format(",{0}_low,{0}_high", key) : std::string();
    }
    text += '\n';
    for (const std::size_t i : rows) {
        text += csv::cellOfText(format::oneLine(comparison.names[i]));
        for (std::size_t j = 0; j < comparison.columns.size(); ++j) {
            const compare::FigureValue& value = comparison.table[i][j];
            text += ',';
            if (value.estimate) {
                text += fmt::format("{}", value.estimate->value);
                text +=
                    with_interval[j] ? fmt::format(",{},{}", value.estimate->low, value.estimate->high) : std::string();
            } else {
                text += csv::cellOfText(format::oneLine(value.text));
                text += with_interval[j] ? ",," : "";
            }
        }
        text += '\n';
    }
    return text;
}

} // namespace potwatch::session
