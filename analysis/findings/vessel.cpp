// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/vessel.h"

#include <algorithm>
#include <cmath>

namespace potwatch::findings {

std::optional<CommonLoss> commonLoss(std::span<const VesselEvidence> evidence) {
    if (evidence.empty()) {
        return std::nullopt;
    }
    CommonLoss common;
    double weights = 0.0;
    double sum_log = 0.0;
    double exponent_weights = 0.0;
    double sum_exponent = 0.0;
    const auto logU = [](const VesselEvidence& one) {
        return one.blank ? std::hypot(one.log_u, one.heat_capacity_log_u) : one.log_u;
    };
    for (const VesselEvidence& one : evidence) {
        const double weight = 1.0 / std::max(1e-12, logU(one) * logU(one));
        weights += weight;
        sum_log += weight * std::log(one.loss.coefficient_w_per_k);
        const double exponent_weight = 1.0 / std::max(1e-12, one.exponent_u * one.exponent_u);
        exponent_weights += exponent_weight;
        sum_exponent += exponent_weight * one.loss.exponent;
        common.from.push_back(one.run);
    }
    const double mean_log = sum_log / weights;
    double scatter = 0.0;
    for (const VesselEvidence& one : evidence) {
        const double away = (std::log(one.loss.coefficient_w_per_k) - mean_log) / logU(one);
        scatter += away * away;
    }
    if (evidence.size() > 1) {
        common.birge_ratio = std::sqrt(scatter / static_cast<double>(evidence.size() - 1));
    }
    const double inflation = std::max(1.0, common.birge_ratio);
    common.known = {.loss = {.coefficient_w_per_k = std::exp(mean_log), .exponent = sum_exponent / exponent_weights},
                    .log_u = inflation / std::sqrt(weights),
                    .exponent_u = inflation / std::sqrt(exponent_weights)};
    return common;
}

} // namespace potwatch::findings
