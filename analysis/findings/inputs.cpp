// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/inputs.h"

#include "analysis/chemistry/water.h"
#include "analysis/findings/prepare.h"
#include "analysis/landmarks/curves.h"
#include "analysis/signal/smooth_curve.h"
#include "analysis/thermocouple/calibration.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::findings {

namespace {

// What stands in where the batch file is silent. Each appears among the inputs as "default".
constexpr double default_lag_u_s = 0.7;
constexpr double unknown_lag_u_s = 2.0; // a probe whose lag nobody measured
constexpr double default_specific_heat_rel = 0.05;
// Uncured phenolic resin: between the cured resin (1.2 to 1.5) and liquid phenol (2.1).
// Source: sensible heat of phenolic resin, 1200 to 1477 J/(kg K); phenol liquid 2.123 J/(g K), NIST WebBook.
constexpr double unknown_specific_heat = 1.9;
constexpr double unknown_specific_heat_u = 0.25;
constexpr double default_vessel_rel = 0.1;
constexpr double unknown_vessel_share = 0.1; // of the charge's heat capacity
constexpr double default_surroundings_k = 0.5;
constexpr double default_heat_of_reaction_rel = 0.05;
constexpr double default_pressure_kpa = 101.325;
constexpr double stated_loss_log_u = 0.03;
constexpr double weighed_u_g = 0.05;

class Reader {
public:
    Reader(const Run& run, std::string pot_channel)
        : run_(run)
        , batch_(run.batch)
        , pot_channel_(std::move(pot_channel)) {}

    Result<Inputs> read() {
        if (auto probe = readProbe(); !probe) {
            return tl::unexpected(probe.error());
        }
        readDose();
        readMasses();
        if (auto boiling = readBoiling(); !boiling) {
            return tl::unexpected(boiling.error());
        }
        if (auto surroundings = readSurroundings(); !surroundings) {
            return tl::unexpected(surroundings.error());
        }
        if (auto heater = readHeater(); !heater) {
            return tl::unexpected(heater.error());
        }
        readLoss();
        readReference();
        return inputs_;
    }

private:
    static constexpr const char* stated = "batch file";
    static constexpr const char* assumed = "default";
    static constexpr const char* calibrated = "calibration";

    void note(const char* name, const char* unit, double value, std::optional<double> u, const char* from) {
        inputs_.stated.push_back({.name = name, .unit = unit, .value = value, .u = u, .from = from});
    }
    void warn(std::string text) { inputs_.warnings.push_back(std::move(text)); }

    const Probe* potProbe() const {
        const std::size_t pot = channelIndex(run_, pot_channel_);
        const auto mine = [&](const Probe& probe) { return channelIndex(run_, probe.channel) == pot; };
        const auto found = std::find_if(batch_.probes.begin(), batch_.probes.end(), mine);
        return found == batch_.probes.end() ? nullptr : &*found;
    }

    // What a probe states of itself outranks what is stated for all.
    Result<bool> readProbe() {
        const Probe* const probe = potProbe();
        const bool is_own = probe != nullptr && probe->lag_s;
        const std::optional<double> lag_s = is_own ? probe->lag_s : batch_.sensor_lag_s;
        const std::optional<double> own_u_s = is_own ? probe->lag_u_s : std::nullopt;
        const double u_s =
            own_u_s.value_or(batch_.uncertainty.lag_s.value_or(lag_s ? default_lag_u_s : unknown_lag_u_s));
        inputs_.lag_s = heat::Uncertain{lag_s.value_or(0.0), u_s};
        note("probe lag", "s", inputs_.lag_s.value, inputs_.lag_s.u, lag_s ? stated : assumed);
        if (!lag_s) {
            warn("the probe's lag is not stated: readings are taken as the resin's temperature, and a fast peak then "
                 "reads low; give [sensor] lag_s");
        }
        if (probe != nullptr && probe->calibration) {
            return readCalibration(*probe->calibration);
        }
        const std::optional<double>& stated_u_k = batch_.uncertainty.thermocouple_k;
        inputs_.thermocouple_u_k = stated_u_k.value_or(thermocouple::uncalibrated_u_k);
        note("thermocouple", "K", 0.0, inputs_.thermocouple_u_k, stated_u_k ? stated : assumed);
        if (!stated_u_k) {
            const double calibrated_k =
                coverage_factor_95 * std::hypot(thermocouple::unstated_ice_u_k, thermocouple::unstated_boiling_u_k);
            warn(fmt::format(
                "the thermocouple is not calibrated: the tolerance of class 2 (IEC 60584-1), {} K either way, "
                "is in the interval of every temperature; calibrated in ice and boiling water it is about "
                "{:.1f} K",
                thermocouple::class_2_tolerance_k, calibrated_k));
        }
        return true;
    }

    // The readings are corrected already: here only what is left to be unsure of, and the words for the report.
    Result<bool> readCalibration(const ProbeCalibration& calibration) {
        const Result<thermocouple::Correction> correction = thermocouple::correctionOf(calibration);
        if (!correction) {
            Fault fault = correction.error();
            fault.where = {.file = batch_.file, .channel = pot_channel_};
            return tl::unexpected(fault);
        }
        inputs_.thermocouple_u_k = correction->u_k;
        const auto corrected = [&](const char* name, std::optional<double> reading_c, std::optional<double> u_k,
                                   double unstated_u_k) {
            if (reading_c) {
                note(name, "K", correction->at(*reading_c) - *reading_c, u_k.value_or(unstated_u_k), calibrated);
            }
        };
        corrected("correction at 0 °C", calibration.ice_reading_c, calibration.ice_u_k, thermocouple::unstated_ice_u_k);
        corrected("correction at boiling", calibration.boiling_reading_c, calibration.boiling_u_k,
                  thermocouple::unstated_boiling_u_k);
        note("thermocouple", "K", 0.0, inputs_.thermocouple_u_k, calibrated);
        return true;
    }

    void readDose() {
        if (!batch_.dose) {
            return;
        }
        const Dose& dose = *batch_.dose;
        const double end_s = run_.time_s.empty() ? 0.0 : *std::max_element(run_.time_s.begin(), run_.time_s.end());
        const heat::DoseAsGiven given = heat::doseAsGiven(dose, batch_.events, end_s);
        inputs_.dose = given.course;
        if (!given.course) {
            warn("the dose does not count in the balance: " + given.missing);
            return;
        }
        inputs_.dose_specific_heat_j_per_g_k = heat::specificHeatJPerGK(dose);
        inputs_.dose_temperature_c = dose.temperature_c;
        note("dosed", "g", given.course->totalG(), std::nullopt, stated);
        note("specific heat of the dose", "J/(g K)", inputs_.dose_specific_heat_j_per_g_k, std::nullopt,
             dose.specific_heat_j_per_g_k ? stated : assumed);
    }

    void readMasses() {
        const Charge& charge = batch_.charge;
        std::optional<double> mass_g = batch_.blank ? charge.water_g : charge.resin_g;
        if (!mass_g && !batch_.blank && !batch_.ingredients.empty()) {
            mass_g = 0.0;
            for (const Ingredient& part : batch_.ingredients) {
                *mass_g += part.mass_g;
            }
        }
        if (!mass_g || !(*mass_g > 0.0)) {
            if (!batch_.file.empty()) {
                warn(batch_.blank ? "the water's mass is not stated: give [charge] water_g"
                                  : "the resin's mass is not stated, so heat is not given in joules: give [charge] "
                                    "resin_g");
            }
            return;
        }
        inputs_.masses_known = true;
        inputs_.resin_g = batch_.blank ? std::nullopt : mass_g;
        note(batch_.blank ? "water" : "resin", "g", *mass_g, std::nullopt, stated);
        if (batch_.blank) {
            const double specific_heat = chemistry::liquidSpecificHeatJPerGK(50.0);
            inputs_.charge_j_per_k = {*mass_g * specific_heat, 0.002 * *mass_g * specific_heat};
        } else {
            double specific_heat = charge.specific_heat_j_per_g_k.value_or(unknown_specific_heat);
            const double rel = charge.specific_heat_j_per_g_k
                                   ? batch_.uncertainty.specific_heat_rel.value_or(default_specific_heat_rel)
                                   : unknown_specific_heat_u / unknown_specific_heat;
            inputs_.charge_j_per_k = {*mass_g * specific_heat, *mass_g * specific_heat * rel};
            note("specific heat of the resin", "J/(g K)", specific_heat, specific_heat * rel,
                 charge.specific_heat_j_per_g_k ? stated : assumed);
            if (!charge.specific_heat_j_per_g_k) {
                warn("the resin's specific heat is not stated: 1.9 ± 0.25 J/(g K) stands in, and the heat's interval "
                     "is wide for it; give [charge] specific_heat_j_per_g_k");
            }
        }
        if (const auto& vessel = batch_.vessel.heat_capacity_j_per_k) {
            inputs_.vessel_j_per_k = {*vessel,
                                      batch_.uncertainty.vessel_j_per_k.value_or(default_vessel_rel * *vessel)};
            note("heat capacity of the vessel", "J/K", *vessel, inputs_.vessel_j_per_k.u, stated);
        } else {
            inputs_.vessel_j_per_k = {0.0, unknown_vessel_share * inputs_.charge_j_per_k.value};
            note("heat capacity of the vessel", "J/K", 0.0, inputs_.vessel_j_per_k.u, assumed);
            warn("the vessel's heat capacity is not stated, so its share of the heat is missing: give [vessel] "
                 "heat_capacity_j_per_k (mass in g times specific heat: glass 0.8, steel 0.5, aluminium 0.9 J/(g K))");
        }
    }

    Result<bool> readBoiling() {
        const double pressure_kpa = batch_.surroundings.pressure_kpa.value_or(default_pressure_kpa);
        const Result<double> water_c = chemistry::saturationTemperatureC(pressure_kpa);
        if (!water_c) {
            Fault fault = water_c.error();
            fault.where.file = batch_.file;
            return tl::unexpected(fault);
        }
        inputs_.boiling = {.temperature_c = batch_.charge.boiling_c.value_or(*water_c),
                           .stated = batch_.charge.boiling_c.has_value()};
        note("boiling point", "°C", inputs_.boiling.temperature_c, std::nullopt,
             inputs_.boiling.stated ? stated : assumed);
        inputs_.boil_g_per_s_k = batch_.charge.boil_g_per_s_k;
        inputs_.latent_heat_j_per_g = chemistry::latentHeatJPerG(inputs_.boiling.temperature_c);
        inputs_.weighed_loss_g = batch_.weighed_loss_g;
        if (batch_.weighed_loss_g) {
            note("weighed loss", "g", *batch_.weighed_loss_g, weighed_u_g, stated);
        }
        return true;
    }

    // A channel as a profile: smoothed, so that its noise does not enter.
    Result<heat::Profile> profileOf(const std::string& channel, const char* key) {
        const std::size_t i = channelIndex(run_, channel);
        if (i == run_.channels.size()) {
            return tl::unexpected(
                Fault{.kind = FaultKind::input,
                      .what = fmt::format("{} names a channel \"{}\" that the run does not have", key, channel),
                      .where = {.file = batch_.file},
                      .remedy = "look with `potwatch inspect` how the column is called"});
        }
        const Result<Prepared> prepared = prepare(run_, i);
        if (!prepared) {
            return tl::unexpected(prepared.error());
        }
        const signal::SmoothCurve curve =
            signal::smooth(prepared->view(), {.aim = signal::Aim::level, .noise = prepared->noise_k});
        return heat::Profile{.time_s = curve.time_s, .value = signal::atKnots(curve, 0.0)};
    }

    Result<bool> readSurroundings() {
        inputs_.surroundings_u_k = batch_.uncertainty.surroundings_k.value_or(default_surroundings_k);
        std::string channel = batch_.surroundings.channel;
        if (channel.empty() && !batch_.surroundings.temperature_c) {
            for (const Probe& probe : batch_.probes) {
                channel = probe.role == ProbeRole::air || probe.role == ProbeRole::oven ? probe.channel : channel;
            }
        }
        if (!channel.empty()) {
            const Result<heat::Profile> profile = profileOf(channel, "[surroundings] channel");
            if (!profile) {
                return tl::unexpected(profile.error());
            }
            inputs_.surroundings_c = *profile;
            note("surroundings (at the start)", "°C", profile->value.front(), inputs_.surroundings_u_k, "measured");
        } else if (batch_.surroundings.temperature_c) {
            inputs_.surroundings_c =
                heat::Profile{.time_s = {0.0, 1.0},
                              .value = {*batch_.surroundings.temperature_c, *batch_.surroundings.temperature_c}};
            note("surroundings", "°C", *batch_.surroundings.temperature_c, inputs_.surroundings_u_k, stated);
        }
        return true;
    }

    Result<bool> readHeater() {
        inputs_.heater_w = {.time_s = {0.0, 1.0}, .value = {0.0, 0.0}};
        if (!batch_.heater.channel.empty()) {
            const std::size_t i = channelIndex(run_, batch_.heater.channel);
            if (i == run_.channels.size()) {
                return tl::unexpected(profileOf(batch_.heater.channel, "[heater] channel").error());
            }
            // Power is switched, not smooth: taken as it stands.
            heat::Profile power;
            for (std::size_t k = 0; k < run_.time_s.size(); ++k) {
                const double value = run_.channels[i].values[k];
                if (std::isfinite(value) && (power.time_s.empty() || run_.time_s[k] > power.time_s.back())) {
                    power.time_s.push_back(run_.time_s[k]);
                    power.value.push_back(value);
                }
            }
            if (power.time_s.size() > 1) {
                inputs_.heater_w = std::move(power);
            }
        } else if (batch_.heater.power_w) {
            inputs_.heater_w = switched(*batch_.heater.power_w);
            note("heater", "W", *batch_.heater.power_w, std::nullopt, stated);
        }
        return true;
    }

    // A stated power counts between "heat on" and "heat off" where there are such events, else always.
    [[nodiscard]] heat::Profile switched(double power_w) const {
        std::vector<Event> events;
        for (const Event& event : batch_.events) {
            if (event.kind == "heat on" || event.kind == "heat off" || event.kind == "off the plate") {
                events.push_back(event);
            }
        }
        std::stable_sort(events.begin(), events.end(),
                         [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
        const bool on_at_first = events.empty() || events.front().kind != "heat on";
        heat::Profile profile{.time_s = {0.0}, .value = {on_at_first ? power_w : 0.0}};
        constexpr double switching_s = 1e-3;
        for (const Event& event : events) {
            const double now_w = event.kind == "heat on" ? power_w : 0.0;
            const double at_s = std::max(event.time_s, profile.time_s.back() + switching_s);
            profile.time_s.insert(profile.time_s.end(), {at_s, at_s + switching_s});
            profile.value.insert(profile.value.end(), {profile.value.back(), now_w});
        }
        if (profile.time_s.size() == 1) {
            profile.time_s.push_back(1.0);
            profile.value.push_back(power_w);
        }
        return profile;
    }

    void readLoss() {
        inputs_.exponent = {0.1, 0.15};
        const Vessel& vessel = batch_.vessel;
        if (vessel.loss_exponent) {
            inputs_.exponent = {*vessel.loss_exponent, 0.02};
            note("loss exponent", "", *vessel.loss_exponent, 0.02, stated);
        }
        if (vessel.loss_coefficient_w_per_k && inputs_.masses_known) {
            inputs_.stated_loss = heat::KnownLoss{.loss = {.coefficient_w_per_k = *vessel.loss_coefficient_w_per_k,
                                                           .exponent = vessel.loss_exponent.value_or(0.0)},
                                                  .log_u = stated_loss_log_u,
                                                  .exponent_u = vessel.loss_exponent ? 0.02 : 0.05,
                                                  .own_cooling_too = false};
            note("loss coefficient", "W/K", *vessel.loss_coefficient_w_per_k,
                 stated_loss_log_u * *vessel.loss_coefficient_w_per_k, stated);
        }
    }

    void readReference() {
        const CureReference& cure = batch_.cure;
        inputs_.start_degree = cure.start_degree.value_or(0.0);
        if (cure.heat_of_reaction_j_per_g) {
            const double rel = batch_.uncertainty.heat_of_reaction_rel.value_or(default_heat_of_reaction_rel);
            inputs_.heat_of_reaction_j_per_g =
                heat::Uncertain{*cure.heat_of_reaction_j_per_g, rel * *cure.heat_of_reaction_j_per_g};
            note("heat of reaction", "J/g", *cure.heat_of_reaction_j_per_g, rel * *cure.heat_of_reaction_j_per_g,
                 stated);
        }
        if (cure.start_degree) {
            note("degree of cure at the start", "", *cure.start_degree, std::nullopt, stated);
        }
    }

    const Run& run_;
    const Batch& batch_;
    std::string pot_channel_;
    Inputs inputs_;
};

} // namespace

Result<Inputs> inputsOf(const Run& run, const std::string& pot_channel) {
    return Reader(run, pot_channel).read();
}

} // namespace potwatch::findings
