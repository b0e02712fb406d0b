// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

// A pot whose heat is given off on a prescribed curve, whatever its temperature: 230 J/K, 24 kJ, 0.3 W/K, room 22 °C.
// What was done to it and what the batch file says of it differ from case to case; the interval must hold the 24 kJ.
namespace potwatch {
namespace {

constexpr double capacity_j_per_k = 230.0;
constexpr double heat_j = 24000.0;
constexpr double loss_w_per_k = 0.3;
constexpr double room_c = 22.0;
constexpr double dose_s = 300.0;
constexpr double middle_s = 900.0;
constexpr double width_s = 40.0;

struct Bench {
    double start_c = room_c;
    double length_s = 5000.0;
    std::function<double(double)> power_w = [](double) { return 0.0; };
    std::function<double(double)> loss_factor = [](double) { return 1.0; };
};

Run runOn(const Bench& bench) {
    constexpr double step_s = 0.1;
    std::vector<double> temperature_c;
    double now_c = bench.start_c;
    for (int step = 0; step * step_s < bench.length_s; ++step) {
        const double t = step * step_s;
        if (step % 10 == 0) {
            temperature_c.push_back(now_c);
        }
        const double share = 1.0 / (1.0 + std::exp(-(t - middle_s) / width_s));
        const double cure_w = t < dose_s ? 0.0 : heat_j * share * (1.0 - share) / width_s;
        const double lost_w = loss_w_per_k * bench.loss_factor(t) * (now_c - room_c);
        now_c += step_s * (cure_w + bench.power_w(t) - lost_w) / capacity_j_per_k;
    }
    auto trace = signal_tests::evenTrace(temperature_c.size(), 1.0,
                                         [&](double t) { return temperature_c[static_cast<std::size_t>(t + 0.5)]; });
    signal_tests::addNoise(trace, 0.05);
    Run run{.name = "bench",
            .file = "bench.csv",
            .started = std::nullopt,
            .time_s = trace.time_s,
            .channels = {{.name = "pot_c", .unit = "degC", .values = trace.value}}};
    Batch& batch = run.batch;
    batch.charge.resin_g = 100.0;
    batch.charge.specific_heat_j_per_g_k = 2.0;
    batch.vessel.heat_capacity_j_per_k = 30.0;
    batch.surroundings.temperature_c = room_c;
    batch.dose = Dose{.total_g = 0.1, .rate_g_per_min = 0.1, .start_s = dose_s, .specific_heat_j_per_g_k = 3.0};
    batch.cure.heat_of_reaction_j_per_g = heat_j / 100.0;
    batch.sensor_lag_s = 0.0;
    batch.uncertainty = {.specific_heat_rel = 0.01,
                         .vessel_j_per_k = 1.0,
                         .surroundings_k = 0.3,
                         .lag_s = 0.1,
                         .heat_of_reaction_rel = 0.02,
                         .thermocouple_k = 0.0};
    return run;
}

void mark(Run& run, double at_s, const std::string& kind) {
    run.batch.events.push_back({.time_s = at_s, .kind = kind, .text = {}});
}

Findings findingsOf(const Run& run) {
    const auto results = analyse(std::vector<Run>{run}, {});
    EXPECT_TRUE(results.at(0)) << describe(results.at(0).error());
    return results.at(0) ? results.at(0)->findings : Findings{};
}

bool warns(const Findings& findings, const std::string& words) {
    return std::any_of(findings.warnings.begin(), findings.warnings.end(),
                       [&](const std::string& warning) { return warning.find(words) != std::string::npos; });
}

void expectHeatHeld(const Findings& findings, double within_share) {
    ASSERT_TRUE(findings.heat.released_j);
    const Estimate& heat = *findings.heat.released_j;
    EXPECT_LE(heat.low, heat_j);
    EXPECT_GE(heat.high, heat_j);
    EXPECT_GT(heat.low, 0.0);
    EXPECT_LT(heat.high - heat.low, within_share * heat_j);
    EXPECT_LE(findings.cure.final_degree->value, 1.0 + 2.0 * findings.cure.final_degree->u);
}

TEST(Stretches, needNothingWhereNothingWasDone) {
    const Findings findings = findingsOf(runOn({}));
    expectHeatHeld(findings, 0.12);
    EXPECT_FALSE(findings.heat.lower_bound);
    EXPECT_FALSE(warns(findings, "before dosing"));
    ASSERT_TRUE(findings.heat.surroundings_c);
    EXPECT_NEAR(findings.heat.surroundings_c->value, room_c, 0.6);
}

TEST(Stretches, endAtAQuenchWhoseLossIsNeverThatOfThePot) {
    potwatch::Run run = runOn({.loss_factor = [](double t) { return t < 1400.0 ? 1.0 : 40.0; }});
    mark(run, 1400.0, "quench");
    const Findings findings = findingsOf(run);
    ASSERT_TRUE(findings.heat.released_j);
    EXPECT_LE(findings.heat.released_j->low, heat_j);
    EXPECT_GE(findings.heat.released_j->high, heat_j);
    EXPECT_LT(findings.heat.released_j->value, 1.5 * heat_j);
    EXPECT_TRUE(warns(findings, "the heat balance ends at 1400 s"));
}

TEST(Stretches, countAStatedHeaterBetweenItsEventsOnly) {
    potwatch::Run run = runOn({.power_w = [](double t) { return t >= 30.0 && t < 250.0 ? 15.0 : 0.0; }});
    run.batch.heater.power_w = 15.0;
    mark(run, 30.0, "heat on");
    mark(run, 250.0, "heat off");
    expectHeatHeld(findingsOf(run), 0.25);
}

TEST(Stretches, giveNoHeatOnAPlateThatNobodyMeasured) {
    potwatch::Run run = runOn({.power_w = [](double t) { return t >= 30.0 && t < 600.0 ? 15.0 : 0.0; }});
    mark(run, 30.0, "heat on");
    mark(run, 600.0, "heat off");
    const Findings findings = findingsOf(run);
    EXPECT_FALSE(findings.heat.released_j);
    EXPECT_FALSE(findings.cure.final_degree);
    EXPECT_TRUE(warns(findings, "power nobody measured"));
    EXPECT_TRUE(findings.landmarks.peak);
}

TEST(Stretches, knowALidWithinAFactorOnly) {
    potwatch::Run run = runOn({.loss_factor = [](double t) { return t < 1100.0 ? 0.6 : 1.0; }});
    mark(run, 1100.0, "lid off");
    expectHeatHeld(findingsOf(run), 0.4);
}

TEST(PowerBefore, isToldAndCarried) {
    const Findings findings = findingsOf(runOn({.power_w = [](double) { return 1.5; }}));
    expectHeatHeld(findings, 0.65);
    EXPECT_TRUE(warns(findings, "W before dosing that the batch file does not account for"));
}

TEST(PowerBefore, withdrawsTheHeatWhereItIsAsMuch) {
    const Findings findings = findingsOf(runOn({.power_w = [](double) { return 18.0; }}));
    EXPECT_FALSE(findings.heat.released_j);
    EXPECT_TRUE(warns(findings, "before dosing"));
}

TEST(PowerBefore, findsARoomThatIsNotStatedFromAPotThatCools) {
    potwatch::Run run = runOn({.start_c = room_c + 20.0});
    run.batch.surroundings.temperature_c.reset();
    const Findings findings = findingsOf(run);
    expectHeatHeld(findings, 0.5);
    ASSERT_TRUE(findings.heat.surroundings_c);
    EXPECT_NEAR(findings.heat.surroundings_c->value, room_c, 4.0);
    EXPECT_TRUE(warns(findings, "the room's temperature is not stated"));
}

} // namespace
} // namespace potwatch
