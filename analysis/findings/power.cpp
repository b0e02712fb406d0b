// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/power.h"

#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace potwatch::findings {
namespace {

// The exotherm ends where the heat flow has fallen to this share of its highest for good.
constexpr double end_share = 0.01;

} // namespace

Power powerOf(const RunStudy& study, const landmarks::Course& course) {
    Power power;
    const heat::Balance& balance = *study.balance;
    power.time_s = course.rate_time_s;
    const std::vector<double> rate_u =
        signal::uncertaintyAtKnots(study.curves.rate, course.lag_s, study.curves.noise_k);
    std::vector<double> capacity(balance.course.size());
    for (std::size_t i = 0; i < capacity.size(); ++i) {
        capacity[i] = heat::heatCapacityAt(balance.pot, balance.course, i);
    }
    const double half_s = 0.5;
    for (std::size_t i = 0; i < power.time_s.size(); ++i) {
        const double at_s = power.time_s[i];
        if (at_s < balance.course.time_s.front() || at_s > balance.course.time_s.back()) {
            power.value.push_back(std::numeric_limits<double>::quiet_NaN()); // nothing is known there
            power.u.push_back(std::numeric_limits<double>::quiet_NaN());
            continue;
        }
        const auto slope = [&](const std::vector<double>& values) {
            return signal::linear(balance.course.time_s, values, at_s + half_s) -
                   signal::linear(balance.course.time_s, values, at_s - half_s);
        };
        const double capacity_j_per_k = signal::linear(balance.course.time_s, capacity, at_s);
        heat::Loss loss = *balance.loss;
        loss.coefficient_w_per_k *= heat::lossFactorAt(study.problem.stretches, at_s);
        power.value.push_back(heat::curePower(
            balance.pot, loss,
            {.time_s = at_s,
             .temperature_c = course.temperatureAt(at_s),
             .rate_k_per_s = course.rate_k_per_s[i],
             .surroundings_c = signal::linear(balance.course.time_s, balance.course.surroundings_c, at_s),
             .heater_w = signal::linear(study.problem.heater_w.time_s, study.problem.heater_w.value, at_s),
             .heat_capacity_j_per_k = capacity_j_per_k,
             .evaporation_g_per_s = balance.pot.evaporated_g * slope(balance.course.evaporated_share)}));
        power.u.push_back(capacity_j_per_k * rate_u[i]);
    }
    return power;
}

std::optional<Estimate> endTime(const Power& power, const landmarks::Rise& rise) {
    double highest = 0.0;
    for (std::size_t i = 0; i < power.time_s.size(); ++i) {
        if (power.time_s[i] >= rise.from_s && power.time_s[i] <= rise.to_s) {
            highest = std::max(highest, power.value[i]);
        }
    }
    const double threshold = end_share * highest;
    std::optional<std::size_t> last_above;
    for (std::size_t i = 0; i < power.time_s.size(); ++i) {
        if (power.time_s[i] < rise.peak_s || power.time_s[i] > rise.to_s) {
            continue;
        }
        if (power.value[i] > std::max(threshold, 2.0 * power.u[i])) {
            last_above = i;
        } else if (last_above && i > *last_above + 1) {
            break; // two knots below: for good
        }
    }
    if (!last_above || *last_above + 2 >= power.time_s.size() || !std::isfinite(power.value[*last_above + 1]) ||
        power.time_s[*last_above + 1] >= rise.to_s) {
        return std::nullopt;
    }
    const std::size_t k = *last_above;
    const double fall = power.value[k] - power.value[k + 1];
    const double step_s = power.time_s[k + 1] - power.time_s[k];
    const double u = fall > 0.0 ? std::clamp((power.value[k] - threshold) / fall, 0.0, 1.0) : 0.5;
    const double slope = std::max(fall / step_s, 1e-300);
    return normalEstimate(power.time_s[k] + u * step_s,
                          std::min(0.5 * (rise.to_s - rise.peak_s), std::hypot(power.u[k] / slope, 0.5 * step_s)));
}

} // namespace potwatch::findings
