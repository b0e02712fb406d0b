// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"
#include "analysis/forecast/pot_model.h"
#include "analysis/forecast/sensor_model.h"
#include "tests/reference/repeats.h"
#include "tests/reference/truth_pot.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <optional>
#include <random>
#include <string>
#include <thread>
#include <vector>

// Do the intervals of `analyse` hold the truth, and are they no wider than they must be? Each repeat reads one pot anew
// with a thermocouple, and its batch file is off as its [uncertainty] says.
// Source: parameters of tests/reference/truth (invented); the repeats are simulated here.
namespace potwatch {
namespace {

using reference::drawn;
using reference::Off;

constexpr int repeats = 400;
constexpr double interval_s = 0.5;
constexpr std::size_t rows = 14401;

// What is true of a pot dosed at some rate.
struct Pot {
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    double peak_c = 0.0;
    double peak_s = 0.0;
    double onset_s = 0.0;
    double released_j = 0.0;
    double degree = 0.0;
    double evaporated_g = 0.0;
};

Pot potDosedAt(double rate_g_per_min) {
    Pot pot;
    for (std::size_t i = 0; i < rows; ++i) {
        pot.time_s.push_back(interval_s * static_cast<double>(i));
    }
    const auto states = forecast::simulatePot(reference::truthPot(rate_g_per_min), pot.time_s).value();
    for (const forecast::PotState& state : states) {
        pot.temperature_c.push_back(state.temperature_c);
    }
    const auto top = static_cast<std::size_t>(
        std::max_element(pot.temperature_c.begin(), pot.temperature_c.end()) - pot.temperature_c.begin());
    pot.peak_c = pot.temperature_c[top];
    pot.peak_s = pot.time_s[top];
    double steepest = 0.0;
    for (std::size_t i = 1; i <= top; ++i) {
        const double rate = (pot.temperature_c[i + 1] - pot.temperature_c[i - 1]) / (2.0 * interval_s);
        if (rate > steepest) {
            steepest = rate;
            pot.onset_s = pot.time_s[i] - (pot.temperature_c[i] - pot.temperature_c.front()) / rate;
        }
    }
    pot.released_j = states.back().heat_j;
    pot.degree = states.back().degree;
    pot.evaporated_g = states.back().evaporated_g;
    return pot;
}

struct Wanted {
    const char* name;
    double truth;
    std::optional<Estimate> (*of)(const Findings&);
};

std::vector<Wanted> wantedOf(const Pot& pot) {
    return {{"peak, °C", pot.peak_c, [](const Findings& f) { return std::optional(f.landmarks.peak->temperature_c); }},
            {"peak, s", pot.peak_s, [](const Findings& f) { return std::optional(f.landmarks.peak->time_s); }},
            {"onset, s", pot.onset_s, [](const Findings& f) { return std::optional(f.landmarks.onset->time_s); }},
            {"heat, J", pot.released_j, [](const Findings& f) { return f.heat.released_j; }},
            {"UA, W/K", 0.8, [](const Findings& f) { return f.heat.loss_coefficient_w_per_k; }},
            {"final degree", pot.degree, [](const Findings& f) { return f.cure.final_degree; }}};
}

int repeatsWanted() {
    const char* text = std::getenv("POTWATCH_REPEATS"); // fewer while something is tried out
    return text != nullptr ? std::atoi(text) : repeats;
}

class Coverage : public testing::TestWithParam<double> {};
INSTANTIATE_TEST_SUITE_P(Analysis, Coverage, testing::Values(0.08, 0.12, 0.2, 0.35, 1.2));

TEST_P(Coverage, intervalsHoldTheTruthAndAreNoWiderThanTheyMustBe) {
    const Pot pot = potDosedAt(GetParam());
    const std::vector<Wanted> wanted = wantedOf(pot);
    const int count = repeatsWanted();
    std::vector<std::vector<Estimate>> found(wanted.size(), std::vector<Estimate>(static_cast<std::size_t>(count)));
    std::atomic<int> next = 0;
    std::atomic<int> failed = 0;
    const auto work = [&] {
        for (int i = next++; i < count; i = next++) {
            std::mt19937_64 random(1000U + static_cast<unsigned>(i));
            const Off off{.specific_heat = 1.0 + drawn(random, 0.03),
                          .heat_of_reaction = 1.0 + drawn(random, 0.05),
                          .vessel_j_per_k = drawn(random, 2.0),
                          .surroundings_k = drawn(random, 0.5),
                          .lag_s = drawn(random, 0.7)};
            potwatch::Run run;
            run.name = "repeat";
            run.time_s = pot.time_s;
            run.batch = reference::batchOf(GetParam(), off);
            if (pot.evaporated_g > 0.0) {
                run.batch.weighed_loss_g = pot.evaporated_g + std::normal_distribution<double>(0.0, 0.05)(random);
            }
            run.channels = {{.name = "pot_c",
                             .unit = "degC",
                             .values = forecast::readings(pot.time_s, pot.temperature_c,
                                                          {.lag_s = 4.0, .noise_k = 0.12, .step_k = 0.25}, random)}};
            const auto results = analyse({&run, 1}, {.draws = 0});
            if (!results.front()) {
                ++failed;
                continue;
            }
            for (std::size_t k = 0; k < wanted.size(); ++k) {
                const std::optional<Estimate> one = wanted[k].of(results.front()->findings);
                if (one) {
                    found[k][static_cast<std::size_t>(i)] = *one;
                } else {
                    ++failed;
                }
            }
        }
    };
    {
        const std::jthread second(work);
        work();
    }
    ASSERT_EQ(failed, 0);
    for (std::size_t k = 0; k < wanted.size(); ++k) {
        const reference::Held held = reference::heldBy(found[k], wanted[k].truth);
        EXPECT_GE(held.share, 0.90) << wanted[k].name;
        EXPECT_LE(held.share, 0.99) << wanted[k].name;
        EXPECT_LE(held.half_width, 1.5 * held.spread) << wanted[k].name;
        fmt::print("{:<13} {:.4g} g/min: holds {:.3f}, half width {:.3g} = {:.2f} of the spread, mean off {:+.3g}, "
                   "furthest off {:.3g}\n",
                   wanted[k].name, GetParam(), held.share, held.half_width, held.half_width / held.spread,
                   held.mean - wanted[k].truth, held.furthest_off);
    }
}

} // namespace
} // namespace potwatch
