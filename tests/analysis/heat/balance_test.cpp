// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/balance.h"
#include "analysis/heat/drawn_balance.h"
#include "analysis/landmarks/curves.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stop_token>
#include <vector>

namespace potwatch::heat {
namespace {

using signal_tests::addNoise;
using signal_tests::evenTrace;

// 200 J/K that cool at 0.8 W/K towards 20 °C: time constant 250 s.
double cooling(double t) {
    return 20.0 + 60.0 * std::exp(-t / 250.0);
}

PotCourse courseOf(double (*temperature)(double), double end_s, double step_s) {
    PotCourse course;
    for (double t = 0.0; t <= end_s; t += step_s) {
        course.time_s.push_back(t);
        course.temperature_c.push_back(temperature(t));
        course.slope_k_per_s.push_back((temperature(t + 1e-3) - temperature(t - 1e-3)) / 2e-3);
    }
    course.surroundings_c.assign(course.size(), 20.0);
    for (auto* zero : {&course.surroundings_slope_k_per_s, &course.heater_j, &course.evaporated_share}) {
        zero->assign(course.size(), 0.0);
    }
    return course;
}

TEST(Pot, thatOnlyCoolsReleasesNothing) {
    const PotCourse course = courseOf(cooling, 2000.0, 10.0);
    const auto released = releasedHeat({.heat_capacity_j_per_k = 200.0}, course, {.coefficient_w_per_k = 0.8});
    for (const double heat_j : released) {
        EXPECT_NEAR(heat_j, 0.0, 0.05); // of 12 000 J
    }
}

TEST(Pot, countsHeaterDoseAndSteam) {
    PotCourse course = courseOf([](double) { return 50.0; }, 100.0, 10.0);
    for (std::size_t i = 0; i < course.size(); ++i) {
        course.heater_j[i] = 2.0 * course.time_s[i];
        course.evaporated_share[i] = course.time_s[i] / 100.0;
    }
    Pot pot{.heat_capacity_j_per_k = 200.0};
    const Loss none;
    EXPECT_NEAR(releasedHeat(pot, course, none).back(), -200.0, 1e-9);
    pot.dose = DoseCourse{.time_s = {0.0, 100.0}, .dosed_g = {0.0, 4.0}};
    pot.dose_specific_heat_j_per_g_k = 3.0;
    pot.dose_temperature_c = 20.0; // 4 g warmed by 30 K
    EXPECT_NEAR(releasedHeat(pot, course, none).back(), -200.0 + 360.0, 1e-9);
    pot.evaporated_g = 1.0;
    pot.latent_heat_j_per_g = 2257.0;
    EXPECT_NEAR(releasedHeat(pot, course, none).back(), -200.0 + 360.0 + 2257.0, 1e-9);
}

TEST(Pot, losesMoreByConvectionTheHotterItIs) {
    const PotCourse course = courseOf([](double) { return 60.0; }, 100.0, 10.0);
    EXPECT_NEAR(lossIntegral(course, 0.0, 0.0).back(), 4000.0, 1e-9);
    EXPECT_NEAR(lossIntegral(course, 0.25, 0.0).back(), 4000.0 * std::pow(2.0, 0.25), 1e-9);
    EXPECT_NEAR(lossIntegral(course, 0.0, 1.0).back(), 3900.0, 1e-9);
}

TEST(LossFit, readsTheLossOfAPotThatCools) {
    auto trace = evenTrace(4001, 0.5, cooling);
    addNoise(trace, 0.12);
    const PotCourse course = courseOf(cooling, 2000.0, 5.0);
    const auto fit = fitLoss(trace.view(), 0.0, {.heat_capacity_j_per_k = 200.0}, course,
                             {.from_s = 0.0, .to_s = 2000.0, .residual_cure = false, .noise_k = 0.12});
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->loss.coefficient_w_per_k, 0.8, 0.008);
    EXPECT_NEAR(fit->loss.exponent, 0.0, 0.01);
    EXPECT_NEAR(fit->reduced_chi_square, 1.0, 0.4);
}

TEST(LossFit, needsAPotThatCools) {
    const auto still = evenTrace(1000, 1.0, [](double) { return 50.0; });
    const PotCourse course = courseOf([](double) { return 50.0; }, 999.0, 5.0);
    EXPECT_FALSE(fitLoss(still.view(), 0.0, {}, course, {.from_s = 0.0, .to_s = 999.0}));
}

struct Bench {
    signal_tests::Trace trace;
    landmarks::Curves curves;
    BalanceProblem problem;

    explicit Bench(double heat_capacity_j_per_k) {
        // A rise by 60 K in half a minute, then the cooling.
        trace = evenTrace(5001, 0.5, [](double t) {
            return t < 200.0 ? 20.0 : t < 230.0 ? 20.0 + 2.0 * (t - 200.0) : cooling(t - 230.0);
        });
        addNoise(trace, 0.1);
        curves = landmarks::smoothCurves(trace.view(), 0.0, 0.1);
        problem.reading = trace.view();
        problem.curves = &curves;
        problem.charge_j_per_k = {heat_capacity_j_per_k, 0.03 * heat_capacity_j_per_k};
        problem.pot.heat_capacity_j_per_k = heat_capacity_j_per_k;
        problem.surroundings_c = {{0.0, 1.0}, {20.0, 20.0}};
        problem.heater_w = {{0.0, 1.0}, {0.0, 0.0}};
        problem.evaporation_weighed = true;
        problem.cooling_to_s = 2500.0;
    }
};

TEST(Balance, hasTheHeatOfAPulse) {
    Bench bench(200.0);
    bench.problem.cooling_from_s = 260.0;
    const Balance result = balance(bench.problem);
    ASSERT_TRUE(result.loss);
    // Stored 60 K and lost on the way: 0.8 W/K times 30 K for 30 s.
    EXPECT_NEAR(result.released_j.back(), 200.0 * 60.0 + 0.8 * 30.0 * 30.0, 130.0);
    const Estimate released = combine(result.released_j.back(), result.released_from);
    EXPECT_NEAR(released.u / released.value, 0.03, 0.004);
}

TEST(Balance, withoutALossIsALowerBound) {
    Bench bench(200.0);
    const Balance result = balance(bench.problem);
    EXPECT_FALSE(result.loss);
    EXPECT_LT(result.released_j.back(), 200.0 * 60.0);
    EXPECT_GT(result.released_high_j, 200.0 * 60.0);
}

TEST(Balance, takesAStatedLossAsItStands) {
    Bench bench(200.0);
    bench.problem.cooling_from_s = 260.0;
    bench.problem.known_loss = KnownLoss{.loss = {.coefficient_w_per_k = 0.9}, .log_u = 0.03, .own_cooling_too = false};
    const Balance result = balance(bench.problem);
    EXPECT_DOUBLE_EQ(result.loss->coefficient_w_per_k, 0.9);
    EXPECT_FALSE(result.fit);
}

TEST(Balance, weighsWhatIsKnownFromElsewhere) {
    Bench bench(200.0);
    bench.problem.cooling_from_s = 260.0;
    const double own = balance(bench.problem).loss->coefficient_w_per_k;
    bench.problem.known_loss = KnownLoss{.loss = {.coefficient_w_per_k = 1.1 * own}, .log_u = 1e-6, .exponent_u = 0.05};
    EXPECT_NEAR(balance(bench.problem).loss->coefficient_w_per_k, 1.1 * own, 1e-3);
    bench.problem.known_loss->log_u = 10.0;
    EXPECT_NEAR(balance(bench.problem).loss->coefficient_w_per_k, own, 0.02 * own);
}

void expectSameInterval(const Estimate& drawn, const Estimate& linear) {
    EXPECT_NEAR(drawn.u, linear.u, 0.06 * linear.u);
    EXPECT_NEAR(drawn.low, linear.low, 0.2 * linear.u);
    EXPECT_NEAR(drawn.high, linear.high, 0.2 * linear.u);
}

// The model is nearly linear in its inputs here, so that the draws have to come to what linear propagation says.
TEST(DrawnBalances, agreeWithLinearPropagation) {
    Bench bench(200.0);
    bench.problem.cooling_from_s = 260.0;
    bench.problem.vessel_j_per_k = {0.0, 4.0};
    const Balance result = balance(bench.problem);
    const DrawnBalances drawn = drawBalances(bench.problem, 2000, 7, 2);
    ASSERT_EQ(drawn.released_j.size(), 2000U);
    expectSameInterval(fromDraws(result.released_j.back(), drawn.released_j),
                       combine(result.released_j.back(), result.released_from));
    expectSameInterval(fromDraws(result.loss->coefficient_w_per_k, drawn.loss_coefficient_w_per_k),
                       combine(result.loss->coefficient_w_per_k, result.loss_from));
    expectSameInterval(fromDraws(200.0, drawn.heat_capacity_j_per_k),
                       combine(200.0, std::vector<Contribution>{{"charge", 6.0, Distribution::rectangular},
                                                                {"vessel", 4.0, Distribution::rectangular}}));
}

TEST(DrawnBalances, varyAStatedLossToo) {
    Bench bench(200.0);
    bench.problem.known_loss = KnownLoss{.loss = {.coefficient_w_per_k = 0.8}, .log_u = 0.04, .own_cooling_too = false};
    const Balance result = balance(bench.problem);
    const DrawnBalances drawn = drawBalances(bench.problem, 2000, 7, 2);
    expectSameInterval(fromDraws(result.released_j.back(), drawn.released_j),
                       combine(result.released_j.back(), result.released_from));
    expectSameInterval(fromDraws(0.8, drawn.loss_coefficient_w_per_k), combine(0.8, result.loss_from));
}

TEST(DrawnBalances, areTheSameForAnyNumberOfThreadsAndOthersForAnotherSeed) {
    Bench bench(200.0);
    bench.problem.cooling_from_s = 260.0;
    const DrawnBalances one = drawBalances(bench.problem, 50, 7, 1);
    EXPECT_EQ(one.released_j, drawBalances(bench.problem, 50, 7, 3).released_j);
    EXPECT_NE(one.released_j, drawBalances(bench.problem, 50, 8, 1).released_j);
}

TEST(DrawnBalances, areNoneWhereTheyAreStopped) {
    Bench bench(200.0);
    bench.problem.cooling_from_s = 260.0;
    std::stop_source stop;
    stop.request_stop();
    EXPECT_TRUE(drawBalances(bench.problem, 50, 7, 2, stop.get_token()).released_j.empty());
}

} // namespace
} // namespace potwatch::heat
