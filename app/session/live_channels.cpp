// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/live_channels.h"

#include "analysis/findings/prepare.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::session {
namespace {

// The channels as the analysis sees them: in °C what is a temperature.
Run asAnalysed(const std::vector<LiveChannel>& channels, const Batch& batch) {
    Run run;
    run.batch = batch;
    for (const LiveChannel& channel : channels) {
        run.channels.push_back(
            {.name = channel.name, .unit = channel.is_temperature ? "degC" : channel.unit, .values = {}});
    }
    return run;
}

} // namespace

std::size_t potOf(const std::vector<LiveChannel>& channels, const Batch& batch) {
    return findings::potChannel(asAnalysed(channels, batch), {}).value_or(0);
}

std::string takeOutMissingChannels(Batch& batch, const std::vector<LiveChannel>& channels) {
    if (channels.empty()) {
        return {};
    }
    const Run run = asAnalysed(channels, {});
    std::string missing;
    // As the device writes it, which may differ in case and blanks; empty where it has none such.
    const auto nameHere = [&](const std::string& name, const char* what) -> std::string {
        const std::size_t at = findings::channelIndex(run, name);
        if (!name.empty() && at < channels.size()) {
            return channels[at].name;
        }
        if (!name.empty()) {
            missing += fmt::format("{}\"{}\" ({})", missing.empty() ? "" : ", ", name, what);
        }
        return {};
    };
    batch.pot_channel = nameHere(batch.pot_channel, "the pot");
    batch.surroundings.channel = nameHere(batch.surroundings.channel, "the surroundings");
    batch.heater.channel = nameHere(batch.heater.channel, "the heater");
    for (Probe& probe : batch.probes) {
        probe.channel = nameHere(probe.channel, "a probe");
    }
    std::erase_if(batch.probes, [](const Probe& probe) { return probe.channel.empty(); });
    return missing.empty() ? std::string()
                           : fmt::format("This device has no channel {}: that is left out, and \"{}\" is taken as the "
                                         "pot; state another channel if that is wrong.",
                                         missing, channels[potOf(channels, batch)].name);
}

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

bool LiveChannels::setProbes(const Batch& batch) {
    const Calibrations before = calibrationsIn(blank_.batch);
    blank_.batch.probes = batch.probes;
    return calibrationsIn(blank_.batch) != before;
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
    [[maybe_unused]] const bool are_corrected = correctReadings(run).has_value(); // else shown as they are
    for (std::size_t row = 0; row < scans.size(); ++row) {
        for (std::size_t i = 0; i < run.channels.size(); ++i) {
            scans[row].values[i] = run.channels[i].values[row];
        }
    }
}

} // namespace potwatch::session
