// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/adiabatic.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace potwatch::forecast {
namespace {

// Acetic anhydride fed into acid water with a jacket.
// Source: C. R. F. Lund, Reaction Engineering Basics, example 10.5.3 (2025), after R. Haldar and D. P. Rao (1992): its
// figures. The results were integrated independently of this project; the example prints none but that the best feed
// lies between 37 and 41 cm3/min with a limit of 95 °C.
struct Semibatch {
    double feed_cm3_per_min = 37.0;
    bool cooled = true;

    static constexpr double gas_j_per_mol_k = 1.987 * 4.184;
    static constexpr double heat_j_per_mol = 58615.0;
    static constexpr double fed_mol = 350.0 * 1.082 / 102.0;
    using State = std::array<double, 3>; // mol unreacted, °C, °C of the jacket

    [[nodiscard]] double feedEndMin() const { return 350.0 / feed_cm3_per_min; }
    [[nodiscard]] double capacityJPerK(double fed_share) const { return (350.3 + 350.0 * fed_share) * 2.68; }

    [[nodiscard]] State rates(const State& now, double fed_share, bool feeding) const {
        const double fed_mol_per_min = feeding ? feed_cm3_per_min * 1.082 / 102.0 : 0.0;
        const double reacting = 1.192e15 * std::exp(-97600.0 / (gas_j_per_mol_k * (now[1] + 273.15))) * now[0];
        const double to_jacket = cooled ? 260.0 * 4.184 * (now[1] - now[2]) : 0.0;
        const double warm = heat_j_per_mol * reacting - to_jacket + fed_mol_per_min * 168.2 * (21.0 - now[1]);
        const double jacket = 250.0 * 4.184 * (60.0 - now[2]) + to_jacket;
        return {fed_mol_per_min - reacting, warm / capacityJPerK(fed_share), jacket / (300.0 * 4.184)};
    }
    // Runge and Kutta's fourth order, in a step over which the feed goes on or is off.
    [[nodiscard]] State step(const State& now, double step_min, double fed_share, bool feeding) const {
        const double more = feeding ? step_min / feedEndMin() : 0.0;
        const auto along = [&](const State& slope, double part) {
            State there = now;
            for (std::size_t i = 0; i < there.size(); ++i) {
                there[i] += part * step_min * slope[i];
            }
            return there;
        };
        const State a = rates(now, fed_share, feeding);
        const State b = rates(along(a, 0.5), fed_share + 0.5 * more, feeding);
        const State c = rates(along(b, 0.5), fed_share + 0.5 * more, feeding);
        const State d = rates(along(c, 1.0), fed_share + more, feeding);
        State next = now;
        for (std::size_t i = 0; i < next.size(); ++i) {
            next[i] += step_min / 6.0 * (a[i] + 2.0 * b[i] + 2.0 * c[i] + d[i]);
        }
        return next;
    }
};

constexpr int steps = 8000;

struct Worst {
    double accumulation = 0.0; // of all that is fed
    double mtsr_c = 0.0;
    double fed_share = 0.0; // at the highest MTSR
    Semibatch::State state{};
    double end_c = 0.0;
};

Worst fedThrough(const Semibatch& reactor) {
    Worst worst;
    Semibatch::State now{0.0, 60.0, 60.0};
    for (int i = 0; i < steps; ++i) {
        now = reactor.step(now, reactor.feedEndMin() / steps, static_cast<double>(i) / steps, true);
        const double share = static_cast<double>(i + 1) / steps;
        const double unreacted = now[0] / Semibatch::fed_mol;
        const double mtsr_c = mtsrC(
            {.resin_g = 1.0,
             .heat_of_reaction_j_per_g = Semibatch::fed_mol * Semibatch::heat_j_per_mol,
             .heat_capacity_j_per_k = reactor.capacityJPerK(share)},
            {.role = DoseRole::reactant, .temperature_c = now[1], .degree = share - unreacted, .dosed_share = share});
        worst.accumulation = std::max(worst.accumulation, unreacted);
        if (mtsr_c > worst.mtsr_c) {
            worst.mtsr_c = mtsr_c;
            worst.fed_share = share;
            worst.state = now;
        }
    }
    worst.end_c = now[1];
    return worst;
}

TEST(Semibatch, accumulatesAsTheWorkedExample) {
    const Worst slow = fedThrough({.feed_cm3_per_min = 37.0});
    EXPECT_NEAR(slow.end_c, 93.252, 0.02);
    EXPECT_NEAR(100.0 * slow.accumulation, 8.614, 0.01);
    const Worst fast = fedThrough({.feed_cm3_per_min = 40.0});
    EXPECT_NEAR(fast.end_c, 95.357, 0.02);
    EXPECT_NEAR(100.0 * fast.accumulation, 9.135, 0.01);
}

TEST(Semibatch, mtsrIsWhereItGoesWhenFeedAndCoolingFailThen) {
    const Worst worst = fedThrough({.feed_cm3_per_min = 37.0});
    const Semibatch failed{.feed_cm3_per_min = 37.0, .cooled = false};
    Semibatch::State now = worst.state;
    for (int i = 0; i < 60000; ++i) {
        now = failed.step(now, 0.001, worst.fed_share, false);
    }
    EXPECT_LT(now[0], 1e-6);
    EXPECT_NEAR(worst.mtsr_c, now[1], 0.01);
    EXPECT_GT(worst.mtsr_c, worst.state[1] + 0.5);
}

} // namespace
} // namespace potwatch::forecast
