// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/live_channels.h"

#include <algorithm>
#include <utility>

namespace potwatch::session {

LiveChannels::LiveChannels(const serial::LineFormat& format, Millivolts millivolts)
    : millivolts_(std::move(millivolts)) {
    for (const serial::LineColumn& column : format.columns) {
        blank_.channels.push_back({.name = column.name, .unit = column.unit, .values = {}});
    }
    // What is in °C afterwards is a temperature; nothing is where none can be told to be one.
    Run probe = blank_;
    const bool can_convert = convertToCelsius(probe, {}, millivolts_).has_value();
    for (std::size_t i = 0; i < blank_.channels.size(); ++i) {
        list_.push_back({.name = blank_.channels[i].name,
                         .unit = blank_.channels[i].unit,
                         .is_temperature = can_convert && probe.channels[i].unit == "degC",
                         .open = {}});
    }
}

std::vector<Channel> LiveChannels::asReceived() const {
    return blank_.channels;
}

void LiveChannels::convert(std::vector<LiveScan>& scans) const {
    Run run = blank_;
    for (const LiveScan& scan : scans) {
        run.time_s.push_back(scan.time_s);
        for (std::size_t i = 0; i < run.channels.size(); ++i) {
            run.channels[i].values.push_back(scan.values[i]);
        }
    }
    if (!convertToCelsius(run, {}, millivolts_)) {
        return; // no temperature among them: shown as received
    }
    for (std::size_t row = 0; row < scans.size(); ++row) {
        for (std::size_t i = 0; i < run.channels.size(); ++i) {
            scans[row].values[i] = run.channels[i].values[row];
        }
    }
}

std::size_t LiveChannels::potOf(const Batch& batch) const {
    std::string wanted = batch.pot_channel;
    for (const Probe& probe : batch.probes) {
        if (wanted.empty() && probe.role == ProbeRole::pot) {
            wanted = probe.channel;
        }
    }
    const auto named = std::find_if(list_.begin(), list_.end(), [&](const LiveChannel& c) { return c.name == wanted; });
    const auto first = std::find_if(list_.begin(), list_.end(), [](const LiveChannel& c) { return c.is_temperature; });
    const auto pot = !wanted.empty() && named != list_.end() ? named : first;
    return pot == list_.end() ? 0 : static_cast<std::size_t>(pot - list_.begin());
}

} // namespace potwatch::session
