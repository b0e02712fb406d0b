// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/equivalent_time.h"

#include "analysis/forecast/cure_law.h"

#include <cmath>
#include <cstddef>

namespace potwatch::cure {

namespace {

constexpr double zero_celsius_k = 273.15;
constexpr double joules_per_kilojoule = 1000.0;

// Of one row: the exponent, and what E and the temperature move it by.
struct Row {
    double exponent = 0.0;
    double by_energy = 0.0; // per kJ/mol
    double by_common = 0.0; // one standard uncertainty
    double by_lag = 0.0;
};

} // namespace

Estimate equivalentTime(const ThermalHistory& history, double reference_c, const Estimate& e_kj_per_mol) {
    const double per_kilojoule = joules_per_kilojoule / forecast::gas_constant_j_per_mol_k;
    const auto rowAt = [&](std::size_t i) {
        const double temperature_k = history.temperature_c[i] + zero_celsius_k;
        const double colder = 1.0 / temperature_k - 1.0 / (reference_c + zero_celsius_k);
        const double per_kelvin = e_kj_per_mol.value * per_kilojoule / (temperature_k * temperature_k);
        return Row{.exponent = -e_kj_per_mol.value * per_kilojoule * colder,
                   .by_energy = -per_kilojoule * colder,
                   .by_common = history.common_u_k.empty() ? 0.0 : per_kelvin * history.common_u_k[i],
                   .by_lag = history.lag_u_k.empty() ? 0.0 : per_kelvin * history.lag_u_k[i]};
    };
    double time_s = 0.0;
    double by_energy = 0.0;
    double by_common = 0.0;
    double by_lag = 0.0;
    Row before = rowAt(0);
    for (std::size_t i = 1; i < history.time_s.size(); ++i) {
        const Row here = rowAt(i);
        const double change = here.exponent - before.exponent;
        // Mean of the exponential of something straight.
        const double mean = std::abs(change) < 1e-6 ? std::exp(0.5 * (here.exponent + before.exponent))
                                                    : (std::exp(here.exponent) - std::exp(before.exponent)) / change;
        const double step_s = (history.time_s[i] - history.time_s[i - 1]) * mean;
        time_s += step_s;
        by_energy += step_s * 0.5 * (here.by_energy + before.by_energy);
        by_common += step_s * 0.5 * (here.by_common + before.by_common);
        by_lag += step_s * 0.5 * (here.by_lag + before.by_lag);
        before = here;
    }
    const double u_s = std::hypot(by_energy * e_kj_per_mol.u, by_common, by_lag);
    const double factor = time_s > 0.0 ? std::exp(coverage_factor_95 * u_s / time_s) : 1.0;
    return {.value = time_s, .u = u_s, .low = time_s / factor, .high = time_s * factor};
}

} // namespace potwatch::cure
