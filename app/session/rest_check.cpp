// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/rest_check.h"

#include "analysis/thermocouple/probes_at_rest.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <optional>

namespace potwatch::session {
namespace {

constexpr double least_step_s = 0.5;
constexpr double looked_back_s = 30.0;
constexpr std::size_t fewest_scans = 10; // of a slow device, however long ago

} // namespace

void RestCheck::add(const LiveScan& scan) {
    if (!scans_.empty() && scan.time_s < scans_.back().time_s) {
        scans_.clear(); // the run's time has begun
    }
    if (!scans_.empty() && scan.time_s < scans_.back().time_s + least_step_s) {
        return;
    }
    scans_.push_back(scan);
    while (scans_.size() > fewest_scans && scans_.front().time_s < scan.time_s - looked_back_s) {
        scans_.pop_front();
    }
}

std::string RestCheck::inWords(const std::vector<LiveChannel>& channels) const {
    std::vector<double> time_s;
    std::vector<std::vector<double>> values;
    std::vector<std::string> names;
    for (std::size_t i = 0; i < channels.size(); ++i) {
        if (channels[i].is_temperature) {
            names.push_back(format::oneLine(channels[i].name));
            values.emplace_back();
            for (const LiveScan& scan : scans_) {
                values.back().push_back(scan.values.at(i));
            }
        }
    }
    for (const LiveScan& scan : scans_) {
        time_s.push_back(scan.time_s);
    }
    const std::optional<thermocouple::ProbesAtRest> rest = thermocouple::probesAtRest(time_s, values);
    if (!rest || rest->apart_k > thermocouple::most_apart_k) {
        return {};
    }
    std::string text = "Probes at rest:";
    for (std::size_t i = 0; i < names.size(); ++i) {
        text += fmt::format("{} {} {:.1f} °C", i == 0 ? "" : ",", names[i], rest->mean_c[i]);
    }
    text += fmt::format("; {:.1f} K apart.", rest->apart_k);
    if (rest->apart_k > thermocouple::tolerated_apart_k) {
        text += fmt::format(" If {} and {} stand at the same place, one of them reads wrong: try both in melting ice.",
                            names[rest->lowest], names[rest->highest]);
    }
    return text;
}

} // namespace potwatch::session
