// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "analysis/forecast/sensor_model.h"
#include "analysis/watch/watch.h"
#include "tests/reference/truth_pot.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <limits>
#include <optional>
#include <random>
#include <span>
#include <vector>

// How the watch does on many readings of one cure, each with its own noise, probe and grain. The rule's constants were
// chosen on other seeds (90000 + 7919 i and 777000 + 7919 i) than those it is judged on here. Source: the pot of
// ../shared/truth/truth.json (truth_pot.h), an invented one; when it boils is told by that model, not by the watch.
namespace potwatch::reference {
namespace {

constexpr std::uint64_t first_seed = 4'100'000;

struct Cure {
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    double peak_c = 0.0;
    std::optional<double> boils_s; // when the resin passes its boiling point
};

Cure cureAt(double rate_g_per_min) {
    Cure cure;
    for (double t = 0.0; t <= 1800.0; t += 0.5) {
        cure.time_s.push_back(t);
    }
    const forecast::PotModel pot = truthPot(rate_g_per_min);
    const auto states = forecast::simulatePot(pot, cure.time_s);
    for (const forecast::PotState& state : states.value()) {
        if (!cure.boils_s && state.temperature_c > pot.boiling_c) {
            cure.boils_s = cure.time_s[cure.temperature_c.size()];
        }
        cure.temperature_c.push_back(state.temperature_c);
        cure.peak_c = std::max(cure.peak_c, state.temperature_c);
    }
    return cure;
}

struct Tally {
    int warned = 0;
    double least_ahead_s = std::numeric_limits<double>::infinity(); // of the boiling, first "limit near"
    double mean_ahead_s = 0.0;
};

// Probes of 2.8 to 5.2 s lag, 0.12 or 0.2 K noise, steps of 0.1 or 0.25 K, read twice a second; the batch states a lag
// of 4 s, and in every fourth run nothing.
Tally tally(const Cure& cure, int runs) {
    Tally tally;
    for (int i = 0; i < runs; ++i) {
        std::mt19937_64 random(first_seed + static_cast<std::uint64_t>(i));
        const double lag_s = std::uniform_real_distribution<double>(2.8, 5.2)(random);
        const std::vector<double> read_c = forecast::readings(
            cure.time_s, cure.temperature_c,
            {.lag_s = lag_s, .noise_k = i % 2 == 0 ? 0.2 : 0.12, .step_k = i % 3 == 0 ? 0.1 : 0.25}, random);
        watch::Watch watch({.channels = {"pot_c"}});
        if (i % 4 != 0) {
            Batch batch;
            batch.charge.boiling_c = 100.5;
            batch.sensor_lag_s = 4.0;
            watch.setBatch(batch);
        }
        std::optional<double> warned_s;
        for (std::size_t k = 0; k < read_c.size() && !warned_s; ++k) {
            for (const AlarmChange& change : watch.scan(cure.time_s[k], std::span(&read_c[k], 1))) {
                if (change.kind == AlarmChange::Kind::began && change.alarm.kind == AlarmKind::limit_near) {
                    warned_s = cure.time_s[k];
                }
            }
        }
        tally.warned += warned_s ? 1 : 0;
        if (cure.boils_s) {
            const double ahead_s = warned_s ? *cure.boils_s - *warned_s : -std::numeric_limits<double>::infinity();
            tally.least_ahead_s = std::min(tally.least_ahead_s, ahead_s);
            tally.mean_ahead_s += ahead_s / runs;
        }
    }
    return tally;
}

TEST(WatchOnFreshRuns, leavesHarmlessRunsInPeace) {
    constexpr int runs = 200;
    for (const double rate : {0.08, 0.12}) { // of s01 and s02
        const Cure cure = cureAt(rate);
        ASSERT_LT(cure.peak_c, 77.0);
        EXPECT_LE(tally(cure, runs).warned, 1) << rate << " g/min, of " << runs;
    }
}

TEST(WatchOnFreshRuns, warnsHalfAMinuteBeforeItBoils) {
    constexpr int runs = 100;
    for (const double rate : {0.45, 0.6, 1.2, 4.0}) {
        const Cure cure = cureAt(rate);
        ASSERT_TRUE(cure.boils_s) << rate;
        const Tally told = tally(cure, runs);
        fmt::print("{} g/min: {:.1f} s before boiling at the least, {:.1f} s in the mean\n", rate, told.least_ahead_s,
                   told.mean_ahead_s);
        EXPECT_EQ(told.warned, runs) << rate;
        EXPECT_GE(told.least_ahead_s, 30.0) << rate;
    }
}

// Between the two, the share of runs that are warned of grows with the peak and never falls.
TEST(WatchOnFreshRuns, tablesTheRunsInBetween) {
    constexpr int runs = 50;
    int before = 0;
    for (const double rate : {0.12, 0.125, 0.13, 0.14, 0.16, 0.2, 0.25, 0.3}) {
        const Cure cure = cureAt(rate);
        const Tally told = tally(cure, runs);
        fmt::print("{} g/min, peak {:.1f} °C: warned of {} of {}\n", rate, cure.peak_c, told.warned, runs);
        EXPECT_GE(told.warned, before) << rate;
        before = told.warned;
    }
    EXPECT_EQ(before, runs) << "whatever passes the limit is warned of";
}

} // namespace
} // namespace potwatch::reference
