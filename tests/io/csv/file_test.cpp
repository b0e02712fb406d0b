// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/csv/reading.h"

#include <gmock/gmock.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <sys/stat.h>
#include <thread>
#include <unistd.h>

namespace potwatch::csv::testing {
namespace {

using ::testing::HasSubstr;

// A folder of the test's own, gone when it ends.
class CsvFile : public ::testing::Test {
protected:
    CsvFile() {
        std::string pattern = (std::filesystem::temp_directory_path() / "potwatch-csv-XXXXXX").string();
        folder_ = ::mkdtemp(pattern.data());
    }
    ~CsvFile() override {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }

    std::string path(const std::string& name) const { return folder_ / name; }

    std::string written(const std::string& text) const {
        std::ofstream(path("run.csv"), std::ios::binary) << text;
        return path("run.csv");
    }

    // Some blocks' worth of rows, with a line that is refused, an odd cell and a step back now and then.
    static std::string longText(int rows) {
        std::string text = "time_s,T1,T2\n";
        for (int i = 0; i < rows; ++i) {
            const int time = i % 9973 == 9972 ? i - 5 : i;
            const std::string first = i % 5003 == 5002 ? "OL" : std::to_string(20 + i % 80) + ".25";
            text += i % 7001 == 7000 ? "pause,,\n" : std::to_string(time) + "," + first + ",21.125\n";
        }
        return text;
    }

    std::filesystem::path folder_;
};

// NaN is equal to NaN here.
void expectSame(const Table& a, const Table& b) {
    EXPECT_EQ(a.time_s, b.time_s);
    EXPECT_EQ(a.summaries, b.summaries);
    EXPECT_EQ(a.refused, b.refused);
    EXPECT_EQ(a.clock_faults, b.clock_faults);
    EXPECT_EQ(a.odd_cells, b.odd_cells);
    ASSERT_EQ(a.channels.size(), b.channels.size());
    for (std::size_t c = 0; c < a.channels.size(); ++c) {
        ASSERT_EQ(a.channels[c].values.size(), b.channels[c].values.size());
        for (std::size_t r = 0; r < a.channels[c].values.size(); ++r) {
            const double x = a.channels[c].values[r];
            const double y = b.channels[c].values[r];
            ASSERT_TRUE(x == y || (std::isnan(x) && std::isnan(y))) << c << ", " << r;
        }
    }
}

TEST_F(CsvFile, readsTheSameWithOneWorkerAndWithTwo) {
    const std::string file = written(longText(400'000));
    const Result<Table> one = readFile(file, {.workers = 1});
    const Result<Table> two = readFile(file, {.workers = 2});
    ASSERT_TRUE(one && two);
    EXPECT_EQ(one->rows_refused, 57U);
    EXPECT_EQ(one->clock_fault_count, 40U);
    EXPECT_GT(one->odd_cells.size(), 70U);
    expectSame(*one, *two);
}

TEST_F(CsvFile, namesTheRightLinesFarDownTheFile) {
    const Result<Table> table = readFile(written(longText(400'000)), {.workers = 2});
    ASSERT_TRUE(table);
    for (std::size_t i = 0; i < table->refused.size(); ++i) {
        EXPECT_EQ(table->refused[i].line, static_cast<long>(7001 * (i + 1) + 1)); // the header is line 1
    }
}

TEST_F(CsvFile, readsQuotedCellsAcrossBlocks) {
    std::string text = "time_s,T1,note\n";
    for (int i = 0; i < 100'000; ++i) {
        text += std::to_string(i) + ",20.5,\"first line\nsecond, line\"\n";
    }
    const Result<Table> table = readFile(written(text), {.workers = 2});
    ASSERT_TRUE(table);
    EXPECT_EQ(table->time_s.size(), 100'000U);
    EXPECT_EQ(table->rows_refused, 0U);
}

TEST_F(CsvFile, readsUtf16AcrossBlocks) {
    const std::string text = longText(150'000);
    const Result<Table> wide = readFile(written(utf16(text, false, true)), {.workers = 2});
    ASSERT_TRUE(wide);
    expectSame(*wide, tableOf(text));
}

TEST_F(CsvFile, readsAPipe) {
    const std::string text = longText(100'000);
    ASSERT_EQ(::mkfifo(path("pipe").c_str(), 0600), 0);
    std::jthread writer([&] { std::ofstream(path("pipe"), std::ios::binary) << text; });
    const Result<Table> table = readFile(path("pipe"), {});
    ASSERT_TRUE(table);
    expectSame(*table, tableOf(text));
}

TEST_F(CsvFile, saysWhatIsWrongWithAPath) {
    EXPECT_THAT(describe(readFile(path("none.csv"), {}).error()), HasSubstr("none.csv: no such file; check the path"));
    EXPECT_THAT(describe(readFile(folder_, {}).error()), HasSubstr("this is a folder"));
    EXPECT_EQ(readFile(path("none.csv"), {}).error().kind, FaultKind::storage);
}

TEST_F(CsvFile, saysThatItMayNotBeRead) {
    const std::string file = written("time_s,T1\n0,1\n");
    ASSERT_EQ(::chmod(file.c_str(), 0), 0);
    if (::access(file.c_str(), R_OK) == 0) {
        GTEST_SKIP() << "this user may read everything";
    }
    EXPECT_THAT(describe(readFile(file, {}).error()), HasSubstr("no permission"));
}

TEST_F(CsvFile, tellsHowFarItHasCome) {
    std::vector<double> told;
    const auto progress = [&told](double fraction, std::string_view) { told.push_back(fraction); };
    ASSERT_TRUE(readFile(written(longText(400'000)), {.workers = 1}, progress));
    ASSERT_GE(told.size(), 3U);
    EXPECT_TRUE(std::is_sorted(told.begin(), told.end()));
    EXPECT_GT(told.front(), 0.0);
    EXPECT_EQ(told.back(), 1.0);
}

TEST_F(CsvFile, stopsWhenAsked) {
    std::stop_source stop;
    const auto progress = [&stop](double, std::string_view) { stop.request_stop(); };
    for (const int workers : {1, 2}) {
        const Result<Table> table =
            readFile(written(longText(400'000)), {.workers = workers}, progress, stop.get_token());
        ASSERT_FALSE(table);
        EXPECT_EQ(table.error().kind, FaultKind::cancelled);
    }
}

} // namespace
} // namespace potwatch::csv::testing
