// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/celsius.h"

#include "analysis/findings/prepare.h"
#include "analysis/thermocouple/calibration.h"
#include "analysis/thermocouple/reference_function.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <optional>
#include <string_view>

namespace potwatch::session {
namespace {

constexpr double zero_c_k = 273.15;
constexpr double zero_c_f = 32.0;
constexpr double f_per_k = 1.8;
constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

bool isTemperature(const Channel& channel) {
    return channel.unit == "degC" || channel.unit == "degF" || channel.unit == "K";
}

bool isMillivolts(const Channel& channel) {
    return channel.unit == "mV";
}

void convertByDefinition(Channel& channel) {
    if (channel.unit == "degF") {
        std::transform(channel.values.begin(), channel.values.end(), channel.values.begin(),
                       [](double f) { return (f - zero_c_f) / f_per_k; });
    } else if (channel.unit == "K") {
        std::transform(channel.values.begin(), channel.values.end(), channel.values.begin(),
                       [](double k) { return k - zero_c_k; });
    }
    channel.unit = "degC";
}

const Channel* channelNamed(const Run& run, std::string_view name) {
    const auto found =
        std::find_if(run.channels.begin(), run.channels.end(), [&](const Channel& c) { return c.name == name; });
    return found == run.channels.end() ? nullptr : &*found;
}

std::string namesOf(const Run& run) {
    std::string names;
    for (const Channel& channel : run.channels) {
        if (!channel.name.empty()) {
            names += (names.empty() ? "" : ", ") + channel.name;
        }
    }
    return names.empty() ? "the columns have no names: choose one with --columns NUMBER" : "the columns are " + names;
}

Fault inputFault(const Run& run, std::string what, std::string remedy, std::string channel = {}) {
    return {.kind = FaultKind::input,
            .what = std::move(what),
            .where = {.file = run.file, .channel = std::move(channel)},
            .remedy = std::move(remedy)};
}

// The cold junction at each sample.
struct ColdJunction {
    std::optional<double> constant_c;
    std::vector<double> values_c; // where a channel reads it

    [[nodiscard]] double at(std::size_t i) const { return constant_c ? *constant_c : values_c[i]; }
};

Result<ColdJunction> coldJunctionOf(const Run& run, const std::string& stated) {
    if (stated.empty()) {
        return tl::unexpected(inputFault(run, "a voltage needs the temperature of its cold junction",
                                         "give --cold-junction, in °C or as the column that reads it"));
    }
    double constant_c = 0.0;
    const char* end = stated.data() + stated.size();
    if (const auto read = std::from_chars(stated.data(), end, constant_c); read.ec == std::errc() && read.ptr == end) {
        if (!std::isfinite(constant_c)) {
            return tl::unexpected(
                inputFault(run, "the cold junction is no finite temperature", "mend --cold-junction"));
        }
        return ColdJunction{.constant_c = constant_c, .values_c = {}};
    }
    const Channel* channel = channelNamed(run, stated);
    if (channel == nullptr || channel->unit != "degC") {
        return tl::unexpected(inputFault(run,
                                         fmt::format("the cold junction \"{}\" is neither a number nor a column that "
                                                     "holds temperatures",
                                                     stated),
                                         "mend --cold-junction; " + namesOf(run)));
    }
    return ColdJunction{.constant_c = std::nullopt, .values_c = channel->values};
}

// Readings that the reference function does not answer: outside the type's range, or of two temperatures.
std::size_t convertMillivolts(Channel& channel, thermocouple::Type type, const ColdJunction& cold) {
    std::size_t unanswered = 0;
    for (std::size_t i = 0; i < channel.values.size(); ++i) {
        if (std::isnan(channel.values[i])) {
            continue;
        }
        const Result<thermocouple::HotJunction> hot = thermocouple::temperatureC(type, channel.values[i], cold.at(i));
        const bool answered = hot && !hot->ambiguous && !hot->other_c;
        channel.values[i] = answered ? hot->temperature_c : not_known;
        unanswered += answered ? 0U : 1U;
    }
    channel.unit = "degC";
    return unanswered;
}

// The fault of a run in which nothing can be taken as the pot's temperature, or none.
std::optional<Fault> whyNoTemperature(const Run& run, const std::string& pot, bool type_is_stated) {
    const std::string type_option = "give --thermocouple TYPE and --cold-junction T";
    if (!pot.empty()) {
        const Channel* channel = channelNamed(run, pot);
        if (channel == nullptr) {
            return inputFault(run, "there is no column \"" + pot + "\"",
                              "mend --channel or [channels] pot; " + namesOf(run));
        }
        if (isMillivolts(*channel) && !type_is_stated) {
            return inputFault(run, "is in millivolts, and the thermocouple's type is not stated", type_option, pot);
        }
        if (!isTemperature(*channel) && !isMillivolts(*channel)) {
            return inputFault(
                run, channel->unit.empty() ? "has no unit" : "is in " + channel->unit + ", which is no temperature",
                channel->unit.empty() ? "give --unit degC, degF, K or mV" : "choose another --channel", pot);
        }
        return std::nullopt;
    }
    if (std::any_of(run.channels.begin(), run.channels.end(), isTemperature)) {
        return std::nullopt;
    }
    if (std::any_of(run.channels.begin(), run.channels.end(), isMillivolts)) {
        return type_is_stated ? std::nullopt
                              : std::optional(inputFault(
                                    run, "holds millivolts, and the thermocouple's type is not stated", type_option));
    }
    return inputFault(run, "no column is known to be a temperature",
                      "give --unit degC, degF, K or mV; " + namesOf(run));
}

} // namespace

Result<std::vector<std::string>> convertToCelsius(Run& run, const std::string& pot_channel,
                                                  const Millivolts& millivolts) {
    if (std::optional<Fault> fault = whyNoTemperature(run, pot_channel, !millivolts.type.empty())) {
        return tl::unexpected(std::move(*fault));
    }
    for (Channel& channel : run.channels) {
        if (isTemperature(channel)) {
            convertByDefinition(channel);
        }
    }
    std::vector<std::string> warnings;
    if (millivolts.type.empty() || !std::any_of(run.channels.begin(), run.channels.end(), isMillivolts)) {
        return warnings;
    }
    const std::optional<thermocouple::Type> type = thermocouple::typeOf(millivolts.type);
    if (!type) {
        return tl::unexpected(inputFault(run, "there is no thermocouple type \"" + millivolts.type + "\"",
                                         "the types are B E J K N R S T"));
    }
    const Result<ColdJunction> cold = coldJunctionOf(run, millivolts.cold_junction);
    if (!cold) {
        return tl::unexpected(cold.error());
    }
    for (Channel& channel : run.channels) {
        if (!isMillivolts(channel)) {
            continue;
        }
        if (const std::size_t unanswered = convertMillivolts(channel, *type, *cold)) {
            warnings.push_back(fmt::format("{} of the {} readings of channel {} have no one temperature with a type {} "
                                           "thermocouple and were left out; check the type and the cold junction",
                                           unanswered, channel.values.size(), channel.name,
                                           thermocouple::nameOf(*type)));
        }
    }
    return warnings;
}

Calibrations calibrationsIn(const Batch& batch) {
    Calibrations found;
    for (const Probe& probe : batch.probes) {
        if (probe.calibration) {
            found.emplace_back(probe.channel, *probe.calibration);
        }
    }
    return found;
}

Result<std::vector<std::string>> correctReadings(Run& run) {
    std::vector<std::string> warnings;
    std::vector<std::pair<std::size_t, thermocouple::Correction>> corrections; // all of them, or none
    for (const auto& [name, calibration] : calibrationsIn(run.batch)) {
        const Result<thermocouple::Correction> correction = thermocouple::correctionOf(calibration);
        if (!correction) {
            Fault fault = correction.error();
            fault.kind = FaultKind::input;
            fault.where = {.file = run.batch.file, .channel = name};
            return tl::unexpected(std::move(fault));
        }
        const std::size_t channel = findings::channelIndex(run, name);
        if (channel < run.channels.size() && run.channels[channel].unit == "degC") {
            corrections.emplace_back(channel, *correction);
        } else {
            warnings.push_back(fmt::format("a calibration of channel {} is stated, which is none of this run's "
                                           "temperatures: nothing is corrected by it",
                                           name));
        }
    }
    for (const auto& [channel, correction] : corrections) {
        std::vector<double>& values = run.channels[channel].values;
        std::transform(values.begin(), values.end(), values.begin(),
                       [by = correction](double reading_c) { return by.at(reading_c); });
    }
    return warnings;
}

} // namespace potwatch::session
