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
#include <ostream>
#include <random>
#include <thread>
#include <vector>

// Do the intervals of `analyse` hold the truth, and are they no wider than they must be? Each repeat reads one pot anew
// with a thermocouple, and its batch file is off as its [uncertainty] says. The constants of analysis/signal and
// analysis/landmarks were chosen on repeats with other seeds, and none of them on the pot "other".
// Source: parameters of tests/reference/truth (invented); the repeats are simulated here.
namespace potwatch {
namespace {

using forecast::PotModel;
using forecast::SensorModel;
using reference::drawn;
using reference::Off;

constexpr int repeats = 400;
constexpr unsigned first_seed = 2700000;

// What is simulated.
struct Bench {
    const char* name;
    PotModel pot;
    SensorModel probe{.lag_s = 4.0, .noise_k = 0.12, .step_k = 0.25};
    double interval_s = 0.5;
    bool resin_varies = false; // each repeat is of another resin
};

std::ostream& operator<<(std::ostream& out, const Bench& bench) {
    return out << bench.name;
}

// Another mass, vessel, room, probe and resin than those that the analysis' constants were chosen on.
PotModel otherPot() {
    PotModel pot = reference::truthPot(0.3);
    pot.resin_g = 150.0;
    pot.specific_heat_j_per_g_k = 1.8;
    pot.vessel_j_per_k = 60.0;
    pot.loss_coefficient_w_per_k = 1.3;
    pot.surroundings_c = 18.0;
    pot.start_c = 18.0;
    pot.law.e2_j_per_mol = 52000.0;
    pot.law.a2_per_s = 4.0e6;
    pot.law.n = 1.6;
    pot.heat_of_reaction_j_per_g = 230.0;
    pot.doses = {{.start_s = 200.0, .over_s = 1200.0, .amount_g = 6.0}};
    return pot;
}

// The law with another activation energy and order, as far as analysis/heat/loss_fit.h takes them as known, and the
// same rate at 320 K.
void varyResin(forecast::CureLaw& law, std::mt19937_64& random) {
    constexpr double middle_k = 320.0;
    const double away_j_per_mol = 55000.0 + drawn(random, 12000.0) - law.e2_j_per_mol;
    const double factor = std::exp(away_j_per_mol / (forecast::gas_constant_j_per_mol_k * middle_k));
    law.e1_j_per_mol += away_j_per_mol;
    law.e2_j_per_mol += away_j_per_mol;
    law.a1_per_s *= factor;
    law.a2_per_s *= factor;
    law.n = 1.0 + 0.6 * std::exp(drawn(random, std::log(1.8)));
}

// What is true of a pot.
struct Truth {
    std::vector<double> temperature_c;
    double peak_c = 0.0;
    double peak_s = 0.0;
    double onset_s = 0.0;
    double released_j = 0.0;
    double loss_w_per_k = 0.0;
    double degree = 0.0;
    double evaporated_g = 0.0;
};

Truth truthOf(const PotModel& pot, const std::vector<double>& time_s) {
    Truth truth{.loss_w_per_k = pot.loss_coefficient_w_per_k};
    const auto states = forecast::simulatePot(pot, time_s).value();
    for (const forecast::PotState& state : states) {
        truth.temperature_c.push_back(state.temperature_c);
    }
    const std::vector<double>& t = truth.temperature_c;
    const auto top = static_cast<std::size_t>(std::max_element(t.begin(), t.end()) - t.begin());
    truth.peak_c = t[top];
    truth.peak_s = time_s[top];
    double steepest = 0.0;
    for (std::size_t i = 1; i <= top; ++i) {
        const double rate = (t[i + 1] - t[i - 1]) / (time_s[i + 1] - time_s[i - 1]);
        if (rate > steepest) {
            steepest = rate;
            truth.onset_s = time_s[i] - (t[i] - t.front()) / rate;
        }
    }
    truth.released_j = states.back().heat_j;
    truth.degree = states.back().degree;
    truth.evaporated_g = states.back().evaporated_g;
    return truth;
}

struct Figure {
    const char* name;
    double Truth::*truth;
    std::optional<Estimate> (*of)(const Findings&);
};
const std::array<Figure, 6> figures{
    {{"peak, °C", &Truth::peak_c, [](const Findings& f) { return std::optional(f.landmarks.peak->temperature_c); }},
     {"peak, s", &Truth::peak_s, [](const Findings& f) { return std::optional(f.landmarks.peak->time_s); }},
     {"onset, s", &Truth::onset_s, [](const Findings& f) { return std::optional(f.landmarks.onset->time_s); }},
     {"heat, J", &Truth::released_j, [](const Findings& f) { return f.heat.released_j; }},
     {"UA, W/K", &Truth::loss_w_per_k, [](const Findings& f) { return f.heat.loss_coefficient_w_per_k; }},
     {"final degree", &Truth::degree, [](const Findings& f) { return f.cure.final_degree; }}}};

int repeatsWanted() {
    const char* text = std::getenv("POTWATCH_REPEATS"); // fewer while something is tried out
    return text != nullptr ? std::atoi(text) : repeats;
}

unsigned firstSeedWanted() {
    const char* text = std::getenv("POTWATCH_FIRST_SEED"); // others, to choose a constant on
    return text != nullptr ? static_cast<unsigned>(std::atoi(text)) : first_seed;
}

// All figures of one repeat, each less its truth; those that were not found are missing.
std::array<std::optional<Estimate>, figures.size()> repeatOf(const Bench& bench, const std::vector<double>& time_s,
                                                             const Truth& usual, unsigned seed) {
    std::mt19937_64 random(seed);
    const Off off{.specific_heat = 1.0 + drawn(random, 0.03),
                  .heat_of_reaction = 1.0 + drawn(random, 0.05),
                  .vessel_j_per_k = drawn(random, 2.0),
                  .surroundings_k = drawn(random, 0.5),
                  .lag_s = drawn(random, 0.7)};
    Truth other;
    if (bench.resin_varies) {
        PotModel pot = bench.pot;
        varyResin(pot.law, random);
        other = truthOf(pot, time_s);
    }
    const Truth& truth = bench.resin_varies ? other : usual;
    potwatch::Run run;
    run.name = "repeat";
    run.time_s = time_s;
    run.batch = reference::batchOf(bench.pot, bench.probe.lag_s, off);
    if (truth.evaporated_g > 0.0) {
        run.batch.weighed_loss_g = truth.evaporated_g + std::normal_distribution<double>(0.0, 0.05)(random);
    }
    run.channels = {{.name = "pot_c",
                     .unit = "degC",
                     .values = forecast::readings(time_s, truth.temperature_c, bench.probe, random)}};
    std::array<std::optional<Estimate>, figures.size()> found;
    const auto results = analyse({&run, 1}, {.draws = 0});
    for (std::size_t k = 0; results.front() && k < figures.size(); ++k) {
        if (const auto one = figures[k].of(results.front()->findings)) {
            found[k] = reference::less(*one, truth.*figures[k].truth);
        }
    }
    return found;
}

class Coverage : public testing::TestWithParam<Bench> {};
INSTANTIATE_TEST_SUITE_P(Analysis, Coverage,
                         testing::Values(Bench{.name = "at_0_08", .pot = reference::truthPot(0.08)},
                                         Bench{
                                             .name = "resins", .pot = reference::truthPot(0.08), .resin_varies = true},
                                         Bench{.name = "at_0_12", .pot = reference::truthPot(0.12)},
                                         Bench{.name = "at_0_2", .pot = reference::truthPot(0.2)},
                                         Bench{.name = "at_0_35", .pot = reference::truthPot(0.35)},
                                         Bench{.name = "at_1_2", .pot = reference::truthPot(1.2)},
                                         Bench{.name = "other",
                                               .pot = otherPot(),
                                               .probe = {.lag_s = 7.0, .noise_k = 0.2, .step_k = 0.1},
                                               .interval_s = 1.0}),
                         [](const auto& bench) { return bench.param.name; });

TEST_P(Coverage, intervalsHoldTheTruthAndAreNoWiderThanTheyMustBe) {
    const Bench& bench = GetParam();
    std::vector<double> time_s;
    for (int i = 0; bench.interval_s * i <= 7200.0; ++i) {
        time_s.push_back(bench.interval_s * i);
    }
    const Truth usual = truthOf(bench.pot, time_s);
    const int count = repeatsWanted();
    std::array<std::vector<Estimate>, figures.size()> found;
    found.fill(std::vector<Estimate>(static_cast<std::size_t>(count)));
    std::atomic<int> next = 0;
    std::atomic<int> missing = 0;
    const auto work = [&] {
        for (int i = next++; i < count; i = next++) {
            const auto one = repeatOf(bench, time_s, usual, firstSeedWanted() + static_cast<unsigned>(i));
            for (std::size_t k = 0; k < figures.size(); ++k) {
                missing += one[k] ? 0 : 1;
                found[k][static_cast<std::size_t>(i)] = one[k].value_or(Estimate{});
            }
        }
    };
    {
        const std::jthread second(work);
        work();
    }
    ASSERT_EQ(missing, 0);
    for (std::size_t k = 0; k < figures.size(); ++k) {
        const reference::Held held = reference::heldBy(found[k]);
        EXPECT_GE(held.share, 0.90) << figures[k].name;
        // Among resins from one end to the other of what there is, degrees that end far below 1 widen the intervals of
        // all: the final degree was held 995 times of 1000.
        if (!bench.resin_varies) {
            EXPECT_LE(held.share, 0.99) << figures[k].name;
        }
        EXPECT_LE(held.half_width, 1.5 * held.spread) << figures[k].name;
        fmt::print("{:<8} {:<13} holds {:.3f}, half width {:.3g} = {:.2f} of the spread, mean off {:+.3g}, "
                   "furthest off {:.3g}\n",
                   bench.name, figures[k].name, held.share, held.half_width, held.half_width / held.spread,
                   held.mean_off, held.furthest_off);
    }
}

} // namespace
} // namespace potwatch
