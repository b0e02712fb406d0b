// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/prepare.h"

#include "analysis/signal/hampel.h"
#include "analysis/signal/noise.h"
#include "analysis/signal/settle.h"
#include "analysis/signal/smooth_curve.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <limits>

namespace potwatch::findings {

namespace {

constexpr double coldest_c = -273.15;
constexpr double hottest_c = 3000.0;

std::string folded(const std::string& name) {
    std::string result;
    for (const char c : name) {
        if (std::isspace(static_cast<unsigned char>(c)) == 0) {
            result += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        }
    }
    return result;
}

std::string namesOf(const Run& run) {
    std::string names;
    for (std::size_t i = 0; i < run.channels.size(); ++i) {
        const std::string& name = run.channels[i].name;
        names += (i == 0 ? "" : ", ") + (name.empty() ? fmt::format("column {}", i + 1) : "\"" + name + "\"");
    }
    return names;
}

bool namedAsSurroundings(const std::string& name) {
    static constexpr std::array<const char*, 7> words{"air", "ambient", "room", "oven", "surround", "cold", "junction"};
    const std::string plain = folded(name);
    return std::any_of(words.begin(), words.end(),
                       [&](const char* word) { return plain.find(word) != std::string::npos; });
}

std::string times(std::size_t count, const char* what) {
    return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

// What happened where nothing was read is not known, and is not drawn.
void warnOfGaps(const std::vector<double>& time_s, Prepared& prepared) {
    const double longest_s = signal::gap_intervals * prepared.samples.median_interval_s;
    std::size_t gaps = 0;
    std::size_t longest = 0; // the sample before the longest
    for (std::size_t i = 0; i + 1 < time_s.size(); ++i) {
        const double length_s = time_s[i + 1] - time_s[i];
        if (length_s > longest_s) {
            longest = gaps == 0 || length_s > time_s[longest + 1] - time_s[longest] ? i : longest;
            ++gaps;
        }
    }
    if (gaps > 0) {
        prepared.warnings.push_back(fmt::format(
            "no readings {}from {:.0f} to {:.0f} s: what the pot did there is not known, and a landmark next "
            "to it may lie in it",
            gaps == 1 ? std::string() : fmt::format("in {} stretches, the longest ", gaps), time_s[longest],
            time_s[longest + 1]));
    }
}

} // namespace

std::size_t channelIndex(const Run& run, const std::string& name) {
    for (std::size_t i = 0; i < run.channels.size(); ++i) {
        if (run.channels[i].name == name) {
            return i;
        }
    }
    const auto same = std::find_if(run.channels.begin(), run.channels.end(),
                                   [&](const Channel& c) { return !name.empty() && folded(c.name) == folded(name); });
    return static_cast<std::size_t>(same - run.channels.begin());
}

Result<std::size_t> potChannel(const Run& run, const std::string& asked) {
    const auto named = [&](const std::string& name) -> Result<std::size_t> {
        const std::size_t i = channelIndex(run, name);
        if (i == run.channels.size()) {
            return tl::unexpected(Fault{.kind = FaultKind::input,
                                        .what = fmt::format("there is no channel \"{}\"", name),
                                        .where = {.file = run.file},
                                        .remedy = "the channels are " + namesOf(run)});
        }
        return i;
    };
    if (!asked.empty()) {
        return named(asked);
    }
    if (!run.batch.pot_channel.empty()) {
        return named(run.batch.pot_channel);
    }
    for (const ProbeRole role : {ProbeRole::pot, ProbeRole::core}) {
        for (const Probe& probe : run.batch.probes) {
            if (probe.role == role && channelIndex(run, probe.channel) < run.channels.size()) {
                return channelIndex(run, probe.channel);
            }
        }
    }
    const auto first = [&](bool with_surroundings, const std::string& unit) {
        return static_cast<std::size_t>(std::find_if(run.channels.begin(), run.channels.end(),
                                                     [&](const Channel& c) {
                                                         return c.unit == unit &&
                                                                c.name != run.batch.surroundings.channel &&
                                                                (with_surroundings || !namedAsSurroundings(c.name));
                                                     }) -
                                        run.channels.begin());
    };
    for (const std::string& unit : {std::string("degC"), std::string()}) {
        for (const bool with_surroundings : {false, true}) {
            if (const std::size_t i = first(with_surroundings, unit); i < run.channels.size()) {
                return i;
            }
        }
    }
    return tl::unexpected(
        Fault{.kind = FaultKind::input,
              .what = "no channel holds a temperature",
              .where = {.file = run.file},
              .remedy = "name one with --channel, or its unit with --unit; the channels are " + namesOf(run)});
}

Result<Prepared> prepare(const Run& run, std::size_t channel) {
    Prepared prepared;
    const Channel& source = run.channels[channel];
    prepared.channel = source.name.empty() ? fmt::format("column {}", channel + 1) : source.name;

    std::vector<double> plausible = source.values;
    std::size_t impossible = 0;
    for (double& value : plausible) {
        if (std::isfinite(value) && (value < coldest_c || value > hottest_c)) {
            value = std::numeric_limits<double>::quiet_NaN();
            ++impossible;
        }
    }
    signal::Settled settled = signal::settle({run.time_s, plausible});
    if (impossible > 0) {
        prepared.warnings.push_back(fmt::format("{} outside -273.15 to 3000 °C left out; look at the sensor's wiring",
                                                times(impossible, "reading")));
    }
    if (settled.stepped_back > 0) {
        prepared.warnings.push_back(
            fmt::format("the clock steps back {}: readings were put in the order of their times; check the "
                        "logger's clock",
                        times(settled.stepped_back, "time")));
    }
    if (settled.repeated > 0) {
        prepared.warnings.push_back(
            fmt::format("{} averaged into the one of the same time", times(settled.repeated, "reading")));
    }
    const TraceView raw{settled.time_s, settled.value};
    const double step_k = signal::quantisationStep(raw.value);
    const std::vector<std::size_t> spikes = signal::spikes(raw, {.quantisation_step = step_k});
    for (const std::size_t i : spikes) {
        settled.value[i] = std::numeric_limits<double>::quiet_NaN();
    }
    if (!spikes.empty()) {
        prepared.warnings.push_back(fmt::format("{} taken out, the first at {:.0f} s; look at the wiring",
                                                times(spikes.size(), "spike"), settled.time_s[spikes.front()]));
    }
    prepared.time_s = std::move(settled.time_s);
    prepared.value_c = std::move(settled.value);
    // Rounding of a trace at rest shows no noise, but hides as much as a rectangular distribution of that width.
    prepared.noise_k = std::max(signal::noiseStandardDeviation(prepared.view()), step_k / std::sqrt(12.0));
    prepared.rounding_u_k = signal::roundingUncertainty(step_k, prepared.noise_k);

    std::vector<double> kept_s;
    kept_s.reserve(prepared.time_s.size());
    for (std::size_t i = 0; i < prepared.time_s.size(); ++i) {
        if (std::isfinite(prepared.value_c[i])) {
            kept_s.push_back(prepared.time_s[i]);
        }
    }
    if (kept_s.size() < fewest_samples) {
        return tl::unexpected(Fault{.kind = FaultKind::missing,
                                    .what = fmt::format("only {}, and findings need {} or more",
                                                        times(kept_s.size(), "usable reading"), fewest_samples),
                                    .where = {.file = run.file, .channel = prepared.channel},
                                    .remedy = "record for longer, or choose another channel"});
    }
    prepared.samples = {.kept = kept_s.size(), .refused = run.rows_refused, .span_s = kept_s.back() - kept_s.front()};
    std::vector<double> intervals(kept_s.size() - 1);
    for (std::size_t i = 0; i + 1 < kept_s.size(); ++i) {
        intervals[i] = kept_s[i + 1] - kept_s[i];
    }
    const auto middle = intervals.begin() + static_cast<std::ptrdiff_t>(intervals.size() / 2);
    std::nth_element(intervals.begin(), middle, intervals.end());
    prepared.samples.median_interval_s = *middle;
    warnOfGaps(kept_s, prepared);
    return prepared;
}

} // namespace potwatch::findings
