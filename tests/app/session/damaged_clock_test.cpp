// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"
#include "app/session/open.h"
#include "tests/app/session/damaged_clock.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <ctime>
#include <sys/resource.h>

namespace potwatch::session {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

class DamagedClock : public TemporaryFolder {
protected:
    // Opens and analyses it, whatever the answer; the processor's time for that, in s.
    static double secondsToAnswer(const std::string& csv) {
        const std::clock_t start = std::clock();
        const auto opened = openRun(csv, {});
        if (opened) {
            (void)analyse(std::vector<potwatch::Run>{opened->run}, {});
        }
        return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
    }

    double longestAnswer(std::uint32_t from, std::uint32_t count) {
        double longest_s = 0.0;
        for (std::uint32_t seed = from; seed < from + count; ++seed) {
            longest_s = std::max(longest_s, secondsToAnswer(file("run.csv", tableWithADamagedClock(seed))));
        }
        return longest_s;
    }
};

class DamagedClockSlowly : public DamagedClock {};

// That it comes to an end at all; the time limit of the test program says so.
TEST_F(DamagedClock, isAnswered) {
    EXPECT_GT(longestAnswer(1, 100), 0.0);
}

TEST_F(DamagedClockSlowly, isAnsweredInTimeAndMemory) {
    EXPECT_LT(longestAnswer(1000, 5000), 2.0);
    struct rusage use {};
    ::getrusage(RUSAGE_SELF, &use);
    EXPECT_LT(use.ru_maxrss, 300L * 1024); // KiB
}

TEST_F(DamagedClock, ofTheFilesThatOnceHungIsAnswered) {
    for (const char* name : {"one-digit.csv", "hang-1kB.csv"}) {
        const std::string csv = std::string(POTWATCH_SHARED_DIR "/repro/") + name;
        if (!std::filesystem::exists(csv)) {
            GTEST_SKIP() << csv << " is not there";
        }
        EXPECT_GT(secondsToAnswer(csv), 0.0) << name;
    }
}

// A table of 200 rows, 2 s apart, with some times put in place of their own.
std::string tableWith(const std::vector<std::pair<int, double>>& wrong) {
    std::string text = "time_s,pot_c\n";
    for (int row = 0; row < 200; ++row) {
        double time_s = 2.0 * row;
        for (const auto& [at, other_s] : wrong) {
            time_s = at == row ? other_s : time_s;
        }
        text += fmt::format("{},{}\n", time_s, 20.0 + 0.1 * row);
    }
    return text;
}

TEST_F(DamagedClock, leavesOutALastRowThatIsFarAway) {
    const auto opened = openRun(file("run.csv", tableWith({{199, 90000.0}})), {});
    ASSERT_TRUE(opened);
    EXPECT_EQ(opened->run.time_s.size(), 199U);
    EXPECT_EQ(opened->run.channels.front().values.size(), 199U);
    EXPECT_EQ(opened->run.time_s.back(), 396.0);
    EXPECT_THAT(opened->warnings,
                Contains(HasSubstr("1 reading lies far from all others and is left out: time 90000 s")));
}

TEST_F(DamagedClock, countsFromTheFirstRowThatIsLeft) {
    const auto opened = openRun(file("run.csv", tableWith({{0, -3.2e8}})), {});
    ASSERT_TRUE(opened);
    EXPECT_EQ(opened->run.time_s.size(), 199U);
    EXPECT_EQ(opened->run.time_s.front(), 0.0);
    EXPECT_EQ(opened->run.time_s.back(), 396.0);
    EXPECT_EQ(opened->run.channels.front().values.front(), 20.1);
    EXPECT_THAT(opened->warnings, Contains(HasSubstr("times count from the first that is left")));
}

TEST_F(DamagedClock, leavesOutJumpsByYearsAndSaysHowFar) {
    const auto opened = openRun(file("run.csv", tableWith({{50, 3.2e8}, {51, 3.2e8 + 2}, {120, -6.4e8}})), {});
    ASSERT_TRUE(opened);
    EXPECT_EQ(opened->run.time_s.size(), 197U);
    EXPECT_THAT(opened->warnings, Contains(HasSubstr("2 readings lie far from all others and are left out")));
    EXPECT_THAT(opened->warnings, Contains(HasSubstr("1 reading lies far from all others")));
}

TEST_F(DamagedClock, leavesNothingOutWhereNothingIsWrong) {
    const auto opened = openRun(file("run.csv", tableWith({})), {});
    ASSERT_TRUE(opened);
    EXPECT_EQ(opened->run.time_s.size(), 200U);
    EXPECT_THAT(opened->warnings, IsEmpty());
}

} // namespace
} // namespace potwatch::session
