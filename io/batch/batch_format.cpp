// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/batch_format.h"

#include <array>

namespace potwatch::batch {

template<>
struct Words<DoseRole> {
    static constexpr std::array<std::pair<std::string_view, DoseRole>, 3> all{{
        {"catalyst", DoseRole::catalyst},
        {"reactant", DoseRole::reactant},
        {"diluent", DoseRole::diluent},
    }};
};

template<>
struct Words<DoseUnit> {
    static constexpr std::array<std::pair<std::string_view, DoseUnit>, 3> all{{
        {"g", DoseUnit::gram},
        {"ml", DoseUnit::millilitre},
        {"drop", DoseUnit::drop},
    }};
};

template<>
struct Words<ProbeRole> {
    static constexpr std::array<std::pair<std::string_view, ProbeRole>, 7> all{{
        {"pot", ProbeRole::pot},
        {"core", ProbeRole::core},
        {"skin", ProbeRole::skin},
        {"mould", ProbeRole::mould},
        {"oven", ProbeRole::oven},
        {"air", ProbeRole::air},
        {"other", ProbeRole::other},
    }};
};

template<>
struct Words<Foam> {
    static constexpr std::array<std::pair<std::string_view, Foam>, 3> all{{
        {"none", Foam::none},
        {"edge", Foam::edge},
        {"through", Foam::through},
    }};
};

template<>
struct Words<SolventTest> {
    static constexpr std::array<std::pair<std::string_view, SolventTest>, 3> all{{
        {"soluble", SolventTest::soluble},
        {"swells", SolventTest::swells},
        {"insoluble", SolventTest::insoluble},
    }};
};

namespace {

// format = 1. A newer one was refused before anything else was read.
Entry<Batch> formatKey() {
    Entry<Batch> entry{.name = "format"};
    entry.read = [](const Item& item, const Where& where, Batch&, Reading& reading) {
        const auto* const version = std::get_if<std::int64_t>(&item.value);
        if (version == nullptr) {
            reading.wrongType("format", where, item, "a whole number", "write format = 1");
        } else if (*version != format_version) {
            reading.fault(FaultKind::range, item.position, fmt::format("there is no format {}", *version),
                          "write format = 1");
        }
        return true;
    };
    entry.write = [](const Batch&, const Where&, std::string& out) {
        out += fmt::format("format = {}\n", format_version);
    };
    return entry;
}

Schema<Batch> describeFormat() {
    return {
        formatKey(),
        section<Batch>("batch",
                       {
                           key("name", &Batch::name),
                           key("started", &Batch::started),
                           key("notes", &Batch::notes),
                           key("based_on", &Batch::based_on),
                           key("second_heating_of", &Batch::second_heating_of),
                           key("blank", &Batch::blank),
                       }),
        section("charge", &Batch::charge,
                {
                    key("resin_g", &Charge::resin_g, positive),
                    key("water_g", &Charge::water_g, positive),
                    key("specific_heat_j_per_g_k", &Charge::specific_heat_j_per_g_k, positive),
                    key("boiling_c", &Charge::boiling_c, temperature),
                    key("boil_g_per_s_k", &Charge::boil_g_per_s_k, not_negative),
                }),
        list("ingredient", &Batch::ingredients,
             {
                 required(key("substance", &Ingredient::substance)),
                 required(key("mass_g", &Ingredient::mass_g, not_negative)),
                 key("mass_fraction", &Ingredient::mass_fraction, fraction),
             }),
        section("vessel", &Batch::vessel,
                {
                    key("name", &Vessel::name),
                    key("heat_capacity_j_per_k", &Vessel::heat_capacity_j_per_k, not_negative),
                    key("loss_coefficient_w_per_k", &Vessel::loss_coefficient_w_per_k, not_negative),
                    key("loss_exponent", &Vessel::loss_exponent, fraction),
                }),
        section("surroundings", &Batch::surroundings,
                {
                    key("temperature_c", &Surroundings::temperature_c, temperature),
                    key("channel", &Surroundings::channel),
                    key("pressure_kpa", &Surroundings::pressure_kpa, positive),
                }),
        section("dose", &Batch::dose,
                {
                    key("substance", &Dose::substance),
                    key("role", &Dose::role),
                    key("total_g", &Dose::total_g, not_negative),
                    key("rate_g_per_min", &Dose::rate_g_per_min, positive),
                    key("start_s", &Dose::start_s),
                    key("specific_heat_j_per_g_k", &Dose::specific_heat_j_per_g_k, positive),
                    key("temperature_c", &Dose::temperature_c, temperature),
                    key("density_g_per_ml", &Dose::density_g_per_ml, positive),
                    key("drops_per_ml", &Dose::drops_per_ml, positive),
                    list("step", &Dose::steps,
                         {
                             required(key("time_s", &DoseStep::time_s)),
                             required(key("amount", &DoseStep::amount, not_negative)),
                             key("unit", &DoseStep::unit),
                             key("over_s", &DoseStep::over_s, not_negative),
                         }),
                }),
        section("heater", &Batch::heater,
                {
                    key("power_w", &Heater::power_w, not_negative),
                    key("channel", &Heater::channel),
                }),
        section("cure", &Batch::cure,
                {
                    key("heat_of_reaction_j_per_g", &CureReference::heat_of_reaction_j_per_g, positive),
                    key("start_degree", &CureReference::start_degree, fraction),
                    key("gel_degree", &CureReference::gel_degree, fraction),
                    key("c_stage_degree", &CureReference::c_stage_degree, fraction),
                }),
        section<Batch>("weighed",
                       {
                           key("loss_g", &Batch::weighed_loss_g, not_negative),
                       }),
        section<Batch>("sensor",
                       {
                           key("lag_s", &Batch::sensor_lag_s, not_negative),
                       }),
        list("probe", &Batch::probes,
             {
                 required(key("channel", &Probe::channel)),
                 key("role", &Probe::role),
                 key("lag_s", &Probe::lag_s, not_negative),
                 key("lag_u_s", &Probe::lag_u_s, not_negative),
                 key("lag_done", &Probe::lag_done),
                 section("calibration", &Probe::calibration, calibrationFormat()),
             }),
        section("uncertainty", &Batch::uncertainty,
                {
                    key("specific_heat_rel", &StatedUncertainty::specific_heat_rel, not_negative),
                    key("vessel_j_per_k", &StatedUncertainty::vessel_j_per_k, not_negative),
                    key("surroundings_k", &StatedUncertainty::surroundings_k, not_negative),
                    key("lag_s", &StatedUncertainty::lag_s, not_negative),
                    key("heat_of_reaction_rel", &StatedUncertainty::heat_of_reaction_rel, not_negative),
                    key("thermocouple_k", &StatedUncertainty::thermocouple_k, not_negative),
                }),
        section<Batch>("channels",
                       {
                           key("pot", &Batch::pot_channel),
                       }),
        list("event", &Batch::events,
             {
                 required(key("time_s", &Event::time_s)),
                 required(key("kind", &Event::kind)),
                 key("text", &Event::text),
             }),
        section("outcome", &Batch::outcome,
                {
                    key("density_g_per_ml", &Outcome::density_g_per_ml, positive),
                    key("weighed_dry_g", &Outcome::weighed_dry_g, positive),
                    key("weighed_in_water_g", &Outcome::weighed_in_water_g, not_negative),
                    key("void_percent", &Outcome::void_percent, percent),
                    key("foam", &Outcome::foam),
                    key("solvent_test", &Outcome::solvent_test),
                    key("hardness", &Outcome::hardness),
                    key("photo", &Outcome::photo),
                }),
    };
}

} // namespace

Schema<ProbeCalibration> calibrationFormat() {
    return {
        key("ice_reading_c", &ProbeCalibration::ice_reading_c, temperature),
        key("ice_u_k", &ProbeCalibration::ice_u_k, not_negative),
        key("ice_done", &ProbeCalibration::ice_done),
        key("boiling_reading_c", &ProbeCalibration::boiling_reading_c, temperature),
        key("boiling_u_k", &ProbeCalibration::boiling_u_k, not_negative),
        key("boiling_pressure_kpa", &ProbeCalibration::boiling_pressure_kpa, positive),
        key("boiling_done", &ProbeCalibration::boiling_done),
    };
}

const Schema<Batch>& batchFormat() {
    static const Schema<Batch> format = describeFormat();
    return format;
}

const std::vector<KnownKey>& knownKeys() {
    static const std::vector<KnownKey> keys = [] {
        std::vector<KnownKey> all;
        listKeys(batchFormat(), Where{}, all);
        return all;
    }();
    return keys;
}

} // namespace potwatch::batch
