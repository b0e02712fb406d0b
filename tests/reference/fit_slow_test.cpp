// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "analysis/forecast/sensor_model.h"
#include "analysis/kinetics/fit.h"
#include "tests/reference/repeats.h"
#include "tests/reference/truth_pot.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <array>
#include <atomic>
#include <numeric>
#include <random>
#include <string>
#include <thread>
#include <vector>

// Source: parameters of tests/reference/truth (invented); the repeats are simulated here.
namespace potwatch {
namespace {

using reference::batchOf;
using reference::drawn;
using reference::Off;

constexpr int repeats = 400;

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
                        found[k][static_cast<std::size_t>(i)] = reference::less(parameter.value, figures[k].truth);
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
        const reference::Held held = reference::heldBy(found[k]);
        EXPECT_GE(held.share, 0.90) << figures[k].name;
        EXPECT_LE(held.share, 0.99) << figures[k].name;
        EXPECT_LE(held.half_width, 1.5 * held.spread) << figures[k].name;
        fmt::print("{:<16} holds {:.3f}, half width / (1.96 spread) {:.2f}, mean {:.4f}\n", figures[k].name, held.share,
                   held.half_width / held.spread, figures[k].truth + held.mean_off);
    }
}

TEST(FitCoverage, intervalsHoldTheTruthWhereEachInputIsOffAsItIsStatedToBe) {
    expectCoverage([](std::mt19937_64& random) {
        return Off{.specific_heat = 1.0 + drawn(random, 0.03),
                   .heat_of_reaction = 1.0 + drawn(random, 0.05),
                   .vessel_j_per_k = drawn(random, 2.0),
                   .surroundings_k = drawn(random, 0.5),
                   .lag_s = drawn(random, 0.7)};
    });
}

TEST(FitCoverage, intervalsHoldTheTruthWithHeatCapacityAndReferenceOff) {
    expectCoverage([](std::mt19937_64&) {
        return Off{.specific_heat = 1.02, .heat_of_reaction = 1.03, .vessel_j_per_k = 0.5};
    });
}

} // namespace
} // namespace potwatch
