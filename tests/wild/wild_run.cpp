// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/wild_run.h"

#include "tests/wild/kinds.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace potwatch::wild {
namespace {

std::vector<Kind> allKinds() {
    std::vector<Kind> kinds = benchKinds();
    kinds.insert(kinds.end(), resinKinds().begin(), resinKinds().end());
    return kinds;
}

double stepOf(const Draft& draft) {
    return draft.longest_s > 20000.0 ? 5.0 : 0.5;
}

double endOf(const Draft& draft, const std::vector<Moment>& history) {
    if (draft.cut_s) {
        return std::min(*draft.cut_s, history.back().time_s);
    }
    const Moment& peak = peakOf(history);
    const double low_c = draft.pot.start_c + draft.end_rise * (peak.pot_c - draft.pot.start_c);
    if (draft.cut_degree) {
        const auto cut = std::find_if(history.begin(), history.end(),
                                      [&](const Moment& now) { return now.degree >= *draft.cut_degree; });
        return cut == history.end() ? history.back().time_s : cut->time_s;
    }
    const auto warm =
        std::find_if(history.rbegin(), history.rend(), [low_c](const Moment& now) { return now.pot_c > low_c; });
    return warm == history.rbegin() ? history.back().time_s : (warm - 1)->time_s;
}

// The last reading up to then.
double lastReading(const Draft& draft, double end_s) {
    return std::floor(end_s / draft.probe.interval_s) * draft.probe.interval_s;
}

bool wanted(const Draft& draft, const Truth& truth, double end_s) {
    const bool seen = draft.cut_degree || draft.cut_s || truth.peak_time_s < 0.9 * end_s;
    return seen && truth.peak_temperature_c >= draft.peak_low_c && truth.peak_temperature_c <= draft.peak_high_c &&
           truth.water_evaporated_g >= draft.boiled_low_g && truth.water_evaporated_g <= draft.boiled_high_g;
}

// Simulates it; whether it is as its kind wants it.
bool settle(Drawn& bench, double step_s) {
    bench.history = simulate(bench.draft.pot, bench.draft.longest_s, step_s);
    bench.end_s = lastReading(bench.draft, endOf(bench.draft, bench.history));
    return wanted(bench.draft, truthOf(bench.draft, bench.history, bench.end_s), bench.end_s);
}

std::uint64_t mixed(std::uint64_t seed, std::uint64_t kind, std::uint64_t n, std::uint64_t attempt) {
    std::uint64_t value = seed;
    for (const std::uint64_t part : {kind, n, attempt}) {
        value = (value ^ (part + 1)) * 0x9e3779b97f4a7c15ULL;
        value ^= value >> 29U;
    }
    return value;
}

} // namespace

std::vector<std::string> kindNames() {
    std::vector<std::string> names;
    for (const Kind& kind : allKinds()) {
        names.emplace_back(kind.name);
    }
    return names;
}

Drawn drawn(const std::string& name, std::uint64_t seed, int n) {
    const std::vector<Kind> kinds = allKinds();
    const auto kind = std::find_if(kinds.begin(), kinds.end(), [&name](const Kind& k) { return name == k.name; });
    if (kind == kinds.end()) {
        throw std::runtime_error("no such kind: " + name);
    }
    const auto place = static_cast<std::uint64_t>(kind - kinds.begin());
    for (std::uint64_t attempt = 0; attempt < 2000; ++attempt) {
        Drawn bench{.random = Random(mixed(seed, place, static_cast<std::uint64_t>(n), attempt))};
        Draft& draft = bench.draft;
        drawPlain(draft, bench.random);
        kind->draw(draft, bench.random);
        // A coarse look first: most draws are of no use.
        const double step_s = stepOf(draft);
        bench.history = simulate(draft.pot, draft.longest_s, 10.0 * step_s);
        if (kind->intervene != nullptr) {
            kind->intervene(draft, bench.history, bench.random);
        }
        if (settle(bench, 10.0 * step_s) && settle(bench, step_s)) {
            return bench;
        }
    }
    throw std::runtime_error("no pot could be drawn of the kind " + name);
}

WildRun wildRun(const std::string& kind, std::uint64_t seed, int n) {
    Drawn bench = drawn(kind, seed, n);
    WildRun run{.name = fmt::format("{}-{}", kind, n), .air_recorded = bench.draft.belief.room_recorded};
    run.truth = truthOf(bench.draft, bench.history, bench.end_s);
    run.readings = read(bench.history, bench.end_s, bench.draft.probe, bench.random);
    run.batch = batchOf(bench.draft, run.truth, bench.random);
    return run;
}

std::string csvOf(const WildRun& run) {
    std::string text = run.air_recorded ? "time_s,pot_c,air_c\n" : "time_s,pot_c\n";
    for (const Reading& reading : run.readings) {
        text += fmt::format("{:.3f},{:.3f}", reading.time_s, reading.pot_c);
        text += run.air_recorded ? fmt::format(",{:.3f}\n", reading.air_c) : "\n";
    }
    return text;
}

std::string jsonOf(const WildRun& run) {
    const Truth& truth = run.truth;
    std::string text = fmt::format("{{\n \"run\": \"{}\"", run.name);
    const auto add = [&text](const char* key, double value) { text += fmt::format(",\n \"{}\": {}", key, value); };
    add("peak_temperature_c", truth.peak_temperature_c);
    add("peak_time_s", truth.peak_time_s);
    add("heat_released_j", truth.heat_released_j);
    add("degree_of_cure_final", truth.degree_of_cure_final);
    add("loss_coefficient_w_per_k", truth.loss_coefficient_w_per_k);
    add("loss_exponent", truth.loss_exponent);
    add("heat_over_heat_capacity_at_the_end_k", truth.heat_over_heat_capacity_at_the_end_k);
    if (truth.mtsr_c) {
        add("mtsr_c", *truth.mtsr_c);
    }
    add("water_evaporated_g", truth.water_evaporated_g);
    if (truth.onset_extrapolated_s) {
        add("onset_extrapolated_s", *truth.onset_extrapolated_s);
    }
    add("max_rate_k_per_min", truth.max_rate_k_per_min);
    return text + "\n}\n";
}

} // namespace potwatch::wild
