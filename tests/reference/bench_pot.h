// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace potwatch::reference {

// A dosed pot with an integrator of its own, which shares no line with the product's, for the tests of comparison and
// watch. Balance and law are those of design.md 7.4 and 7.7, written anew; the resins and pots are invented.
struct BenchPot {
    double resin_g = 80.0;
    double specific_heat_j_per_g_k = 2.0;
    double vessel_j_per_k = 25.0;
    double loss_w_per_k = 0.8; // loss = this (T - Te) (|T - Te| / 20 K)^exponent
    double loss_exponent = 0.0;
    double surroundings_c = 22.0;
    double start_c = 22.0;
    double heat_j_per_g = 270.0;
    double k1_per_s = 0.0023; // at 320 K, with 0.05 g of catalyst a gram of resin
    double e1_j_per_mol = 60000.0;
    double k2_per_s = 0.0135;
    double e2_j_per_mol = 48000.0;
    double m = 0.55;
    double n = 1.4;
    double catalyst_order = 1.0;
    double dose_g = 4.0;
    double dose_rate_g_per_min = 0.2;
    double dose_start_s = 120.0;
    double dose_j_per_g_k = 3.0;
    double boiling_c = HUGE_VAL; // where it stands while there is heat; evaporation takes the rest
};

struct BenchMoment {
    double time_s = 0.0;
    double temperature_c = 0.0;
    double degree = 0.0;
};

namespace bench {

struct Slope {
    double temperature = 0.0;
    double degree = 0.0;
};

inline Slope slopeAt(const BenchPot& pot, double time_s, double temperature_c, double degree) {
    constexpr double middle_k = 320.0;
    constexpr double gas = 8.314462618;
    const double rate_g_per_s = pot.dose_rate_g_per_min / 60.0;
    const double over_s = pot.dose_g / rate_g_per_s;
    const double since_s = time_s - pot.dose_start_s;
    const double dosed_g = std::clamp(since_s * rate_g_per_s, 0.0, pot.dose_g);
    const bool dosing = since_s > 0.0 && since_s < over_s;
    const double inverse = 1.0 / (temperature_c + 273.15) - 1.0 / middle_k;
    const double x = std::clamp(degree, 0.0, 1.0);
    const double k = pot.k1_per_s * std::exp(-pot.e1_j_per_mol / gas * inverse) +
                     pot.k2_per_s * std::exp(-pot.e2_j_per_mol / gas * inverse) * std::pow(x, pot.m);
    const double catalyst = dosed_g / pot.resin_g / 0.05;
    const double cure_per_s =
        dosed_g > 0.0 ? std::pow(catalyst, pot.catalyst_order) * k * std::pow(1.0 - x, pot.n) : 0.0;
    const double apart_k = temperature_c - pot.surroundings_c;
    const double loss_w = pot.loss_w_per_k * apart_k * std::pow(std::abs(apart_k) / 20.0, pot.loss_exponent);
    const double dose_w = dosing ? rate_g_per_s * pot.dose_j_per_g_k * (pot.surroundings_c - temperature_c) : 0.0;
    const double heat_j_per_k =
        pot.resin_g * pot.specific_heat_j_per_g_k + pot.vessel_j_per_k + dosed_g * pot.dose_j_per_g_k;
    return {.temperature = (pot.resin_g * pot.heat_j_per_g * cure_per_s - loss_w + dose_w) / heat_j_per_k,
            .degree = cure_per_s};
}

} // namespace bench

// The classical Runge-Kutta method of fourth order, in even steps.
inline std::vector<BenchMoment> simulateBench(const BenchPot& pot, double end_s, double step_s) {
    std::vector<BenchMoment> history;
    BenchMoment now{.time_s = 0.0, .temperature_c = pot.start_c, .degree = 0.0};
    history.push_back(now);
    while (now.time_s < end_s) {
        const double t = now.time_s;
        const double h = step_s;
        const auto at = [&](double share, const bench::Slope& k) {
            return bench::slopeAt(pot, t + share * h, now.temperature_c + share * h * k.temperature,
                                  now.degree + share * h * k.degree);
        };
        const bench::Slope k1 = bench::slopeAt(pot, t, now.temperature_c, now.degree);
        const bench::Slope k2 = at(0.5, k1);
        const bench::Slope k3 = at(0.5, k2);
        const bench::Slope k4 = at(1.0, k3);
        now.temperature_c += h / 6.0 * (k1.temperature + 2.0 * k2.temperature + 2.0 * k3.temperature + k4.temperature);
        now.temperature_c = std::min(now.temperature_c, pot.boiling_c);
        now.degree = std::min(1.0, now.degree + h / 6.0 * (k1.degree + 2.0 * k2.degree + 2.0 * k3.degree + k4.degree));
        now.time_s = t + h;
        history.push_back(now);
    }
    return history;
}

inline double peakOf(const std::vector<BenchMoment>& history) {
    double peak_c = history.front().temperature_c;
    for (const BenchMoment& moment : history) {
        peak_c = std::max(peak_c, moment.temperature_c);
    }
    return peak_c;
}

// A resin, a vessel and a room at random.
inline BenchPot drawBench(std::mt19937_64& random) {
    const auto between = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    BenchPot pot;
    pot.resin_g = between(50.0, 150.0);
    pot.specific_heat_j_per_g_k = between(1.7, 2.4);
    pot.vessel_j_per_k = between(10.0, 60.0);
    pot.loss_w_per_k = 0.8 * std::pow(pot.resin_g / 80.0, 0.67) * between(0.6, 1.6);
    pot.loss_exponent = between(0.0, 0.33);
    pot.surroundings_c = between(18.0, 26.0);
    pot.start_c = pot.surroundings_c + between(-1.0, 1.0);
    pot.heat_j_per_g = between(220.0, 330.0);
    const double brisk = std::exp(between(std::log(0.5), std::log(2.0)));
    pot.k1_per_s *= brisk * between(0.5, 1.5);
    pot.k2_per_s *= brisk;
    pot.e1_j_per_mol = between(52000.0, 75000.0);
    pot.e2_j_per_mol = between(42000.0, 58000.0);
    pot.m = between(0.4, 0.8);
    pot.n = between(1.1, 1.7);
    pot.catalyst_order = between(0.8, 1.2);
    pot.dose_g = 0.05 * pot.resin_g * between(0.8, 1.2);
    pot.dose_start_s = between(60.0, 180.0);
    return pot;
}

} // namespace potwatch::reference
