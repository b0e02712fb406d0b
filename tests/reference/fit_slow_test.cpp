// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "analysis/forecast/sensor_model.h"
#include "analysis/kinetics/fit.h"
#include "tests/reference/truth_pot.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <numeric>
#include <random>
#include <string>
#include <thread>
#include <vector>

// Source: parameters of tests/reference/truth (invented); the repeats are simulated here.
namespace potwatch {
namespace {

constexpr int repeats = 400;

// What a batch file says of such a pot, each figure off as given.
struct Off {
    double heat_capacity = 1.0; // factors
    double heat_of_reaction = 1.0;
    double surroundings_k = 0.0; // added
    double lag_s = 0.0;
};

Batch batchOf(double rate_g_per_min, const Off& off) {
    Batch batch;
    batch.file = "simulated";
    batch.charge = {.resin_g = 80.0, .specific_heat_j_per_g_k = 2.0 * off.heat_capacity, .boiling_c = 100.5};
    batch.vessel = {.name = "beaker", .heat_capacity_j_per_k = 25.0 * off.heat_capacity};
    batch.surroundings.temperature_c = 22.0 + off.surroundings_k;
    batch.dose = Dose{.role = DoseRole::catalyst,
                      .total_g = 4.0,
                      .rate_g_per_min = rate_g_per_min,
                      .start_s = 120.0,
                      .specific_heat_j_per_g_k = 3.0,
                      .temperature_c = 22.0};
    batch.cure.heat_of_reaction_j_per_g = 270.0 * off.heat_of_reaction;
    batch.sensor_lag_s = 4.0 + off.lag_s;
    batch.uncertainty = {.specific_heat_rel = 0.03,
                         .vessel_j_per_k = 2.0,
                         .surroundings_k = 0.5,
                         .lag_s = 0.7,
                         .heat_of_reaction_rel = 0.05};
    return batch;
}

const std::vector<double> rates_g_per_min{0.1, 0.16, 0.22, 0.3}; // none of them boils

// The runs as a thermocouple reads them: lag 4 s, noise 0.12 K, steps of 0.25 K, one reading a second.
std::vector<potwatch::Run> simulated(std::mt19937_64& random, const Off& off) {
    static const std::vector<double> time_s = [] {
        std::vector<double> times(3001);
        std::iota(times.begin(), times.end(), 0.0);
        return times;
    }();
    static const std::vector<std::vector<double>> temperatures = [] {
        std::vector<std::vector<double>> all;
        for (const double rate : rates_g_per_min) {
            std::vector<double>& one = all.emplace_back();
            const auto states = forecast::simulatePot(reference::truthPot(rate), time_s);
            for (const forecast::PotState& state : states.value()) {
                one.push_back(state.temperature_c);
            }
        }
        return all;
    }();
    std::vector<potwatch::Run> runs;
    for (std::size_t r = 0; r < rates_g_per_min.size(); ++r) {
        potwatch::Run run;
        run.name = "run " + std::to_string(r + 1);
        run.time_s = time_s;
        run.channels = {{.name = "pot_c",
                         .unit = "degC",
                         .values = forecast::readings(time_s, temperatures[r],
                                                      {.lag_s = 4.0, .noise_k = 0.12, .step_k = 0.25}, random)}};
        run.batch = batchOf(rates_g_per_min[r], off);
        runs.push_back(std::move(run));
    }
    return runs;
}

struct Figure {
    const char* name;
    double truth;
};
constexpr std::array<Figure, 5> figures{
    {{"e1_kj_per_mol", 60.0}, {"e2_kj_per_mol", 48.0}, {"m", 0.55}, {"n", 1.4}, {"catalyst_order", 1.0}}};

// Rectangular with this standard deviation, as a stated uncertainty is understood.
double drawn(std::mt19937_64& random, double u) {
    const double unit = static_cast<double>(random() >> 11U) * 0x1.0p-53;
    return std::sqrt(3.0) * u * (2.0 * unit - 1.0);
}

template<class MakeOff>
void expectCoverage(const MakeOff& make_off) {
    std::array<std::vector<Estimate>, figures.size()> found;
    for (auto& one : found) {
        one.resize(repeats);
    }
    std::atomic<int> next = 0;
    std::atomic<int> failed = 0;
    const auto work = [&] {
        for (int i = next++; i < repeats; i = next++) {
            std::mt19937_64 random(1000U + static_cast<unsigned>(i));
            const std::vector<potwatch::Run> runs = simulated(random, make_off(random));
            const auto fit = fitKinetics(runs, {.find_catalyst_order = true, .compare_models = false});
            if (!fit) {
                ++failed;
                continue;
            }
            for (const FittedParameter& parameter : fit->parameters) {
                for (std::size_t k = 0; k < figures.size(); ++k) {
                    if (parameter.name == figures[k].name) {
                        found[k][static_cast<std::size_t>(i)] = parameter.value;
                    }
                }
            }
        }
    };
    {
        const std::jthread second(work);
        work();
    }
    ASSERT_EQ(failed, 0);
    for (std::size_t k = 0; k < figures.size(); ++k) {
        double held = 0.0;
        double mean = 0.0;
        double half = 0.0;
        for (const Estimate& one : found[k]) {
            held += one.low <= figures[k].truth && figures[k].truth <= one.high ? 1.0 : 0.0;
            mean += one.value / repeats;
            half += 0.5 * (one.high - one.low) / repeats;
        }
        double spread = 0.0;
        for (const Estimate& one : found[k]) {
            spread += std::pow(one.value - mean, 2) / (repeats - 1);
        }
        spread = std::sqrt(spread);
        EXPECT_GE(held / repeats, 0.90) << figures[k].name;
        EXPECT_LE(held / repeats, 0.99) << figures[k].name;
        EXPECT_LE(half, 1.5 * coverage_factor_95 * spread) << figures[k].name;
        fmt::print("{:<16} holds {:.3f}, half width / (1.96 spread) {:.2f}, mean {:.4f}\n", figures[k].name,
                   held / repeats, half / coverage_factor_95 / spread, mean);
    }
}

TEST(FitCoverage, intervalsHoldTheTruthWhereEachInputIsOffAsItIsStatedToBe) {
    expectCoverage([](std::mt19937_64& random) {
        return Off{.heat_capacity = 1.0 + drawn(random, 0.026),
                   .heat_of_reaction = 1.0 + drawn(random, 0.05),
                   .surroundings_k = drawn(random, 0.5),
                   .lag_s = drawn(random, 0.7)};
    });
}

TEST(FitCoverage, intervalsHoldTheTruthWithHeatCapacityAndReferenceOff) {
    expectCoverage([](std::mt19937_64&) { return Off{.heat_capacity = 1.02, .heat_of_reaction = 1.03}; });
}

} // namespace
} // namespace potwatch
