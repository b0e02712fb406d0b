// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tests/wild/pot.h"
#include "tests/wild/probe.h"
#include "tests/wild/random.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::wild {

// What the maker writes down besides the amounts.
struct Belief {
    bool room_stated = true;
    bool room_recorded = false; // as the column air_c
    bool loss_stated = false;
    bool weighed = false;
    bool heater_stated = false;
    bool by_hand = false;             // dosed in portions, stated as a constant rate
    double specific_heat_at_c = 60.0; // the stated one is that of half-cured resin there
    struct Event {
        double time_s = 0.0;
        const char* kind = "";
    };
    std::vector<Event> events;
};

// A bench as it was drawn: the truth, and what is recorded of it.
struct Draft {
    Pot pot;
    Probe probe;
    Belief belief;
    double longest_s = 5000.0;
    double end_rise = 0.3;            // it ends when the pot has fallen to this part of its rise
    std::optional<double> cut_degree; // or when it has cured so far
    std::optional<double> cut_s;      // or at this moment
    double peak_low_c = 40.0;         // drawn again unless the peak is in between
    double peak_high_c = 98.0;
    double boiled_low_g = -1.0;
    double boiled_high_g = 0.0;
    bool plain_start = true; // there is a baseline before the dose
};

// The figures of the truth, in the units of potwatch analyse. Unset where the run has none.
struct Truth {
    double peak_temperature_c = 0.0; // where the probe stands
    double peak_time_s = 0.0;
    double heat_released_j = 0.0;
    double degree_of_cure_final = 0.0; // at the end of the trace
    double loss_coefficient_w_per_k = 0.0;
    double loss_exponent = 0.0;
    double heat_over_heat_capacity_at_the_end_k = 0.0;
    double water_evaporated_g = 0.0;
    double max_rate_k_per_min = 0.0;
    std::optional<double> mtsr_c;
    std::optional<double> onset_extrapolated_s;
};

struct WildRun {
    std::string name; // KIND-N
    std::vector<Reading> readings;
    bool air_recorded = false;
    std::string batch; // TOML
    Truth truth;
};

// The history's figures up to `end_s`.
Truth truthOf(const Draft& draft, const std::vector<Moment>& history, double end_s);

// The batch file, each figure off as its [uncertainty] says.
std::string batchOf(const Draft& draft, const Truth& truth, Random& random);

std::vector<std::string> kindNames();

// A bench and how it went, before anybody read it.
struct Drawn {
    Draft draft;
    std::vector<Moment> history; // beyond the end of the trace too
    double end_s = 0.0;          // of the trace
    Random random;               // for its readings
};

// The n-th bench of that kind, and the run that is recorded on it; the same for the same numbers. They throw
// std::runtime_error when the kind is not known or no pot of it could be drawn.
Drawn drawn(const std::string& kind, std::uint64_t seed, int n);
WildRun wildRun(const std::string& kind, std::uint64_t seed, int n);

std::string csvOf(const WildRun& run);
std::string jsonOf(const WildRun& run);

} // namespace potwatch::wild
