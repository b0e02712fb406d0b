// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/watch.h"
#include "tests/reference/bench_pot.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <optional>
#include <random>
#include <span>
#include <string>
#include <vector>

// The watch on random pots that it does not know: those that run past the limit, and those that never come near it.
// Source: the integrator of bench_pot.h and its invented resins; nothing of the product is in it.
namespace potwatch::reference {
namespace {

// The slow tests count more of them.
#ifndef POTWATCH_BENCH_POTS
#define POTWATCH_BENCH_POTS 20
#endif
constexpr int pots = POTWATCH_BENCH_POTS;
constexpr double limit_c = 95.0;
constexpr double step_s = 0.5;

struct Cure {
    BenchPot pot;
    std::vector<BenchMoment> history;
    std::optional<double> passes_s; // the limit
};

Cure cureOf(BenchPot pot) {
    Cure cure{.pot = pot, .history = {}, .passes_s = {}};
    const double dose_s = 60.0 * pot.dose_g / pot.dose_rate_g_per_min;
    cure.history = simulateBench(pot, pot.dose_start_s + std::min(dose_s, 5400.0) + 1200.0, step_s);
    for (const BenchMoment& moment : cure.history) {
        if (moment.temperature_c >= limit_c) {
            cure.passes_s = moment.time_s;
            break;
        }
    }
    return cure;
}

Batch statedOf(const BenchPot& pot, bool loss) {
    Batch batch;
    batch.charge = {.resin_g = pot.resin_g, .specific_heat_j_per_g_k = pot.specific_heat_j_per_g_k};
    batch.charge.boiling_c = 100.5;
    batch.vessel.heat_capacity_j_per_k = pot.vessel_j_per_k;
    if (loss) {
        batch.vessel.loss_coefficient_w_per_k = pot.loss_w_per_k;
        batch.vessel.loss_exponent = pot.loss_exponent;
    }
    batch.surroundings.temperature_c = pot.surroundings_c;
    batch.cure.heat_of_reaction_j_per_g = pot.heat_j_per_g;
    batch.dose = Dose{.total_g = pot.dose_g, .rate_g_per_min = pot.dose_rate_g_per_min, .start_s = pot.dose_start_s};
    batch.dose->specific_heat_j_per_g_k = pot.dose_j_per_g_k;
    batch.sensor_lag_s = 4.0;
    return batch;
}

struct Heard {
    std::optional<double> warned_s; // of the limit, before it is passed
    std::vector<std::string> warnings;
    int told = 0;
    int told_too_long = 0; // by a tenth
    bool first_too_long = false;
};

// A probe of about the stated lag, with noise and steps of a tenth.
Heard listen(const Cure& cure, bool loss_stated, std::mt19937_64& random) {
    std::normal_distribution<double> normal;
    const double lag_s = std::uniform_real_distribution<double>(3.0, 5.0)(random);
    const double noise_k = std::uniform_real_distribution<double>(0.05, 0.2)(random);
    watch::Watch watch({.channels = {"pot_c"}, .limit_c = limit_c});
    watch.setBatch(statedOf(cure.pot, loss_stated));
    Heard heard;
    double probe_c = cure.history.front().temperature_c;
    for (const BenchMoment& moment : cure.history) {
        probe_c += (moment.temperature_c - probe_c) * -std::expm1(-step_s / lag_s);
        const double reading_c = 0.1 * std::round(10.0 * (probe_c + noise_k * normal(random)));
        for (const AlarmChange& change : watch.scan(moment.time_s, std::span(&reading_c, 1))) {
            if (change.kind == AlarmChange::Kind::ended || change.alarm.level != AlarmLevel::warning) {
                continue;
            }
            heard.warnings.push_back(fmt::format("{} at {:.0f} s", nameOf(change.alarm.kind), moment.time_s));
            const bool of_limit = change.alarm.kind == AlarmKind::limit_near;
            if (of_limit && !heard.warned_s && cure.passes_s && moment.time_s < *cure.passes_s) {
                heard.warned_s = moment.time_s;
                heard.first_too_long =
                    watch.state().seconds_to_limit.value_or(0.0) > 1.1 * (*cure.passes_s - moment.time_s);
            }
        }
        if (cure.passes_s && moment.time_s < *cure.passes_s && watch.state().seconds_to_limit) {
            ++heard.told;
            heard.told_too_long += *watch.state().seconds_to_limit > 1.1 * (*cure.passes_s - moment.time_s) ? 1 : 0;
        }
    }
    return heard;
}

TEST(WatchOnBenchPots, warnsOfFastPotsAndTellsNoTimeThatIsTooLong) {
    std::mt19937_64 random(7001);
    int warned = 0;
    int first_too_long = 0;
    int accumulated = 0;
    int pots_too_long = 0; // more than a tenth of what was told
    double told = 0.0;
    double too_long = 0.0;
    std::vector<double> ahead_s;
    for (int i = 0; i < pots;) {
        BenchPot pot = drawBench(random);
        pot.dose_rate_g_per_min =
            std::exp(std::uniform_real_distribution<double>(std::log(0.3), std::log(4.0))(random));
        const Cure cure = cureOf(pot);
        if (!cure.passes_s) {
            continue;
        }
        const Heard heard = listen(cure, i % 2 == 0, random);
        warned += heard.warned_s ? 1 : 0;
        for (const std::string& w : heard.warnings) {
            if (w.starts_with("accumulation")) {
                ++accumulated;
                break;
            }
        }
        first_too_long += heard.first_too_long ? 1 : 0;
        pots_too_long += heard.told_too_long > heard.told / 10 ? 1 : 0;
        told += heard.told;
        too_long += heard.told_too_long;
        ahead_s.push_back(heard.warned_s ? *cure.passes_s - *heard.warned_s : 0.0);
        ++i;
    }
    std::sort(ahead_s.begin(), ahead_s.end());
    fmt::print(
        "{} fast pots: warned {}, ahead {:.0f} s at the least, {:.0f} s in the middle; too long at the warning {}, "
        "of all times told {:.1f} %, pots with more than a tenth {}; accumulation {}\n",
        pots, warned, ahead_s.front(), ahead_s[ahead_s.size() / 2], first_too_long, 100.0 * too_long / told,
        pots_too_long, accumulated);
    EXPECT_EQ(warned, pots);
    EXPECT_LE(first_too_long, pots / 10);
    EXPECT_LE(pots_too_long, pots / 10);
}

TEST(WatchOnBenchPots, leavesHarmlessCuresInPeace) {
    std::mt19937_64 random(7002);
    int with_warnings = 0;
    std::map<std::string, int> kinds;
    for (int i = 0; i < pots;) {
        BenchPot pot = drawBench(random);
        pot.dose_rate_g_per_min =
            std::exp(std::uniform_real_distribution<double>(std::log(0.05), std::log(2.0))(random));
        if (i % 3 == 0) { // a slow resin, all in within minutes
            pot.k1_per_s *= 0.2;
            pot.k2_per_s *= 0.2;
        }
        const Cure cure = cureOf(pot);
        const double peak_c = peakOf(cure.history);
        if (peak_c > limit_c - 20.0 || peak_c < 40.0) {
            continue;
        }
        const Heard heard = listen(cure, i % 2 == 0, random);
        // A rate over the one that was set is told whatever comes of it.
        with_warnings += std::all_of(heard.warnings.begin(), heard.warnings.end(),
                                     [](const std::string& w) { return w.starts_with("rising fast"); })
                             ? 0
                             : 1;
        for (const char* k : {"accumulation", "limit near", "rising fast"}) {
            kinds[k] += std::any_of(heard.warnings.begin(), heard.warnings.end(),
                                    [&](const std::string& w) { return w.starts_with(k); });
        }
        if (!heard.warnings.empty()) {
            fmt::print("pot {}: {:.2f} g/min, peak {:.1f} °C{}: {}\n", i, pot.dose_rate_g_per_min, peak_c,
                       i % 2 == 0 ? ", loss stated" : "", fmt::join(heard.warnings, ", "));
        }
        ++i;
    }
    fmt::print("{} harmless cures: {} warned; ", pots, with_warnings);
    for (const char* k : {"accumulation", "limit near", "rising fast"}) {
        fmt::print("{} {}, ", k, kinds[k]);
    }
    fmt::print("\n");
    EXPECT_LE(with_warnings, std::max(1, 3 * pots / 100));
}

} // namespace
} // namespace potwatch::reference
