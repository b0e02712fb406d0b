// SPDX-License-Identifier: GPL-3.0-or-later
// The analysis on measured tables that nobody here made: air and ice, with gaps, steps of the clock and months of
// rise and fall. They hold no cure; what is asked is that no figure leaves what was read.
// Source: the files under ../shared/real and their README.
#include "analysis/findings/analyse.h"
#include "app/session/open.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <limits>
#include <span>

namespace potwatch {
namespace {

class MeasuredAnalysis : public testing::TestWithParam<const char*> {};

void expectWithin(const std::optional<Landmark>& landmark, double least_c, double most_c, const char* name) {
    if (landmark) {
        EXPECT_GE(landmark->temperature_c.value, least_c) << name << " at " << landmark->time_s.value;
        EXPECT_LE(landmark->temperature_c.value, most_c) << name << " at " << landmark->time_s.value;
    }
}

TEST_P(MeasuredAnalysis, staysWithinWhatWasRead) {
    const std::string file = std::string(POTWATCH_SHARED_DIR "/real/") + GetParam();
    if (!std::filesystem::exists(file)) {
        GTEST_SKIP() << file << " is not here";
    }
    const auto opened = session::openRun(file, {});
    ASSERT_TRUE(opened) << describe(opened.error().front());
    const auto results = analyse(std::span(&opened->run, 1), {});
    ASSERT_TRUE(results.front()) << describe(results.front().error());
    const Series& series = results.front()->series;
    double least_c = std::numeric_limits<double>::infinity();
    double most_c = -least_c;
    for (const double reading : series.reading_c) {
        if (std::isfinite(reading)) {
            least_c = std::min(least_c, reading);
            most_c = std::max(most_c, reading);
        }
    }
    const double slack_k = 0.1 * (most_c - least_c);
    for (const Exotherm& exotherm : results.front()->findings.exotherms) {
        expectWithin(exotherm.onset, least_c - slack_k, most_c + slack_k, "onset");
        expectWithin(exotherm.peak, least_c - slack_k, most_c + slack_k, "peak");
        expectWithin(exotherm.end, least_c - slack_k, most_c + slack_k, "end");
    }
    for (const double temperature_c : series.temperature_c) {
        ASSERT_FALSE(temperature_c < least_c - slack_k || temperature_c > most_c + slack_k) << temperature_c;
    }
}

INSTANTIATE_TEST_SUITE_P(Files, MeasuredAnalysis,
                         testing::Values("B10_ice_thermistors_dd-Mon-yyyy.csv",
                                         "B16_greenhouse_semicolon_date_time_split_empty_rows.csv",
                                         "B17_greenhouse_4ch_ddmmyyyy.csv"));

} // namespace
} // namespace potwatch
