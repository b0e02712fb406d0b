// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/open.h"
#include "app/session/run_csv.h"
#include "tests/app/session/temporary_folder.h"

#include <gtest/gtest.h>

#include <optional>
#include <string>
#include <vector>

namespace potwatch::session {
namespace {

using RunCsvNames = TemporaryFolder;

TEST_F(RunCsvNames, comeBackThroughTheImporter) {
    potwatch::Run run{.name = "formulas", .file = {}, .started = std::nullopt, .time_s = {}, .channels = {}};
    const std::vector<std::string> names{"=cmd|x", "@SUM(A1)", "'=y", "+5 V rail", "plain"};
    for (const std::string& name : names) {
        run.channels.push_back({.name = name, .unit = "degC", .values = {}});
    }
    for (int row = 0; row < 20; ++row) {
        run.time_s.push_back(row);
        for (Channel& channel : run.channels) {
            channel.values.push_back(20.0 + row);
        }
    }
    const auto read = openRun(file("formulas.csv", runCsv(run, {}, {})), {});
    ASSERT_TRUE(read) << describe(read.error().front());
    ASSERT_EQ(read->run.channels.size(), names.size());
    for (std::size_t i = 0; i < names.size(); ++i) {
        EXPECT_EQ(read->run.channels[i].name, names[i]);
    }
}

} // namespace
} // namespace potwatch::session
