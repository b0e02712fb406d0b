// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/open.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>

namespace potwatch::session {
namespace {

using Open = TemporaryFolder;

constexpr const char* table = "time_s,pot_f\n0,72\n1,73\n2,74\n3,75\n4,76\n5,77\n";

TEST_F(Open, takesTheNameOfTheFileAndCelsius) {
    const auto opened = openRun(file("rod-07.csv", table), {});
    ASSERT_TRUE(opened) << describe(opened.error().front());
    EXPECT_EQ(opened->run.name, "rod-07");
    EXPECT_EQ(opened->run.file, path("rod-07.csv"));
    EXPECT_EQ(opened->run.batch, Batch());
    EXPECT_DOUBLE_EQ(opened->run.channels.at(0).values.back(), 25.0);
}

TEST_F(Open, readsTheBatchFileBesideIt) {
    const std::string csv = file("rod-07.csv", table);
    const std::string beside =
        file("rod-07.batch.toml", "format = 1\n[batch]\nname = \"rod seven\"\n[charge]\nresin_g = 70.0\n");
    const auto opened = openRun(csv, {});
    ASSERT_TRUE(opened) << describe(opened.error().front());
    EXPECT_EQ(opened->run.name, "rod seven");
    EXPECT_EQ(opened->run.batch.charge.resin_g, 70.0);
    EXPECT_EQ(opened->run.batch.file, beside);
}

TEST_F(Open, namesTheFaultsOfBothFiles) {
    const std::string csv = file("rod.csv", "");
    const std::string beside = file("rod.batch.toml", "resin = 1\n[charge]\nresin_g = \"much\"\n");
    const auto opened = openRun(csv, {});
    ASSERT_FALSE(opened);
    EXPECT_EQ(opened.error().size(), 3U);
    EXPECT_EQ(opened.error().front().where.file, csv);
    EXPECT_EQ(opened.error().back().where.file, beside);
}

TEST_F(Open, fileThatCannotBeReadIsAnInputFault) {
    const auto opened = openRun(path("nowhere.csv"), {});
    ASSERT_FALSE(opened);
    EXPECT_EQ(opened.error().front().kind, FaultKind::input);
    const auto batch = openRun(file("rod.csv", table), {.batch_file = path("nowhere.toml")});
    ASSERT_FALSE(batch);
    EXPECT_EQ(batch.error().front().kind, FaultKind::input);
}

TEST_F(Open, refusedLinesAreToldAsAWarning) {
    const auto opened = openRun(file("lid.csv", std::string(table) + "lid lifted\n"), {});
    ASSERT_TRUE(opened) << describe(opened.error().front());
    EXPECT_THAT(opened->warnings, ::testing::Contains(::testing::HasSubstr("1 line of the file was refused")));
}

TEST_F(Open, strayRowsAreLeftOutOfARunWithAWord) {
    const auto read = [&](const std::string& rows) {
        auto opened = openRun(file("run.csv", "time_s,pot_c\n" + rows), {});
        EXPECT_TRUE(opened) << describe(opened.error().front());
        return opened ? *opened : OpenedRun{};
    };
    std::string rows;
    for (int i = 0; i < 400; ++i) {
        rows += std::to_string(i) + ",2" + std::to_string(i % 10) + ".5\n";
    }
    EXPECT_TRUE(read(rows).warnings.empty());
    const OpenedRun last = read(rows + "90000,20.5\n");
    EXPECT_EQ(last.run.time_s.size(), 400U);
    ASSERT_EQ(last.warnings.size(), 1U);
    EXPECT_NE(last.warnings.front().find("1 reading lies far from all others"), std::string::npos);
    const OpenedRun first = read("-5000000,20.5\n" + rows);
    EXPECT_EQ(first.run.time_s.size(), 400U);
    EXPECT_EQ(first.run.time_s.front(), 0.0);
    EXPECT_EQ(first.warnings.size(), 2U);
}

} // namespace
} // namespace potwatch::session
