// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/pot_residuals.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

namespace potwatch::kinetics {
namespace {

constexpr int steps = 60;
constexpr double step_s = 10.0;

// A pot that is dosed for a while, boils for a while where it is told to, and is heated a little.
PotRun potRun(bool boils) {
    PotRun run{.name = "a run"};
    const auto at = [&](double time_s) {
        Conditions c;
        c.dosed_g = std::min(4.0, 0.5 + time_s / 100.0);
        c.log_catalyst = std::log(c.dosed_g / 4.0);
        c.surroundings_c = 22.0;
        c.heater_j = 0.3 * time_s;
        c.measured_c = 22.0 + 60.0 * time_s / 600.0;
        c.evaporated_share = boils ? std::clamp((time_s - 300.0) / 100.0, 0.0, 1.0) : 0.0;
        return c;
    };
    run.start = at(0.0);
    run.bins.push_back({.time_s = 0.0, .reading_c = 22.0, .u_k = 0.05});
    for (int i = 0; i < steps; ++i) {
        const double from_s = step_s * i;
        Step step{.duration_s = step_s, .middle = at(from_s + 0.5 * step_s), .end = at(from_s + step_s)};
        step.left_out = boils && from_s >= 300.0 && from_s < 400.0;
        step.ends_left_out = boils && from_s == 390.0;
        if (!step.left_out) {
            step.bin = static_cast<int>(run.bins.size());
            run.bins.push_back({.time_s = from_s + step_s, .reading_c = 60.0, .u_k = 0.05});
        }
        run.steps.push_back(step);
    }
    if (boils) {
        run.left_out = Stretch{300.0, 400.0};
    }
    run.resin_g = 80.0;
    run.heat_of_reaction_j_per_g = 270.0;
    run.charge_j_per_k = {160.0, 5.0};
    run.vessel_j_per_k = {25.0, 2.0};
    run.dose_specific_heat_j_per_g_k = 3.0;
    run.dose_c = 20.0;
    run.dosed_g = 4.0;
    run.dosed_catalyst = true;
    run.catalyst_reference_g_per_g = 0.05;
    run.steam_j_per_g = 2257.0;
    run.water_specific_heat_j_per_g_k = 4.2;
    return run;
}

// Every slope against a difference of the residuals to either side.
void expectSlopes(const PotRun& run, const PotSettings& settings) {
    std::array<double, pot_parameter_count> p{};
    p[log_k1] = -7.5;
    p[e1] = 60.0;
    p[log_k2] = -5.5;
    p[e2] = 48.0;
    p[power_m] = 0.55;
    p[power_n] = 1.4;
    p[order] = 0.9;
    p[log_heat] = 0.02;
    p[log_charge] = -0.01;
    p[log_loss] = std::log(0.8);
    p[loss_exponent] = 0.1;
    p[log_vessel] = 0.03;
    p[lag] = 4.0;
    p[shift] = 0.2;
    p[start] = 22.5;
    p[steam] = 1.5;
    p[skipped] = -0.1;
    const std::size_t bins = run.bins.size();
    std::vector<double> residuals(bins);
    std::vector<double> slopes(bins * pot_parameter_count);
    ASSERT_TRUE(potResiduals(run, p, settings, residuals, slopes));
    std::vector<double> plain(bins);
    ASSERT_TRUE(potResiduals(run, p, settings, plain, {}));
    for (std::size_t bin = 0; bin < bins; ++bin) {
        EXPECT_DOUBLE_EQ(residuals[bin], plain[bin]);
    }
    const std::size_t asked = run.left_out ? pot_parameter_count : std::size_t{steam};
    for (std::size_t i = 0; i < asked; ++i) {
        const double change = 1e-5 * std::max(1.0, std::abs(p[i]));
        auto more = p;
        auto less = p;
        more[i] += change;
        less[i] -= change;
        std::vector<double> above(bins);
        std::vector<double> below(bins);
        ASSERT_TRUE(potResiduals(run, more, settings, above, {}));
        ASSERT_TRUE(potResiduals(run, less, settings, below, {}));
        double steepest = 0.0;
        double off = 0.0;
        for (std::size_t bin = 0; bin < bins; ++bin) {
            const double slope = (above[bin] - below[bin]) / (2.0 * change);
            steepest = std::max(steepest, std::abs(slope));
            off = std::max(off, std::abs(slopes[bin * pot_parameter_count + i] - slope));
        }
        EXPECT_GT(steepest, 0.0) << "parameter " << i;
        EXPECT_LT(off, 1e-6 * steepest + 1e-6) << "parameter " << i;
    }
}

TEST(PotResiduals, slopesAreThoseOfTheResiduals) {
    expectSlopes(potRun(false), {.reference_k = 330.0});
}

TEST(PotResiduals, slopesAreThoseOfTheResidualsWhereItBoils) {
    expectSlopes(potRun(true), {.reference_k = 330.0});
}

TEST(PotResiduals, slopesAreThoseOfTheResidualsAlongTheMeasuredTemperatures) {
    expectSlopes(potRun(false), {.reference_k = 330.0, .driven = true});
}

} // namespace
} // namespace potwatch::kinetics
