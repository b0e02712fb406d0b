// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/pot.h"

#include <cmath>
#include <cstddef>

namespace potwatch::heat {

namespace {

double dosedAt(const Pot& pot, double at_s) {
    return pot.dose ? pot.dose->dosedAt(at_s) : 0.0;
}

// (|d| / 20 K)^x, 1 for x = 0 whatever d.
double convection(double difference_k, double exponent) {
    return exponent == 0.0 ? 1.0 : std::pow(std::abs(difference_k) / reference_difference_k, exponent);
}

} // namespace

double heatCapacityAt(const Pot& pot, const PotCourse& course, std::size_t i) {
    const bool poured = pot.pour && course.time_s[i] > pot.pour->at_s;
    return pot.heat_capacity_j_per_k + (poured ? pot.pour->mould_j_per_k - pot.pour->vessel_j_per_k : 0.0) +
           pot.dose_specific_heat_j_per_g_k * dosedAt(pot, course.time_s[i]) -
           pot.water_specific_heat_j_per_g_k * pot.evaporated_g * course.evaporated_share[i];
}

double wholeHeatCapacity(const Pot& pot, const PotCourse& course) {
    const std::size_t last = course.size() - 1;
    return heatCapacityAt(pot, course, last) +
           pot.water_specific_heat_j_per_g_k * pot.evaporated_g * course.evaporated_share[last];
}

std::vector<double> storedHeat(const Pot& pot, const PotCourse& course) {
    std::vector<double> stored(course.size());
    if (stored.empty()) {
        return stored;
    }
    // Temperatures from the first node's, so that no large numbers cancel.
    const double zero_c = course.temperature_c[0];
    const double dosed_before_g = dosedAt(pot, course.time_s[0]);
    double steam_j = 0.0;  // sensible heat that left with the steam
    double poured_j = 0.0; // heat in the vessel that was left, less what a mould held that did not come from zero_c
    for (std::size_t i = 0; i < stored.size(); ++i) {
        if (i > 0) {
            const double share = course.evaporated_share[i] - course.evaporated_share[i - 1];
            const double mean_c = 0.5 * (course.temperature_c[i] + course.temperature_c[i - 1]) - zero_c;
            steam_j +=
                pot.evaporated_g * share * (pot.latent_heat_j_per_g + pot.water_specific_heat_j_per_g_k * mean_c);
        }
        if (pot.pour && course.time_s[i] <= pot.pour->at_s) {
            poured_j = pot.pour->vessel_j_per_k * (course.temperature_c[i] - zero_c) -
                       pot.pour->mould_j_per_k * (pot.pour->mould_c - zero_c);
        }
        const bool poured = pot.pour && course.time_s[i] > pot.pour->at_s;
        const double dosed_g = dosedAt(pot, course.time_s[i]) - dosed_before_g;
        stored[i] = heatCapacityAt(pot, course, i) * (course.temperature_c[i] - zero_c) -
                    pot.dose_specific_heat_j_per_g_k * dosed_g * (pot.dose_temperature_c - zero_c) + steam_j +
                    (poured ? poured_j : 0.0);
    }
    return stored;
}

std::vector<double> lossIntegral(const PotCourse& course, double exponent, double shift_k) {
    std::vector<double> integral(course.size(), 0.0);
    double last_value = 0.0;
    double last_slope = 0.0;
    for (std::size_t i = 0; i < integral.size(); ++i) {
        const double difference = course.temperature_c[i] - course.surroundings_c[i] - shift_k;
        const double factor = convection(difference, exponent);
        const double value = difference * factor;
        // The slope of d |d|^x is (1 + x) |d|^x d'; bounded so that a node at d = 0 does no harm.
        const double slope =
            (1.0 + exponent) * factor * (course.slope_k_per_s[i] - course.surroundings_slope_k_per_s[i]);
        if (i > 0) {
            const double step = course.time_s[i] - course.time_s[i - 1];
            const double part = 0.5 * step * (last_value + value) + step * step / 12.0 * (last_slope - slope);
            integral[i] = integral[i - 1] + (course.loss_factor.empty() ? 1.0 : course.loss_factor[i]) * part;
        }
        last_value = value;
        last_slope = slope;
    }
    return integral;
}

std::vector<double> releasedHeat(const Pot& pot, const PotCourse& course, const Loss& loss) {
    std::vector<double> released = storedHeat(pot, course);
    const std::vector<double> lost = lossIntegral(course, loss.exponent, loss.shift_k);
    for (std::size_t i = 0; i < released.size(); ++i) {
        released[i] += loss.coefficient_w_per_k * lost[i] - (course.heater_j[i] - course.heater_j[0]);
    }
    return released;
}

double curePower(const Pot& pot, const Loss& loss, const Instant& instant) {
    const double difference = instant.temperature_c - instant.surroundings_c - loss.shift_k;
    const double dosing_g_per_s = pot.dose ? pot.dose->rateAt(instant.time_s) : 0.0;
    return instant.heat_capacity_j_per_k * instant.rate_k_per_s - instant.heater_w +
           loss.coefficient_w_per_k * difference * convection(difference, loss.exponent) -
           dosing_g_per_s * pot.dose_specific_heat_j_per_g_k * (pot.dose_temperature_c - instant.temperature_c) +
           instant.evaporation_g_per_s * pot.latent_heat_j_per_g;
}

} // namespace potwatch::heat
