// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/at_limit.h"
#include "analysis/compare/trend.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <optional>
#include <random>
#include <vector>

// How often the stated intervals hold the truth, in simulated series of runs that boil at 100.5 °C. Source: the truth
// is that of the simulation, invented here; the model that is simulated is J. Tobin, Econometrica 26 (1958) 24 (a value
// known from one side only), here from below. The same fit against published estimates: trend_test.cpp.
namespace potwatch::compare {
namespace {

constexpr int repeats = 400;
constexpr double boiling_c = 100.5;
constexpr double limit_c = 95.0;

struct Held {
    int answered = 0;
    int interval = 0; // holds the rate at the limit
    int one_more = 0; // the prediction band holds one more run
    double log_width = 0.0;
};

// a + b g(rate), scatter between runs and own uncertainty; the rates span the limit.
template<class Peak>
Held simulate(const Peak& peak, double true_rate, const std::vector<double>& rates, double between_k, double own_k,
              std::optional<TrendForm> form) {
    std::mt19937_64 random(20260314);
    std::normal_distribution<double> normal;
    Held held;
    for (int repeat = 0; repeat < repeats; ++repeat) {
        std::vector<TrendPoint> points;
        for (const double rate : rates) {
            const double y = peak(rate) + between_k * normal(random) + own_k * normal(random);
            points.push_back({.x = rate, .y = std::min(y, boiling_c), .u = own_k, .at_least = y >= boiling_c});
        }
        const auto trend = fitTrend(points, form);
        if (!trend) {
            continue;
        }
        const auto at = atLimit(*trend, limit_c);
        if (!at) {
            continue;
        }
        ++held.answered;
        const double low = at->low.value_or(0.0);
        const double high = at->high.value_or(HUGE_VAL);
        held.interval += low <= true_rate && true_rate <= high ? 1 : 0;
        held.log_width += at->estimate ? std::log(high / low) / repeats : 0.0;
        const double next = peak(true_rate) + between_k * normal(random) + own_k * normal(random);
        const TrendBands bands = trendBands(*trend, true_rate, true_rate, 2);
        held.one_more += bands.run_low.front() <= next && next <= bands.run_high.front() ? 1 : 0;
    }
    return held;
}

void expectHonest(const Held& held, const char* what) {
    EXPECT_GE(held.answered, repeats * 98 / 100) << what;
    const double share = static_cast<double>(held.interval) / held.answered;
    const double next_share = static_cast<double>(held.one_more) / held.answered;
    EXPECT_GE(share, 0.90) << what;
    EXPECT_LE(share, 0.99) << what;
    EXPECT_GE(next_share, 0.90) << what;
    EXPECT_LE(next_share, 0.995) << what;
    fmt::print("{}: rate at the limit held in {:.1f} %, one more run in {:.1f} %, mean ratio of the ends {:.2f}\n",
               what, 100.0 * share, 100.0 * next_share, std::exp(held.log_width));
}

const std::vector<double> twelve{0.06, 0.08, 0.1, 0.12, 0.15, 0.18, 0.22, 0.27, 0.33, 0.4, 0.6, 1.2};
const std::vector<double> seven{0.08, 0.12, 0.2, 0.25, 0.35, 0.6, 1.2};

double logarithmic(double rate) {
    return 128.0 + 25.0 * std::log(rate);
}
double saturating(double rate) {
    return 20.0 + 95.0 * rate / (rate + 0.07);
}

TEST(TrendSlowly, holdsTheTruthOfALogarithmicTrendWithBoiledRuns) {
    const double truth = std::exp((limit_c - 128.0) / 25.0);
    expectHonest(simulate(logarithmic, truth, twelve, 2.0, 0.3, TrendForm::logarithmic), "logarithmic, 12 runs");
    expectHonest(simulate(logarithmic, truth, seven, 2.0, 0.3, TrendForm::logarithmic), "logarithmic, 7 runs");
}

TEST(TrendSlowly, holdsTheTruthOfASaturatingTrendWithBoiledRuns) {
    const double share = (limit_c - 20.0) / 95.0;
    const double truth = 0.07 * share / (1.0 - share);
    expectHonest(simulate(saturating, truth, twelve, 1.0, 0.3, TrendForm::saturating), "saturating, 12 runs");
}

// The form is found from the same runs as the interval: that costs a little.
TEST(TrendSlowly, holdsTheTruthWhereTheFormIsChosenByTheRuns) {
    const double truth = std::exp((limit_c - 128.0) / 25.0);
    const Held held = simulate(logarithmic, truth, twelve, 2.0, 0.3, std::nullopt);
    expectHonest(held, "form chosen, 12 runs");
}

} // namespace
} // namespace potwatch::compare
