// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/cure_law.h"
#include "analysis/forecast/pot_model.h"
#include "analysis/kinetics/constant_rate.h"
#include "analysis/kinetics/isoconversional.h"
#include "analysis/kinetics/temperature_integral.h"
#include "tests/reference/table.h"
#include "tests/reference/truth_pot.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

namespace potwatch::kinetics {
namespace {

constexpr double zero_celsius_k = 273.15;
constexpr double tight = 0.01; // kJ/mol
const std::array<double, 4> rates_k_per_min{2.0, 5.0, 10.0, 20.0};

std::string column(const char* name, double rate, const char* unit) {
    return fmt::format("{}_{}{}", name, static_cast<int>(rate), unit);
}

// Source: peaks of an exact first-order cure, A = 1e10 1/s, E = 100 kJ/mol, from 300 K (constructed outside the
// project).
std::vector<RatePoint> exactPeaks() {
    return {{2.0, 413.566354 - zero_celsius_k},
            {5.0, 426.116136 - zero_celsius_k},
            {10.0, 436.109620 - zero_celsius_k},
            {20.0, 446.566122 - zero_celsius_k}};
}

// Rates by the five-point formula of an evenly spaced table; the two rows at either end have none.
std::vector<double> differences(const std::vector<double>& time_s, const std::vector<double>& degree) {
    std::vector<double> rate(degree.size(), std::nan(""));
    for (std::size_t i = 2; i + 2 < degree.size(); ++i) {
        const double step_s = time_s[i + 1] - time_s[i];
        rate[i] = (degree[i - 2] - 8.0 * degree[i - 1] + 8.0 * degree[i + 1] - degree[i + 2]) / (12.0 * step_s);
    }
    return rate;
}

// The runs of kinetics-first-order.csv.
std::vector<CureCourse> exactRuns() {
    const reference::Table table("kinetics-first-order.csv");
    std::vector<CureCourse> runs;
    for (const double rate : rates_k_per_min) {
        CureCourse run{.run = fmt::format("{} K/min", rate)};
        run.degree = table.numbers(column("alpha", rate, "Kmin"));
        for (const double temperature_k : table.numbers("T_K")) {
            run.temperature_c.push_back(temperature_k - zero_celsius_k);
            run.time_s.push_back((temperature_k - 300.0) / rate * 60.0);
        }
        run.rate_per_s = differences(run.time_s, run.degree);
        runs.push_back(std::move(run));
    }
    return runs;
}

// Source: check values computed outside the project from the exact peaks; each method's own value, whose distance from
// 100 kJ/mol is the method's.
TEST(ModelFree, eachPeakMethodGivesItsOwnValue) {
    const auto peaks = exactPeaks();
    EXPECT_NEAR(kissinger(peaks)->e_kj_per_mol.value, 100.0, tight);
    EXPECT_NEAR(kissinger(peaks)->a_per_s / 1e10, 1.0, 1e-3);
    EXPECT_NEAR(ozawa(peaks)->e_kj_per_mol.value, 101.88466, tight);
    EXPECT_NEAR(astmE698(peaks)->e_kj_per_mol.value, 99.98071, tight);
    EXPECT_NEAR(astmE698(peaks)->a_per_s / 9.945e9, 1.0, 1e-3);
}

// Source: kinetics-first-order-isoconversional.csv, each method's own value at eleven degrees.
TEST(ModelFree, eachMethodAtOneDegreeGivesItsOwnValue) {
    const reference::Table table("kinetics-first-order-isoconversional.csv");
    ASSERT_EQ(table.size(), 11U);
    for (std::size_t row = 0; row < table.size(); ++row) {
        const double degree = table.number(row, "alpha");
        std::vector<RatePoint> points;
        for (const double rate : rates_k_per_min) {
            points.push_back({rate, table.number(row, column("T_K_at", rate, "Kmin")) - zero_celsius_k});
        }
        EXPECT_NEAR(kas(points, degree)->e_kj_per_mol.value, table.number(row, "E_KAS_kJmol"), tight) << degree;
        EXPECT_NEAR(starink(points, degree)->e_kj_per_mol.value, table.number(row, "E_Starink_kJmol"), tight);
        EXPECT_NEAR(flynnWallOzawa(points, degree)->e_kj_per_mol.value, table.number(row, "E_FWO_1.052_kJmol"), tight);
        // With the temperature integral's own slope little of the method's offset is left.
        EXPECT_NEAR(flynnWallOzawaRefined(points, degree)->e_kj_per_mol.value, 100.0, 0.05) << degree;
    }
}

// Source: kinetics-first-order.csv (the same cure, 1 K a row), read as four runs.
TEST(ModelFree, runsOfConstantRateGiveTheSame) {
    const auto found = constantRateEnergies(exactRuns());
    ASSERT_TRUE(found) << describe(found.error());
    for (std::size_t i = 0; i < rates_k_per_min.size(); ++i) {
        EXPECT_NEAR(found->heating_k_per_min[i] / rates_k_per_min[i], 1.0, 1e-9);
    }
    ASSERT_EQ(found->peaks.size(), 3U);
    EXPECT_NEAR(found->peaks[0].e_kj_per_mol.value, 100.0, tight);
    EXPECT_NEAR(found->peaks[1].e_kj_per_mol.value, 101.88466, tight);
    EXPECT_NEAR(found->peaks[2].e_kj_per_mol.value, 99.98071, tight);
    for (const EnergyFromPeaks& peak : found->peaks) {
        EXPECT_LE(peak.e_kj_per_mol.low, peak.e_kj_per_mol.value);
        EXPECT_LT(peak.e_kj_per_mol.high - peak.e_kj_per_mol.low, 0.5);
    }
    const ModelFree& by_kas = found->by_degree.at(0);
    ASSERT_EQ(by_kas.at.size(), 9U);
    EXPECT_NEAR(by_kas.at[0].e_kj_per_mol.value, 99.80684, tight);
    EXPECT_NEAR(by_kas.at[4].e_kj_per_mol.value, 99.78024, tight);
    EXPECT_NEAR(by_kas.at[8].e_kj_per_mol.value, 99.76243, tight);
}

// Source: the same; the differential method is exact for any law.
TEST(ModelFree, friedmanIsExactOnRunsWithoutDosing) {
    const auto found = friedman(exactRuns(), {.order = CatalystOrder::none});
    ASSERT_TRUE(found) << describe(found.error());
    ASSERT_EQ(found->at.size(), 9U);
    for (const EnergyAtDegree& at : found->at) {
        EXPECT_NEAR(at.e_kj_per_mol.value, 100.0, tight) << at.degree;
        EXPECT_EQ(at.runs, 4U);
    }
}

// Source: flynn-wall-table.csv, computed outside the project (E1 by continued fraction).
TEST(ModelFree, temperatureIntegralIsThatOfTheTable) {
    const reference::Table table("flynn-wall-table.csv");
    for (std::size_t row = 0; row < table.size(); ++row) {
        const double x = table.number(row, "x_E_over_RT");
        EXPECT_NEAR(minusLog10TemperatureIntegral(x), table.number(row, "minus_log10_p"), 1e-6) << x;
        EXPECT_NEAR(temperatureIntegralSlope(x), table.number(row, "b_minus_dlog10p_dx"), 1e-6) << x;
    }
}

// Seven dosing rates, without noise.
std::vector<CureCourse> dosedRuns() {
    const reference::Table table("pot-truth.csv");
    std::vector<CureCourse> runs;
    for (std::size_t row = 0; row < table.size(); ++row) {
        const forecast::PotModel pot = reference::truthPot(table.number(row, "dose_rate_g_per_min"));
        CureCourse run{.run = table.text(row, "run")};
        for (int i = 0; i <= 14400; ++i) {
            run.time_s.push_back(0.5 * i);
        }
        const auto states = forecast::simulatePot(pot, run.time_s);
        EXPECT_TRUE(states) << describe(states.error());
        for (const forecast::PotState& state : *states) {
            run.temperature_c.push_back(state.temperature_c);
            run.degree.push_back(state.degree);
            run.catalyst_g_per_g.push_back(state.dosed_g / pot.resin_g);
            run.rate_per_s.push_back(forecast::curingRatePerS(pot.law, {.temperature_c = state.temperature_c,
                                                                        .degree = state.degree,
                                                                        .catalyst_g_per_g = state.dosed_g / 80.0}));
        }
        runs.push_back(std::move(run));
    }
    return runs;
}

// What the two paths of the law together look like at a degree and a temperature [kJ/mol].
double trueEnergy(const forecast::CureLaw& law, double degree, double temperature_c) {
    const double thermal = -1.0 / (forecast::gas_constant_j_per_mol_k * (temperature_c + zero_celsius_k));
    const double first = law.a1_per_s * std::exp(law.e1_j_per_mol * thermal);
    const double second = law.a2_per_s * std::exp(law.e2_j_per_mol * thermal) * std::pow(degree, law.m);
    return (first * law.e1_j_per_mol + second * law.e2_j_per_mol) / (first + second) / 1000.0;
}

TEST(ModelFree, friedmanWithTheCatalystFindsTheTruthOfDosedRuns) {
    const auto runs = dosedRuns();
    const FriedmanSettings found_order{.order = CatalystOrder::found, .degrees = {0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8}};
    FriedmanSettings stated_order = found_order;
    stated_order.order = CatalystOrder::stated;
    for (const FriedmanSettings& settings : {found_order, stated_order}) {
        const auto found = friedman(runs, settings);
        ASSERT_TRUE(found) << describe(found.error());
        ASSERT_EQ(found->at.size(), 7U);
        EXPECT_NEAR(found->catalyst_order->value, 1.0, 0.02);
        for (const EnergyAtDegree& at : found->at) {
            const double truth = trueEnergy(reference::truthPot(1.0).law, at.degree, 0.5 * (at.t_min_c + at.t_max_c));
            EXPECT_NEAR(at.e_kj_per_mol.value, truth, 3.0) << at.degree;
            EXPECT_LT(at.e_kj_per_mol.high - at.e_kj_per_mol.low, 6.0) << at.degree;
        }
    }
}

TEST(ModelFree, rawFriedmanIsRefusedOnDosedRunsAndSaysWhy) {
    auto runs = dosedRuns();
    const auto refused = friedman(runs, {.order = CatalystOrder::none});
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, FaultKind::missing);
    EXPECT_NE(refused.error().what.find("dosed while the resin cures"), std::string::npos);
    // What it would have read: hide the dose from it.
    for (CureCourse& run : runs) {
        run.catalyst_g_per_g.clear();
    }
    const auto raw = friedman(runs, {.order = CatalystOrder::none, .degrees = {0.2, 0.4, 0.6, 0.8}});
    ASSERT_TRUE(raw);
    EXPECT_GT(raw->at.front().e_kj_per_mol.value, 70.0);
    EXPECT_FALSE(constantRateEnergies(dosedRuns()));
}

} // namespace
} // namespace potwatch::kinetics
