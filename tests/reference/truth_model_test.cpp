// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "tests/reference/table.h"
#include "tests/reference/truth_pot.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

// Source: tests/reference/data/README.md, pot-truth.csv and pot-truth-degree.csv: computed outside the project by a stiff
// integrator, from the invented parameters of truth_pot.h.
namespace potwatch::forecast {
namespace {

using reference::truthPot;

std::vector<double> grid(double end_s, double interval_s) {
    std::vector<double> times_s;
    for (int i = 0; i * interval_s <= end_s; ++i) {
        times_s.push_back(i * interval_s);
    }
    return times_s;
}

TEST(TruthModel, peaksAsTheStiffIntegratorsDo) {
    const reference::Table table("pot-truth.csv");
    const auto times_s = grid(7200.0, 0.5);
    ASSERT_EQ(table.size(), 7U);
    for (std::size_t row = 0; row < table.size(); ++row) {
        const auto states = simulatePot(truthPot(table.number(row, "dose_rate_g_per_min")), times_s);
        ASSERT_TRUE(states) << describe(states.error());
        const auto peak = std::max_element(states->begin(), states->end(), [](const PotState& a, const PotState& b) {
            return a.temperature_c < b.temperature_c;
        });
        const auto& run = table.text(row, "run");
        EXPECT_NEAR(peak->temperature_c, table.number(row, "peak_temperature_c"), 0.05) << run;
        EXPECT_NEAR(times_s[static_cast<std::size_t>(peak - states->begin())], table.number(row, "peak_time_s"), 1.0)
            << run;
        EXPECT_NEAR(states->back().heat_j, table.number(row, "heat_released_j"), 5.0) << run;
        EXPECT_NEAR(states->back().evaporated_g, table.number(row, "water_evaporated_g"), 0.003) << run;
    }
}

TEST(TruthModel, curesAsTheStiffIntegratorsDo) {
    const reference::Table runs("pot-truth.csv");
    const reference::Table degrees("pot-truth-degree.csv");
    for (std::size_t row = 0; row < degrees.size(); ++row) {
        const std::vector<double> time_s{degrees.number(row, "time_s")};
        const auto number = static_cast<std::size_t>(degrees.text(row, "run").back() - '1');
        const auto states = simulatePot(truthPot(runs.number(number, "dose_rate_g_per_min")), time_s);
        ASSERT_TRUE(states) << describe(states.error());
        EXPECT_NEAR(states->front().degree, degrees.number(row, "degree"), 1e-3)
            << degrees.text(row, "run") << " at " << time_s[0] << " s";
    }
}

} // namespace
} // namespace potwatch::forecast
