// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/event.h"

#include <optional>
#include <string>
#include <vector>

namespace potwatch {

// What the person states about a run: the batch file, field for field (io/batch/FORMAT.md). Everything is optional; an
// empty optional or string means "not stated". Field names and units are the TOML keys.

struct Charge {
    std::optional<double> resin_g;
    std::optional<double> water_g; // of a blank
    std::optional<double> specific_heat_j_per_g_k;
    std::optional<double> boiling_c;
    std::optional<double> boil_g_per_s_k;

    bool operator==(const Charge&) const = default;
};

struct Ingredient {
    std::string substance;
    double mass_g = 0.0;
    std::optional<double> mass_fraction;

    bool operator==(const Ingredient&) const = default;
};

struct Vessel {
    std::string name; // runs with the same name share what is learnt of it
    std::optional<double> heat_capacity_j_per_k;
    std::optional<double> loss_coefficient_w_per_k;
    std::optional<double> loss_exponent;

    bool operator==(const Vessel&) const = default;
};

struct Surroundings {
    std::optional<double> temperature_c;
    std::string channel;
    std::optional<double> pressure_kpa;

    bool operator==(const Surroundings&) const = default;
};

enum class DoseRole { catalyst, reactant, diluent };
enum class DoseUnit { gram, millilitre, drop };

struct DoseStep {
    double time_s = 0.0;
    double amount = 0.0;
    DoseUnit unit = DoseUnit::gram;
    double over_s = 0.0;

    bool operator==(const DoseStep&) const = default;
};

struct Dose {
    std::string substance;
    DoseRole role = DoseRole::catalyst;
    std::optional<double> total_g;
    std::optional<double> rate_g_per_min;
    std::optional<double> start_s;
    std::optional<double> specific_heat_j_per_g_k;
    std::optional<double> temperature_c;
    std::optional<double> density_g_per_ml;
    std::optional<double> drops_per_ml;
    std::vector<DoseStep> steps; // as done by hand; outrank the constant rate

    bool operator==(const Dose&) const = default;
};

struct Heater {
    std::optional<double> power_w;
    std::string channel;

    bool operator==(const Heater&) const = default;
};

struct CureReference {
    std::optional<double> heat_of_reaction_j_per_g; // J per g of resin
    std::optional<double> start_degree;
    std::optional<double> gel_degree;
    std::optional<double> c_stage_degree;

    bool operator==(const CureReference&) const = default;
};

enum class ProbeRole { pot, core, skin, mould, oven, air, other };

// What a probe read where the temperature is known without another thermometer; each point may stand alone.
struct ProbeCalibration {
    std::optional<double> ice_reading_c; // in melting ice
    std::optional<double> ice_u_k;       // standard uncertainty
    std::optional<WallTime> ice_done;
    std::optional<double> boiling_reading_c; // in boiling water
    std::optional<double> boiling_u_k;
    std::optional<double> boiling_pressure_kpa; // of the air then
    std::optional<WallTime> boiling_done;

    bool operator==(const ProbeCalibration&) const = default;
};

struct Probe {
    std::string channel;
    ProbeRole role = ProbeRole::pot;
    std::optional<double> lag_s;
    std::optional<double> lag_u_s;    // standard uncertainty of this probe's lag
    std::optional<WallTime> lag_done; // when it was measured
    std::optional<ProbeCalibration> calibration;

    bool operator==(const Probe&) const = default;
};

// Standard uncertainties as stated; the analysis names the default it uses where one is missing.
struct StatedUncertainty {
    std::optional<double> specific_heat_rel;
    std::optional<double> vessel_j_per_k;
    std::optional<double> surroundings_k;
    std::optional<double> lag_s;
    std::optional<double> heat_of_reaction_rel;
    std::optional<double> thermocouple_k;

    bool operator==(const StatedUncertainty&) const = default;
};

enum class Foam { none, edge, through };
enum class SolventTest { soluble, swells, insoluble };

struct Outcome {
    std::optional<double> density_g_per_ml;
    std::optional<double> weighed_dry_g;
    std::optional<double> weighed_in_water_g;
    std::optional<double> void_percent;
    std::optional<Foam> foam;
    std::optional<SolventTest> solvent_test;
    std::string hardness;
    std::string photo;

    bool operator==(const Outcome&) const = default;
};

struct Batch {
    std::string file; // where it was read from; empty = nothing was stated
    std::string name;
    std::optional<WallTime> started;
    std::string notes;
    std::string based_on;
    std::string second_heating_of;
    bool blank = false; // hot water in the vessel, left to cool
    Charge charge;
    std::vector<Ingredient> ingredients;
    Vessel vessel;
    Surroundings surroundings;
    std::optional<Dose> dose;
    Heater heater;
    CureReference cure;
    std::optional<double> weighed_loss_g;
    std::optional<double> sensor_lag_s;
    std::vector<Probe> probes;
    StatedUncertainty uncertainty;
    std::string pot_channel; // [channels] pot
    std::vector<Event> events;
    Outcome outcome;

    bool operator==(const Batch&) const = default;
};

} // namespace potwatch
