// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/live_balance.h"

#include "analysis/forecast/adiabatic.h"
#include "analysis/heat/dose.h"
#include "analysis/heat/pot.h"

#include <algorithm>
#include <cmath>

namespace potwatch::watch {

namespace {

constexpr double fastest_cooling_per_s = 1.0 / 100.0; // of a pot whose loss is not stated

struct Figures {
    double resin_g = 0.0;
    double pot_j_per_k = 0.0;  // charge and vessel
    double heat_j_per_g = 0.0; // of reaction
    double dose_j_per_g_k = 0.0;
};

std::optional<Figures> figuresOf(const Batch& batch) {
    const Charge& charge = batch.charge;
    const std::optional<double>& heat_j_per_g = batch.cure.heat_of_reaction_j_per_g;
    const std::optional<double>& vessel_j_per_k = batch.vessel.heat_capacity_j_per_k;
    if (!charge.resin_g || !charge.specific_heat_j_per_g_k || !heat_j_per_g || !vessel_j_per_k ||
        !batch.heater.channel.empty() || *charge.resin_g <= 0.0 || *heat_j_per_g <= 0.0) {
        return std::nullopt;
    }
    return Figures{.resin_g = *charge.resin_g,
                   .pot_j_per_k = *charge.resin_g * *charge.specific_heat_j_per_g_k + *vessel_j_per_k,
                   .heat_j_per_g = *heat_j_per_g,
                   .dose_j_per_g_k = batch.dose ? heat::specificHeatJPerGK(*batch.dose) : 0.0};
}

double degreeOf(double released_j, const Figures& figures, const Batch& batch) {
    const double share = released_j / (figures.resin_g * figures.heat_j_per_g);
    return std::clamp(batch.cure.start_degree.value_or(0.0) + std::max(share, 0.0), 0.0, 1.0);
}

double couldReachC(double temperature_c, double degree, const Figures& figures, const Batch& batch,
                   const LiveDose& dose) {
    const double dosed_g = dose.dosed_g.value_or(0.0);
    const forecast::AdiabaticPot pot{.law = {},
                                     .resin_g = figures.resin_g,
                                     .heat_of_reaction_j_per_g = figures.heat_j_per_g,
                                     .heat_capacity_j_per_k = figures.pot_j_per_k + dosed_g * figures.dose_j_per_g_k};
    return forecast::mtsrC(pot, {.role = batch.dose ? batch.dose->role : DoseRole::diluent, // none: all can react
                                 .temperature_c = temperature_c,
                                 .degree = degree,
                                 .catalyst_g_per_g = dosed_g / figures.resin_g,
                                 .dosed_share = dose.share.value_or(0.0)});
}

} // namespace

void LiveBalance::add(double time_s, double temperature_c, std::optional<double> surroundings_c, const Batch& batch) {
    if (!start_c_) {
        start_c_ = temperature_c;
        start_s_ = time_s;
        highest_c_ = temperature_c;
    }
    surroundings_c_ = surroundings_c.value_or(batch.surroundings.temperature_c.value_or(*start_c_));
    if (time_s_) {
        const double middle_k = (temperature_c + temperature_c_) / 2.0 - surroundings_c_;
        const double exponent = batch.vessel.loss_exponent.value_or(0.0);
        const double factor =
            exponent == 0.0 ? 1.0 : std::pow(std::abs(middle_k) / heat::reference_difference_k, exponent);
        loss_k_s_ += middle_k * factor * (time_s - *time_s_);
    }
    if (loss_k_s_ >= 0.0) { // otherwise the surroundings may have warmed it
        highest_c_ = std::max(highest_c_, temperature_c);
    }
    time_s_ = time_s;
    temperature_c_ = temperature_c;
    if (dosing_from_c_) {
        warmed_k_ = temperature_c - *dosing_from_c_;
    }
}

void LiveBalance::setDosing(DosePhase phase) {
    if (phase != DosePhase::during && phase != DosePhase::after) {
        dosing_from_c_.reset();
        warmed_k_.reset();
    } else if (!dosing_from_c_ && time_s_) {
        dosing_from_c_ = temperature_c_;
        warmed_k_ = 0.0;
    }
}

double LiveBalance::heaterJ(const Batch& batch) const {
    return batch.heater.power_w.value_or(0.0) * (*time_s_ - start_s_);
}

std::optional<double> LiveBalance::reactedShare(const Batch& batch, const LiveDose& dose, Bound bound) const {
    const std::optional<Figures> figures = figuresOf(batch);
    if (!figures || !time_s_) {
        return std::nullopt;
    }
    const double dosed_j_per_k = dose.dosed_g.value_or(0.0) * figures->dose_j_per_g_k;
    const double dose_c = batch.dose ? batch.dose->temperature_c.value_or(surroundings_c_) : surroundings_c_;
    double lost_j = 0.0;
    if (batch.vessel.loss_coefficient_w_per_k) {
        lost_j = *batch.vessel.loss_coefficient_w_per_k * loss_k_s_;
    } else { // between none and that of the fastest cooling, which warms where the surroundings are warmer
        const double fastest_j = (figures->pot_j_per_k + dosed_j_per_k) * fastest_cooling_per_s * loss_k_s_;
        lost_j = bound == Bound::high ? std::max(0.0, fastest_j) : std::min(0.0, fastest_j);
    }
    const double released_j = figures->pot_j_per_k * (temperature_c_ - *start_c_) +
                              dosed_j_per_k * (temperature_c_ - dose_c) + lost_j - heaterJ(batch);
    return degreeOf(released_j, *figures, batch);
}

double LiveBalance::heatCapacityJPerK(const Batch& batch, const LiveDose& dose) const {
    const std::optional<Figures> figures = figuresOf(batch);
    return figures ? figures->pot_j_per_k + dose.dosed_g.value_or(0.0) * figures->dose_j_per_g_k : 0.0;
}

std::optional<double> LiveBalance::reactedShareHigh(const Batch& batch, const LiveDose& dose) const {
    return reactedShare(batch, dose, Bound::high);
}

std::optional<double> LiveBalance::reactedShareLow(const Batch& batch, const LiveDose& dose) const {
    const std::optional<double> now = reactedShare(batch, dose, Bound::low);
    if (!now || batch.vessel.loss_coefficient_w_per_k) {
        return now;
    }
    const Figures figures = *figuresOf(batch);
    // What was dosed by then is left out: the proof is the weaker for it, never too strong.
    const double at_highest_j = figures.pot_j_per_k * (highest_c_ - *start_c_) - heaterJ(batch);
    return std::max(*now, degreeOf(at_highest_j, figures, batch));
}

std::optional<double> LiveBalance::unreactedShareLow(const Batch& batch, const LiveDose& dose) const {
    const std::optional<double> reacted = reactedShareHigh(batch, dose);
    if (!reacted || !dose.dosed_g || *dose.dosed_g <= 0.0 || !batch.dose ||
        (batch.dose->role == DoseRole::reactant && !dose.share)) {
        return std::nullopt;
    }
    return std::max(0.0, (batch.dose->role == DoseRole::reactant ? *dose.share : 1.0) - *reacted);
}

std::optional<double> LiveBalance::mtsrLowC(const Batch& batch, const LiveDose& dose) const {
    if (!unreactedShareLow(batch, dose)) {
        return std::nullopt;
    }
    return couldReachC(temperature_c_, *reactedShareHigh(batch, dose), *figuresOf(batch), batch, dose);
}

std::optional<double> LiveBalance::mtsrHighC(const Batch& batch, const LiveDose& dose) const {
    const std::optional<double> reacted = reactedShareLow(batch, dose);
    if (!reacted || (batch.dose && !unreactedShareLow(batch, dose))) {
        return std::nullopt;
    }
    return couldReachC(temperature_c_, *reacted, *figuresOf(batch), batch, dose);
}

} // namespace potwatch::watch
