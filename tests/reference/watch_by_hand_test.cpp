// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/useful_stop.h"
#include "analysis/watch/watch.h"
#include "tests/reference/table.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::watch {
namespace {

bool selfHeating(const WatchState& state) {
    return std::any_of(state.alarms.begin(), state.alarms.end(),
                       [](const Alarm& alarm) { return alarm.kind == AlarmKind::self_heating; });
}

// When the watch first notices self-heating on a batch in a jacket, read once a second; empty = never.
std::optional<double> noticedS(const std::string& file, double jacket_k) {
    const reference::Table table(file);
    const std::vector<double> time_s = table.numbers("t_s");
    const std::vector<double> temperature_k = table.numbers("T_K");
    Watch watch({.channels = {"pot_c"}, .limit_c = 400.0, .rate_limit_k_per_min = {}});
    Batch batch;
    batch.surroundings.temperature_c = jacket_k - 273.15;
    watch.setBatch(batch);
    std::size_t row = 0;
    for (double t = 0.0; t < time_s.back(); t += 1.0) {
        while (time_s[row + 1] <= t) {
            ++row;
        }
        const double part = (t - time_s[row]) / (time_s[row + 1] - time_s[row]);
        const double now_k = temperature_k[row] + part * (temperature_k[row + 1] - temperature_k[row]);
        watch.scan(t, std::vector<double>{now_k - 273.15});
        if (selfHeating(watch.state())) {
            return t;
        }
    }
    return std::nullopt;
}

// Source: P. Hub, J. D. Jones, Plant/Oper. Prog. 5 (1986) 221 (the rule; from memory), on first-order batches with
// A = 1e10 1/s, E = 100 kJ/mol and an adiabatic rise of 200 K, integrated independently of this project: both
// derivatives are positive from 2284.2 s (367.51 K) on in the one that runs away, and never in the others.
TEST(HubAndJones, isNoticedOnTheBatchThatRunsAwayAlone) {
    EXPECT_FALSE(noticedS("runaway-trace-stable.csv", 365.0));
    EXPECT_FALSE(noticedS("runaway-trace-marginal.csv", 370.0));
    const std::optional<double> noticed_s = noticedS("runaway-trace-runaway.csv", 370.0);
    ASSERT_TRUE(noticed_s);
    EXPECT_GT(*noticed_s, 2284.2);
    EXPECT_LT(*noticed_s, 3500.0); // before the maximum rate at 3673.6 s by minutes
}

// By hand: T = 30 + exp(t / 60) has dT/dt = exp(t / 60) / 60 and d2T/dt2 > 0 all along. At 240 s it is at 84.60 °C and
// rises by 0.9100 K/s, 54.6 K/min. A pot that nears its surroundings, 80 - 50 exp(-t / 300), rises too but bends down.
TEST(HubAndJones, isNoticedOnAnExponentialAndNotOnAnApproach) {
    const auto watched = [](double (*course)(double), double end_s) {
        Watch watch({.channels = {"pot_c"}, .limit_c = 400.0, .rate_limit_k_per_min = {}});
        Batch batch;
        batch.surroundings.temperature_c = 25.0;
        watch.setBatch(batch);
        for (int i = 0; 0.5 * i <= end_s; ++i) {
            watch.scan(0.5 * i, std::vector<double>{course(0.5 * i)});
        }
        return watch.state();
    };
    const WatchState runaway = watched([](double t) { return 30.0 + std::exp(t / 60.0); }, 240.0);
    EXPECT_TRUE(selfHeating(runaway));
    ASSERT_TRUE(runaway.rate_k_per_min);
    EXPECT_NEAR(*runaway.rate_k_per_min, 54.6, 2.0);
    EXPECT_NEAR(*runaway.temperature_c, 84.60, 0.3);
    EXPECT_FALSE(selfHeating(watched([](double t) { return 80.0 - 50.0 * std::exp(-t / 300.0); }, 600.0)));
}

// By hand, without a loss: 80 g of resin, 100 J/g, a fifth cured, in 80 x 2 + 25 + 1 x 3 = 188 J/K: what is left warms
// it by 0.8 x 8000 / 188 = 34.04 K whenever the dose stops. From 60 °C it stays under a limit of 95 °C, from 62 °C not.
TEST(UsefulStopByHand, isTooLateWhereTheHeatThatIsLeftPassesTheLimit) {
    Batch batch;
    batch.charge = {.resin_g = 80.0, .specific_heat_j_per_g_k = 2.0};
    batch.vessel = {.heat_capacity_j_per_k = 25.0, .loss_coefficient_w_per_k = 1e-6};
    batch.dose = Dose{.total_g = 1.02, .specific_heat_j_per_g_k = 3.0, .temperature_c = 60.0};
    const Kinetics kinetics{.kind = RateModel::autocatalytic,
                            .heat_of_reaction_j_per_g = 100.0,
                            .a1_per_s = 1.4e7,
                            .e1_kj_per_mol = 60.0,
                            .a2_per_s = 9.0e5,
                            .e2_kj_per_mol = 48.0,
                            .m = 0.55,
                            .n = 1.4,
                            .catalyst_order = 1.0,
                            .catalyst_reference_g_per_g = 0.01};
    const auto from = [&](double temperature_c) {
        return latestUsefulStop(batch, kinetics,
                                {.now_s = 100.0,
                                 .temperature_c = temperature_c,
                                 .surroundings_c = 20.0,
                                 .degree = 0.2,
                                 .dosed_g = 1.0,
                                 .rate_g_per_s = 0.01,
                                 .total_g = 1.02,
                                 .limit_c = 95.0});
    };
    const auto cool = from(60.0);
    ASSERT_TRUE(cool);
    EXPECT_FALSE(cool->too_late);
    EXPECT_FALSE(cool->latest_s);
    const auto warm = from(62.0);
    ASSERT_TRUE(warm);
    EXPECT_TRUE(warm->too_late);
}

} // namespace
} // namespace potwatch::watch
