// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/useful_stop.h"

#include "analysis/forecast/cure_law.h"
#include "analysis/forecast/pot_model.h"
#include "analysis/heat/dose.h"

#include <algorithm>
#include <span>

namespace potwatch::watch {

namespace {

constexpr double longest_dose_s = 4.0 * 3600.0; // of a dose without a stated total
constexpr double looked_ahead_s = 3.0 * 3600.0; // after the dose: by then a pot that reacts at all has peaked
constexpr int halvings = 12;

// The forecast's steps may pass over a short peak, so it keeps account itself: above the limit a trace of water leaves,
// too little to cool the pot.
constexpr double account_g_per_s_k = 1e-3;
constexpr double counted_g = 1e-6;
constexpr double account_water_g = 1.0; // far more than counts

// The pot from now on. What is dosed already is in its heat capacity and, as a portion without weight on the
// temperature, in its catalyst.
std::optional<forecast::PotModel> modelOf(const Batch& batch, const Kinetics& kinetics, const DosedPot& pot) {
    const Charge& charge = batch.charge;
    if (!charge.resin_g || !charge.specific_heat_j_per_g_k || !batch.vessel.heat_capacity_j_per_k ||
        !batch.vessel.loss_coefficient_w_per_k || !batch.dose || batch.dose->role != DoseRole::catalyst) {
        return std::nullopt;
    }
    const double dose_j_per_g_k = heat::specificHeatJPerGK(*batch.dose);
    const double dose_c = batch.dose->temperature_c.value_or(pot.surroundings_c);
    const double pot_j_per_k = *charge.resin_g * *charge.specific_heat_j_per_g_k + *batch.vessel.heat_capacity_j_per_k;
    // The first portion comes cold: the pot starts by so much warmer that the mixture is at the present temperature.
    const double start_c =
        pot.temperature_c + pot.dosed_g * dose_j_per_g_k * (pot.temperature_c - dose_c) / pot_j_per_k;
    return forecast::PotModel{.resin_g = *charge.resin_g,
                              .specific_heat_j_per_g_k = *charge.specific_heat_j_per_g_k,
                              .vessel_j_per_k = *batch.vessel.heat_capacity_j_per_k,
                              .loss_coefficient_w_per_k = *batch.vessel.loss_coefficient_w_per_k,
                              .loss_exponent = batch.vessel.loss_exponent.value_or(0.0),
                              .surroundings_c = pot.surroundings_c,
                              .heater_w = batch.heater.power_w.value_or(0.0),
                              .start_c = start_c,
                              .law = forecast::lawOf(kinetics),
                              .heat_of_reaction_j_per_g = kinetics.heat_of_reaction_j_per_g,
                              .start_degree = pot.degree,
                              .doses = {},
                              .dose_specific_heat_j_per_g_k = dose_j_per_g_k,
                              .dose_c = dose_c,
                              .boiling_c = pot.limit_c,
                              .boil_g_per_s_k = account_g_per_s_k,
                              .water_g = account_water_g};
}

} // namespace

std::optional<UsefulStop> latestUsefulStop(const Batch& batch, const Kinetics& kinetics, const DosedPot& pot) {
    const std::optional<forecast::PotModel> model = modelOf(batch, kinetics, pot);
    if (!model || !(pot.rate_g_per_s > 0.0)) {
        return std::nullopt;
    }
    const double dose_end_s =
        pot.total_g ? std::max(0.0, *pot.total_g - pot.dosed_g) / pot.rate_g_per_s : longest_dose_s;
    bool failed = false;
    const auto keepsBelow = [&](double stop_s) {
        forecast::PotModel frozen = *model;
        frozen.doses.push_back({.start_s = 0.0, .over_s = 0.0, .amount_g = pot.dosed_g});
        if (stop_s > 0.0) {
            frozen.doses.push_back({.start_s = 0.0, .over_s = stop_s, .amount_g = pot.rate_g_per_s * stop_s});
        }
        const double end_s = stop_s + looked_ahead_s;
        const auto states = forecast::simulatePot(frozen, std::span(&end_s, 1));
        failed = failed || !states;
        return states && states->back().evaporated_g < counted_g;
    };
    if (!keepsBelow(0.0)) {
        return failed ? std::nullopt : std::optional(UsefulStop{.too_late = true, .latest_s = {}});
    }
    if (keepsBelow(dose_end_s)) {
        return UsefulStop{};
    }
    double good_s = 0.0;
    double bad_s = dose_end_s;
    for (int k = 0; k < halvings && !failed; ++k) {
        const double middle_s = (good_s + bad_s) / 2.0;
        (keepsBelow(middle_s) ? good_s : bad_s) = middle_s;
    }
    return failed ? std::nullopt : std::optional(UsefulStop{.too_late = false, .latest_s = pot.now_s + good_s});
}

} // namespace potwatch::watch
