// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/celsius.h"

#include <algorithm>

namespace potwatch::session {
namespace {

constexpr double zero_c_k = 273.15;
constexpr double zero_c_f = 32.0;
constexpr double f_per_k = 1.8;

bool isTemperature(const Channel& channel) {
    return channel.unit == "degC" || channel.unit == "degF" || channel.unit == "K";
}

void convertByDefinition(Channel& channel) {
    if (channel.unit == "degF") {
        std::transform(channel.values.begin(), channel.values.end(), channel.values.begin(),
                       [](double f) { return (f - zero_c_f) / f_per_k; });
    } else if (channel.unit == "K") {
        std::transform(channel.values.begin(), channel.values.end(), channel.values.begin(),
                       [](double k) { return k - zero_c_k; });
    } else {
        return;
    }
    channel.unit = "degC";
}

} // namespace

Result<std::vector<std::string>> convertToCelsius(Run& run, const std::string&, const Millivolts&) {
    for (Channel& channel : run.channels) {
        if (isTemperature(channel)) {
            convertByDefinition(channel);
        }
    }
    return std::vector<std::string>();
}

} // namespace potwatch::session
