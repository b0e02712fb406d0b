// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/biot.h"

#include "analysis/signal/smooth_curve.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace potwatch::findings {
namespace {

constexpr double biot_limit = 0.1;

} // namespace

std::optional<std::string> biotWarning(const RunStudy& study) {
    const Run& run = *study.run;
    const auto channelOf = [&](ProbeRole role) {
        const auto probe = std::find_if(run.batch.probes.begin(), run.batch.probes.end(),
                                        [&](const Probe& p) { return p.role == role; });
        return probe == run.batch.probes.end() ? run.channels.size() : channelIndex(run, probe->channel);
    };
    const std::size_t core = channelOf(ProbeRole::core);
    const std::size_t skin = channelOf(ProbeRole::skin);
    if (core >= run.channels.size() || skin >= run.channels.size() || !study.surroundings_known || run.batch.blank ||
        study.rises.empty()) {
        return std::nullopt;
    }
    std::vector<double> ratios;
    const double from_s = study.rises[study.main_rise].peak_s;
    for (std::size_t i = 0; i < run.time_s.size(); ++i) {
        const double surroundings_c =
            signal::linear(study.problem.surroundings_c.time_s, study.problem.surroundings_c.value, run.time_s[i]);
        const double over_k = run.channels[skin].values[i] - surroundings_c;
        const double within_k = run.channels[core].values[i] - run.channels[skin].values[i];
        if (run.time_s[i] > from_s && over_k > 5.0 && std::isfinite(within_k)) {
            ratios.push_back(2.0 * within_k / over_k);
        }
    }
    if (ratios.size() < fewest_samples) {
        return std::nullopt;
    }
    const auto middle = ratios.begin() + static_cast<std::ptrdiff_t>(ratios.size() / 2);
    std::nth_element(ratios.begin(), middle, ratios.end());
    if (*middle <= biot_limit) {
        return std::nullopt;
    }
    return fmt::format(
        "core and skin differ (Biot number about {:.2f}): a balance for one temperature does not hold for "
        "this piece, heat and cure are rough",
        *middle);
}

} // namespace potwatch::findings
