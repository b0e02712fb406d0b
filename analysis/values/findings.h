// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/annotation.h"
#include "analysis/values/estimate.h"
#include "analysis/values/event.h"
#include "analysis/values/landmark_kind.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch {

// Version of the analysis behind a set of findings; raised when results change.
inline constexpr int analysis_version = 5;

// A point that the analysis finds on the lag-corrected temperature.
struct Landmark {
    Estimate time_s;
    Estimate temperature_c;

    bool operator==(const Landmark&) const = default;
};

struct Steepest {
    Estimate time_s;
    Estimate temperature_c;
    Estimate rate_k_per_min;

    bool operator==(const Steepest&) const = default;
};

struct Peak {
    Estimate time_s;
    Estimate temperature_c;          // of the resin, corrected for the probe's lag
    std::optional<double> reading_c; // highest reading of the probe in this exotherm

    bool operator==(const Peak&) const = default;
};

// Stretch in which the temperature stood near the boiling point while the balance still showed heat.
struct BoilPlateau {
    double start_s = 0.0;
    double end_s = 0.0;
    double temperature_c = 0.0;

    bool operator==(const BoilPlateau&) const = default;
};

// Those of the exotherm that peaks hottest.
struct Landmarks {
    std::optional<Landmark> onset;
    std::optional<Landmark> first_deviation;
    std::optional<Steepest> steepest;
    std::optional<Peak> peak;
    std::optional<Landmark> end;
    std::optional<BoilPlateau> boil_plateau;

    bool operator==(const Landmarks&) const = default;
};

// One of several exotherms of a run, in order of time.
struct Exotherm {
    std::optional<Landmark> onset;
    std::optional<Landmark> peak;
    std::optional<Landmark> end;

    bool operator==(const Exotherm&) const = default;
};

// The hottest that the probe read in the whole trace, exotherm or not.
struct HighestReading {
    double time_s = 0.0;
    double reading_c = 0.0;

    bool operator==(const HighestReading&) const = default;
};

// The highest temperature that the synthesis could have reached, and the moment from which it would have.
struct Mtsr {
    Estimate temperature_c;
    double time_s = 0.0;

    bool operator==(const Mtsr&) const = default;
};

struct HeatFindings {
    std::optional<Estimate> released_j;
    std::optional<Estimate> per_gram_j; // J per g of resin
    std::optional<Estimate> heat_capacity_j_per_k;
    std::optional<Estimate> loss_coefficient_w_per_k;
    std::optional<Estimate> loss_exponent;
    std::optional<Estimate> surroundings_c; // that the balance used, mean over it: as stated and moved by the fit
    std::string
        loss_from; // "cooling tail 1300-2400 s", "batch file", "blank NAME", "runs of vessel NAME"; empty = unknown
    std::optional<Estimate> evaporated_g;
    std::optional<Estimate> adiabatic_rise_k;
    std::optional<Estimate> thermal_inertia; // phi: heat capacity of pot and contents over that of the contents
    std::optional<Mtsr> mtsr;                // only where a catalyst or a reactant is dosed
    bool lower_bound = false; // the heat lost is not known: released_j is what the pot holds, and no more

    bool operator==(const HeatFindings&) const = default;
};

struct DegreeAt {
    double time_s = 0.0;
    std::optional<Estimate> degree;

    bool operator==(const DegreeAt&) const = default;
};

// Time at one temperature that would have cured as far as the run did.
struct EquivalentTime {
    Estimate time_s;
    double reference_c = 0.0;
    Estimate e_kj_per_mol; // activation energy that it was worked out with
    double from_s = 0.0;   // of the trace, up to its end

    bool operator==(const EquivalentTime&) const = default;
};

struct CureFindings {
    std::optional<Estimate> final_degree;
    std::optional<double> reference_j_per_g;
    std::string reference_from; // "batch file", "this run itself"; empty = none
    std::vector<DegreeAt> at;
    std::string stage;                  // "A", "B", "C"; empty = unknown
    std::optional<Estimate> gel_time_s; // where the degree passes the gel degree
    std::optional<EquivalentTime> equivalent;
    std::string second_heating_of; // the heat released is then the residual heat of that run's piece; empty = none

    bool operator==(const CureFindings&) const = default;
};

struct SampleCount {
    std::size_t kept = 0;
    std::size_t refused = 0;
    double span_s = 0.0;
    double median_interval_s = 0.0;

    bool operator==(const SampleCount&) const = default;
};

// A figure that the analysis used as it stands, with its standard uncertainty: for the report's table of inputs.
struct Input {
    std::string name; // "specific heat", "probe lag", ...
    std::string unit; // "J/(g K)"
    double value = 0.0;
    std::optional<double> u;
    std::string from; // "batch file", "default", "measured"

    bool operator==(const Input&) const = default;
};

// All results of one run. What cannot be known is empty, and a warning says why.
struct Findings {
    std::string run;
    std::string file;
    std::string channel;
    int version = analysis_version;
    SampleCount samples;
    Landmarks landmarks;
    std::vector<LandmarkKind> by_hand; // landmarks that stand where the person put them
    std::vector<Exotherm> exotherms;
    std::optional<HighestReading> highest_reading;
    HeatFindings heat;
    CureFindings cure;
    std::vector<Input> inputs;
    std::vector<std::string> warnings; // what is wrong or weak, and what to do about it

    bool operator==(const Findings&) const = default;
};

// The traces behind the findings.
// Shape: all of time_s's length, time_s strictly ascending; NaN where unknown; a group that is unknown as a whole is
// empty.
struct Series {
    std::vector<double> time_s;
    std::vector<double> reading_c;     // as read, settled (spikes taken out, times put in order)
    std::vector<double> temperature_c; // corrected for lag and smoothed
    std::vector<double> temperature_u_k;
    std::vector<double> rate_k_per_min;
    std::vector<double> power_w; // heat flow of the cure
    std::vector<double> heat_j;  // released up to then
    std::vector<double> heat_u_j;
    std::vector<double> degree;
    std::vector<double> degree_low; // 95 % interval
    std::vector<double> degree_high;

    bool operator==(const Series&) const = default;
};

// What one analysis gives.
struct Analysis {
    Findings findings;
    Series series;
    std::vector<Event> events;           // dose start and end, and what the batch file lists
    std::vector<Annotation> annotations; // as the run has them

    bool operator==(const Analysis&) const = default;
};

} // namespace potwatch
