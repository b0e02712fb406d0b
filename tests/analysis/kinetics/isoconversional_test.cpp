// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/cure_law.h"
#include "analysis/kinetics/isoconversional.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace potwatch::kinetics {
namespace {

using testing::HasSubstr;

constexpr double energy_kj_per_mol = 55.0;
constexpr double order = 0.8;

struct Conditions {
    double temperature_c = 0.0;
    double catalyst_g_per_g = 0.0;
    double log_off = 0.0; // of the rate, all the way: a heat capacity that is wrong, for one
};

// A run at one temperature with one amount of catalyst.
CureCourse runAt(const Conditions& conditions, double scatter = 0.0, std::mt19937_64* random = nullptr) {
    CureCourse run{.run = fmt::format("at {} °C", conditions.temperature_c)};
    const double thermal = 1.0 / (forecast::gas_constant_j_per_mol_k * (conditions.temperature_c + 273.15));
    std::normal_distribution<double> normal;
    for (int i = 0; i <= 20; ++i) {
        const double degree = 0.05 * i;
        double log_rate = std::log(1e8) - 1000.0 * energy_kj_per_mol * thermal +
                          order * std::log(conditions.catalyst_g_per_g) + std::log(1.0 + degree) +
                          1.3 * std::log(1.001 - degree) + conditions.log_off;
        log_rate += random != nullptr ? scatter * normal(*random) : 0.0;
        run.time_s.push_back(60.0 * i);
        run.temperature_c.push_back(conditions.temperature_c);
        run.degree.push_back(degree);
        run.rate_per_s.push_back(std::exp(log_rate));
        run.catalyst_g_per_g.push_back(conditions.catalyst_g_per_g);
    }
    return run;
}

std::vector<CureCourse> sixRuns() {
    std::vector<CureCourse> runs;
    for (const Conditions& conditions : {Conditions{40.0, 0.02}, Conditions{50.0, 0.05}, Conditions{60.0, 0.02},
                                         Conditions{70.0, 0.04}, Conditions{55.0, 0.05}, Conditions{45.0, 0.03}}) {
        runs.push_back(runAt(conditions));
    }
    return runs;
}

TEST(Friedman, findsEnergyAndOrderTogether) {
    const auto found = friedman(sixRuns());
    ASSERT_TRUE(found) << describe(found.error());
    EXPECT_TRUE(found->order_found);
    EXPECT_NEAR(found->catalyst_order->value, order, 1e-9);
    ASSERT_EQ(found->at.size(), 9U);
    for (const EnergyAtDegree& at : found->at) {
        EXPECT_NEAR(at.e_kj_per_mol.value, energy_kj_per_mol, 1e-6) << at.degree;
        EXPECT_EQ(at.runs, 6U);
        EXPECT_DOUBLE_EQ(at.t_max_c, 70.0);
    }
    EXPECT_TRUE(found->warnings.empty());
}

TEST(Friedman, aWrongStatedOrderReadsAnotherEnergyAndItsUncertaintyCounts) {
    const auto exact = friedman(sixRuns(), {.order = CatalystOrder::stated, .stated = normalEstimate(order, 0.0)});
    const auto unsure = friedman(sixRuns(), {.order = CatalystOrder::stated, .stated = normalEstimate(order, 0.2)});
    const auto wrong = friedman(sixRuns(), {.order = CatalystOrder::stated, .stated = normalEstimate(2.0, 0.0)});
    ASSERT_TRUE(exact && unsure && wrong);
    EXPECT_NEAR(exact->at[4].e_kj_per_mol.value, energy_kj_per_mol, 1e-6);
    EXPECT_GT(std::abs(wrong->at[4].e_kj_per_mol.value - energy_kj_per_mol), 3.0);
    EXPECT_GT(unsure->at[4].e_kj_per_mol.u, exact->at[4].e_kj_per_mol.u + 0.5);
}

// The scatter that pots show: a run is off by the same factor all along, and each row a little more.
TEST(Friedman, intervalsHoldTheTruth) {
    constexpr int repeats = 400;
    int energies_found = 0;
    int energies_stated = 0;
    int orders = 0;
    std::mt19937_64 random(7);
    std::normal_distribution<double> normal;
    for (int repeat = 0; repeat < repeats; ++repeat) {
        std::vector<CureCourse> runs;
        for (const Conditions& conditions :
             {Conditions{40.0, 0.02}, Conditions{50.0, 0.05}, Conditions{60.0, 0.02}, Conditions{70.0, 0.04},
              Conditions{55.0, 0.05}, Conditions{45.0, 0.03}, Conditions{65.0, 0.03}}) {
            Conditions off = conditions;
            off.log_off = 0.04 * normal(random);
            runs.push_back(runAt(off, 0.02, &random));
        }
        const auto holds = [](const Estimate& estimate, double truth) {
            return estimate.low <= truth && truth <= estimate.high ? 1 : 0;
        };
        const auto found = friedman(runs);
        const auto stated = friedman(runs, {.order = CatalystOrder::stated, .stated = normalEstimate(order, 0.0)});
        ASSERT_TRUE(found && stated);
        energies_found += holds(found->at[4].e_kj_per_mol, energy_kj_per_mol);
        energies_stated += holds(stated->at[4].e_kj_per_mol, energy_kj_per_mol);
        orders += holds(*found->catalyst_order, order);
    }
    for (const int held : {energies_found, energies_stated, orders}) {
        EXPECT_GE(held, 0.90 * repeats);
        EXPECT_LE(held, 0.99 * repeats);
    }
}

Fault refusalOf(const std::vector<CureCourse>& runs, const FriedmanSettings& settings = {}) {
    const auto result = friedman(runs, settings);
    EXPECT_FALSE(result);
    return result ? Fault{} : result.error();
}

TEST(Friedman, rawIsRefusedWhereTheCatalystIsDosedDuringTheCure) {
    auto runs = sixRuns();
    runs[2].run = "rod 03";
    for (std::size_t i = 0; i < runs[2].time_s.size(); ++i) {
        runs[2].catalyst_g_per_g[i] = 0.002 * static_cast<double>(i);
    }
    const Fault fault = refusalOf(runs, {.order = CatalystOrder::none});
    EXPECT_EQ(fault.kind, FaultKind::missing);
    EXPECT_THAT(fault.what, HasSubstr("rod 03: the catalyst is dosed while the resin cures"));
}

TEST(Friedman, rawIsRefusedWhereRunsDifferInTheirCatalyst) {
    EXPECT_THAT(refusalOf(sixRuns(), {.order = CatalystOrder::none}).what, HasSubstr("differ in their catalyst"));
}

TEST(Friedman, needsEnoughRuns) {
    auto runs = sixRuns();
    runs.resize(3);
    EXPECT_THAT(refusalOf(runs).what, HasSubstr("needs four runs"));
    EXPECT_TRUE(friedman(runs, {.order = CatalystOrder::stated, .stated = normalEstimate(order, 0.1)}));
    runs.resize(1);
    EXPECT_THAT(refusalOf(runs, {.order = CatalystOrder::stated}).what, HasSubstr("one run is given"));
}

TEST(Friedman, doesNotInventAnOrderFromRunsWithTheSameCatalyst) {
    std::vector<CureCourse> runs;
    for (const double temperature_c : {40.0, 50.0, 60.0, 70.0}) {
        runs.push_back(runAt({temperature_c, 0.03}));
    }
    EXPECT_THAT(refusalOf(runs).what, HasSubstr("do not tell the catalyst's order"));
    EXPECT_TRUE(friedman(runs, {.order = CatalystOrder::none}));
}

TEST(Friedman, leavesOutDegreesThatTooFewRunsPass) {
    auto runs = sixRuns();
    for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t row = 15; row < runs[i].degree.size(); ++row) {
            runs[i].degree[row] = std::nan("");
        }
    }
    const auto found = friedman(runs);
    ASSERT_TRUE(found) << describe(found.error());
    EXPECT_EQ(found->at.size(), 7U);
    ASSERT_EQ(found->warnings.size(), 2U);
    EXPECT_THAT(found->warnings[0], HasSubstr("degree 0.8: only 3 of the runs"));
}

} // namespace
} // namespace potwatch::kinetics
