// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/watch/live_dose.h"

#include <optional>

namespace potwatch::watch {

// Between what bounds the pot has reacted, and where the rest could take it, from the temperature alone.
class LiveBalance {
public:
    // The pot's and the surroundings' temperature at that time; surroundings_c empty = not known (then, unless the
    // batch states it, the pot's own temperature at the start stands in).
    void add(double time_s, double temperature_c, std::optional<double> surroundings_c, const Batch& batch);

    // Highest degree of cure that the warming so far allows: start degree + (C (T - T0) + m_dosed c_dose (T - T_dose) +
    // loss) / (m_r H). The loss is the stated one, otherwise that of a pot that cools with a time constant of no less
    // than 100 s (as in heat::balance), or none where warmer surroundings would have warmed it, so that never too
    // little counts as reacted; a heater's heat counts as the cure's but for a stated constant power. Empty where mass,
    // specific heat, vessel or heat of reaction are not stated, or a heater's channel is. Source: first law for an open
    // pot at constant pressure, as in analysis/heat/pot.h.
    [[nodiscard]] std::optional<double> reactedShareHigh(const Batch& batch, const LiveDose& dose) const;

    // Lowest degree of cure that the warming so far proves: as above, but where the loss is not stated that of a pot
    // that loses nothing, or is warmed that fast by warmer surroundings; and what has once been reached stays.
    [[nodiscard]] std::optional<double> reactedShareLow(const Batch& batch, const LiveDose& dose) const;

    // Share of the whole cure that could still react with what is in the pot, at the least: all of the rest as soon as
    // there is a catalyst, of a reactant what is dosed and has not reacted. Empty where mtsrLowC is.
    [[nodiscard]] std::optional<double> unreactedShareLow(const Batch& batch, const LiveDose& dose) const;

    // Temperature that the pot would reach at the least if dosing and cooling failed now [°C]: MTSR of
    // forecast::mtsrC with that share reacted. Empty as above, or where nothing is known to be dosed.
    [[nodiscard]] std::optional<double> mtsrLowC(const Batch& batch, const LiveDose& dose) const;

    // The same at the most, with reactedShareLow [°C]. Where nothing is to be dosed all of the resin can react.
    [[nodiscard]] std::optional<double> mtsrHighC(const Batch& batch, const LiveDose& dose) const;

    // How far the pot has warmed since dosing began [K]; empty before.
    [[nodiscard]] std::optional<double> warmedK() const { return warmed_k_; }
    void setDosing(DosePhase phase);

    // Charge, vessel and what is dosed; 0 where one of them is not stated.
    [[nodiscard]] double heatCapacityJPerK(const Batch& batch, const LiveDose& dose) const;

    [[nodiscard]] double surroundingsC() const { return surroundings_c_; }

private:
    enum class Bound { low, high };
    [[nodiscard]] std::optional<double> reactedShare(const Batch& batch, const LiveDose& dose, Bound bound) const;
    [[nodiscard]] double heaterJ(const Batch& batch) const; // what a stated constant power has put in

    std::optional<double> start_c_;
    std::optional<double> time_s_;
    double start_s_ = 0.0;
    double temperature_c_ = 0.0;
    double highest_c_ = 0.0; // while the pot had not been warmed by its surroundings
    double surroundings_c_ = 0.0;
    double loss_k_s_ = 0.0; // integral of (T - Te) (|T - Te| / 20 K)^x dt
    std::optional<double> dosing_from_c_;
    std::optional<double> warmed_k_;
};

} // namespace potwatch::watch
