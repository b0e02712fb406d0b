// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/csv/reading.h"

#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>

// Files that real loggers wrote, kept beside the project; what each must give was computed apart from this program.
// Source: expected.json there, which names the origin and licence of each file.

namespace potwatch::csv::testing {
namespace {

using nlohmann::json;

const std::filesystem::path folder = std::filesystem::path(POTWATCH_SHARED_DIR) / "real";

ImportOptions optionsOf(const json& expected) {
    ImportOptions options;
    const json said = expected.value("options", json::array());
    for (std::size_t i = 0; i + 1 < said.size(); i += 2) {
        const std::string value = said[i + 1];
        if (said[i] == "--date-order") {
            options.date_order = value == "day-first" ? DateOrder::dayFirst : DateOrder::monthFirst;
        } else if (said[i] == "--time") {
            options.time_column = value;
        } else if (said[i] == "--unit") {
            options.unit = value;
        } else {
            ADD_FAILURE() << "an option this test does not know: " << said[i];
        }
    }
    return options;
}

std::size_t faultsThatSay(const Table& table, const std::string& words) {
    return static_cast<std::size_t>(
        std::count_if(table.clock_faults.begin(), table.clock_faults.end(),
                      [&words](const Refusal& fault) { return fault.reason.find(words) != std::string::npos; }));
}

void expectTable(const Table& table, const json& expected) {
    EXPECT_EQ(table.time_s.size(), expected["rows_kept"].get<std::size_t>());
    EXPECT_NEAR(*std::max_element(table.time_s.begin(), table.time_s.end()), expected["span_s"].get<double>(), 1e-6);
    EXPECT_EQ(faultsThatSay(table, "steps back"), expected["backward_steps"].get<std::size_t>());
    EXPECT_EQ(faultsThatSay(table, "the same time"), expected["repeated_times"].get<std::size_t>());
    const json& columns = expected["columns"];
    ASSERT_EQ(table.channels.size(), columns.size());
    for (std::size_t c = 0; c < columns.size(); ++c) {
        std::string name = columns[c]["name"].is_null() ? "" : columns[c]["name"].get<std::string>();
        if (name == "Celle 5: .1") {
            name = "Celle 5: "; // the second of two of that name; the tool that computed the figures numbers them
        }
        EXPECT_EQ(table.channels[c].name, name);
        EXPECT_EQ(table.summaries[c].kept, columns[c]["values"].get<std::size_t>()) << name;
        EXPECT_EQ(table.summaries[c].max, columns[c]["max"].get<double>()) << name;
        ASSERT_TRUE(table.summaries[c].max_at_s.has_value()) << name;
        EXPECT_NEAR(*table.summaries[c].max_at_s, columns[c]["max_at_s"].get<double>(), 1e-6) << name;
    }
}

TEST(CsvMeasuredFiles, areReadAsExpected) {
    std::ifstream list(folder / "expected.json");
    if (!list) {
        GTEST_SKIP() << "no measured files at " << folder;
    }
    const json all = json::parse(list);
    ASSERT_GE(all.size(), 5U);
    for (const auto& [file, expected] : all.items()) {
        SCOPED_TRACE(file);
        const Result<Table> table = readFile(folder / file, optionsOf(expected));
        if (expected["expect"] == "refuse") {
            ASSERT_FALSE(table);
            EXPECT_THAT(describe(table.error()), ::testing::HasSubstr(expected["because"].get<std::string>()));
            continue;
        }
        ASSERT_TRUE(table) << describe(table.error());
        expectTable(*table, expected);
    }
}

} // namespace
} // namespace potwatch::csv::testing
