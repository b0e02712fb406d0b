// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/pot.h"

#include "tests/wild/runge_kutta.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace potwatch::wild {
namespace {

constexpr double gas_j_per_mol_k = 8.314462618;
constexpr double zero_c_in_k = 273.15;
constexpr double water_j_per_g_k = 4.19;

enum Part { pot_c, wall_c, plate_c, first, second, inhibitor, evaporated, released, lost, carried, brought, parts };
using State = std::array<double, parts>;

double arrhenius(double at_320_per_s, double energy_j_per_mol, double temperature_c) {
    return at_320_per_s *
           std::exp(-energy_j_per_mol / gas_j_per_mol_k * (1.0 / (temperature_c + zero_c_in_k) - 1.0 / 320.0));
}

double extentRate(const Reaction& reaction, double extent, double left, double catalyst, double temperature_c) {
    const double x = std::clamp(extent, 0.0, 1.0);
    const double k1 = arrhenius(reaction.k1_per_s, reaction.e1_j_per_mol, temperature_c);
    const double k2 = arrhenius(reaction.k2_per_s, reaction.e2_j_per_mol, temperature_c);
    const double own = (k1 + k2 * std::pow(x, reaction.m)) * std::pow(1.0 - x, reaction.n);
    const double held = reaction.inhibitor_per_s > 0.0 ? 1.0 + 1000.0 * left : 1.0;
    const double by_catalyst = reaction.catalyst_order > 0.0
                                   ? std::pow(catalyst / reaction.catalyst_reference_g_per_g, reaction.catalyst_order)
                                   : 1.0;
    return by_catalyst * own / held;
}

double lossOf(double coefficient_w_per_k, double exponent, double over_k) {
    return coefficient_w_per_k * over_k * std::pow(std::abs(over_k) / 20.0, exponent);
}

// The bench within one stretch, as rates of its state.
class Bench {
public:
    Bench(const Pot& pot, const Stretch& stretch, const Vessel& vessel)
        : pot_(pot)
        , stretch_(stretch)
        , vessel_(vessel) {}

    [[nodiscard]] bool lumped() const { return vessel_.contact_w_per_k <= 0.0; }
    [[nodiscard]] double surroundings(double time_s) const { return stretch_.bath_c.value_or(roomAt(pot_, time_s)); }

    [[nodiscard]] double degree(const State& now) const {
        const double all = pot_.reactions[0].heat_j_per_g + pot_.reactions[1].heat_j_per_g;
        return (now[first] * pot_.reactions[0].heat_j_per_g + now[second] * pot_.reactions[1].heat_j_per_g) / all;
    }
    [[nodiscard]] double contents(double time_s, const State& now) const { // J/K
        const double specific = pot_.specific_heat_j_per_g_k * (1.0 + pot_.specific_heat_per_k * (now[pot_c] - 25.0) +
                                                                pot_.specific_heat_per_degree * degree(now));
        return pot_.resin_g * specific + dosedAt(pot_.doses, time_s) * pot_.dose_specific_heat_j_per_g_k -
               now[evaporated] * water_j_per_g_k;
    }
    [[nodiscard]] double node(double time_s, const State& now) const { // J/K of what has the contents' temperature
        return contents(time_s, now) + (lumped() ? vessel_.heat_capacity_j_per_k : 0.0);
    }
    [[nodiscard]] double vesselCapacity() const { return vessel_.heat_capacity_j_per_k; }

    State operator()(double time_s, const State& now) const {
        State rate{};
        react(time_s, now, rate);
        const double steam_g_per_s = steam(time_s, now);
        rate[evaporated] = steam_g_per_s;
        rate[carried] = steam_g_per_s * latentHeat(now[pot_c]);

        const double room = surroundings(time_s);
        const double wall_share = lumped() ? 0.0 : vessel_.wall_share;
        const double own_loss =
            (1.0 - wall_share) * lossOf(stretch_.loss_w_per_k, stretch_.loss_exponent, now[pot_c] - room);
        const double wall_loss = wall_share * lossOf(stretch_.loss_w_per_k, stretch_.loss_exponent, now[wall_c] - room);
        const double into_wall = vessel_.contact_w_per_k * (now[pot_c] - now[wall_c]);
        const double dose_w = doseRate(time_s) * pot_.dose_specific_heat_j_per_g_k * (pot_.dose_c - now[pot_c]);
        const double from_plate = fromPlate(now);
        rate[lost] = own_loss + wall_loss;
        rate[brought] = stretch_.power_w + dose_w;
        double into_pot = rate[released] + rate[brought] - rate[carried] - own_loss;
        if (lumped()) {
            into_pot += from_plate;
        } else {
            into_pot -= into_wall;
            rate[wall_c] = (into_wall + from_plate - wall_loss) / vessel_.heat_capacity_j_per_k;
        }
        rate[pot_c] = into_pot / node(time_s, now);
        if (pot_.plate.heat_capacity_j_per_k > 0.0) {
            const double plate_loss = pot_.plate.loss_w_per_k * (now[plate_c] - roomAt(pot_, time_s));
            rate[plate_c] = (stretch_.plate_w - plate_loss - from_plate) / pot_.plate.heat_capacity_j_per_k;
            rate[lost] += plate_loss;
            rate[brought] += stretch_.plate_w;
        }
        if (lumped()) {
            rate[wall_c] = rate[pot_c];
        }
        return rate;
    }

private:
    void react(double time_s, const State& now, State& rate) const {
        const double catalyst = dosedAt(pot_.doses, time_s) / pot_.resin_g;
        for (std::size_t i = 0; i < pot_.reactions.size(); ++i) {
            const Reaction& reaction = pot_.reactions[i];
            if (reaction.heat_j_per_g > 0.0) {
                rate[first + i] = extentRate(reaction, now[first + i], now[inhibitor], catalyst, now[pot_c]);
                rate[released] += pot_.resin_g * reaction.heat_j_per_g * rate[first + i];
            }
        }
        const Reaction& held = pot_.reactions[0];
        rate[inhibitor] = -arrhenius(held.inhibitor_per_s, held.inhibitor_j_per_mol, now[pot_c]) * now[inhibitor];
    }
    [[nodiscard]] double steam(double time_s, const State& now) const { // g/s
        const double left = std::clamp((pot_.water_g - now[evaporated]) / 0.1, 0.0, 1.0);
        const double below = pot_.evaporation_g_per_s_kpa *
                             std::max(waterPressure(now[pot_c]) - 0.5 * waterPressure(roomAt(pot_, time_s)), 0.0);
        const double boiling = pot_.boil_g_per_s_k * std::max(now[pot_c] - pot_.boiling_c, 0.0);
        return left * (below + boiling);
    }
    [[nodiscard]] double doseRate(double time_s) const { // g/s
        double rate = 0.0;
        for (const DoseStep& step : pot_.doses) {
            if (time_s >= step.start_s && time_s < step.start_s + step.over_s) {
                rate += step.amount_g / step.over_s;
            }
        }
        return rate;
    }
    [[nodiscard]] double fromPlate(const State& now) const { // W
        return stretch_.on_plate ? pot_.plate.contact_w_per_k * (now[plate_c] - now[lumped() ? pot_c : wall_c]) : 0.0;
    }

    const Pot& pot_;
    const Stretch& stretch_;
    const Vessel& vessel_;
};

std::vector<double> changes(const Pot& pot) {
    std::vector<double> times_s;
    for (const Stretch& stretch : pot.stretches) {
        times_s.push_back(stretch.from_s);
    }
    for (const DoseStep& step : pot.doses) {
        times_s.push_back(step.start_s);
        times_s.push_back(step.start_s + step.over_s);
    }
    for (const RoomPoint& point : pot.room) {
        times_s.push_back(point.time_s);
    }
    std::sort(times_s.begin(), times_s.end());
    return times_s;
}

// All that goes on while the pot is carried from moment to moment.
class Walk {
public:
    explicit Walk(const Pot& pot)
        : pot_(pot)
        , changes_(changes(pot))
        , vessel_(pot.vessel) {
        state_[pot_c] = pot.start_c;
        state_[wall_c] = vessel_.start_c.value_or(pot.start_c);
        state_[plate_c] = roomAt(pot, 0.0);
        state_[inhibitor] = 1.0;
    }
    void to(double end_s) {
        while (time_s_ < end_s) {
            const auto next = std::upper_bound(changes_.begin(), changes_.end(), time_s_);
            step(next == changes_.end() ? end_s : std::min(*next, end_s));
        }
    }
    [[nodiscard]] Moment moment() const {
        const Bench bench(pot_, stretch(), vessel_);
        return {.time_s = time_s_,
                .pot_c = state_[pot_c],
                .wall_c = state_[wall_c],
                .plate_c = state_[plate_c],
                .room_c = bench.surroundings(time_s_),
                .degree = bench.degree(state_),
                .dosed_g = dosedAt(pot_.doses, time_s_),
                .evaporated_g = state_[evaporated],
                .capacity_j_per_k = bench.contents(time_s_, state_) + bench.vesselCapacity(),
                .released_j = state_[released],
                .lost_j = state_[lost],
                .carried_j = state_[carried],
                .brought_j = state_[brought],
                .stored_j = stored_j_};
    }

private:
    [[nodiscard]] const Stretch& stretch() const {
        const auto after = std::upper_bound(pot_.stretches.begin(), pot_.stretches.end(), time_s_,
                                            [](double time_s, const Stretch& s) { return time_s < s.from_s; });
        return *(after - 1);
    }
    void step(double to_s) {
        const Stretch& here = stretch();
        if (here.other_vessel && here.from_s == time_s_) {
            vessel_ = *here.other_vessel;
            state_[wall_c] = vessel_.start_c.value_or(state_[pot_c]);
        }
        const Bench bench(pot_, here, vessel_);
        const State before = state_;
        // Half a microsecond within, so that no stage stands on a change's other side.
        advance(state_, time_s_ + 5e-7, to_s - 5e-7, bench);
        const double node_j_per_k = 0.5 * (bench.node(time_s_, before) + bench.node(to_s, state_));
        stored_j_ += node_j_per_k * (state_[pot_c] - before[pot_c]);
        stored_j_ += pot_.plate.heat_capacity_j_per_k * (state_[plate_c] - before[plate_c]);
        if (!bench.lumped()) {
            stored_j_ += bench.vesselCapacity() * (state_[wall_c] - before[wall_c]);
        }
        time_s_ = to_s;
    }

    const Pot& pot_;
    std::vector<double> changes_;
    Vessel vessel_;
    State state_{};
    double time_s_ = 0.0;
    double stored_j_ = 0.0;
};

} // namespace

double roomAt(const Pot& pot, double time_s) {
    const double swing =
        pot.room_swing_k == 0.0 ? 0.0 : pot.room_swing_k * std::sin(2.0 * std::numbers::pi * time_s / pot.room_swing_s);
    const auto after = std::upper_bound(pot.room.begin(), pot.room.end(), time_s,
                                        [](double t, const RoomPoint& point) { return t < point.time_s; });
    if (after == pot.room.begin()) {
        return pot.room.front().temperature_c + swing;
    }
    const RoomPoint& before = *(after - 1);
    if (after == pot.room.end()) {
        return before.temperature_c + swing;
    }
    const double part = (time_s - before.time_s) / (after->time_s - before.time_s);
    return before.temperature_c + part * (after->temperature_c - before.temperature_c) + swing;
}

double dosedAt(const std::vector<DoseStep>& doses, double time_s) {
    double sum_g = 0.0;
    for (const DoseStep& step : doses) {
        if (time_s > step.start_s) {
            sum_g += step.amount_g * std::min((time_s - step.start_s) / step.over_s, 1.0);
        }
    }
    return sum_g;
}

// Source: straight line through the steam table's 2501 J/g at 0 °C and 2257 J/g at 100 °C (IAPWS-IF97), within 0.3 %.
double latentHeat(double temperature_c) {
    return 2501.0 - 2.44 * temperature_c;
}

// Source: the Magnus form of WMO-No. 8, annex 4.B; within 3 % up to 100 °C.
double waterPressure(double temperature_c) {
    return 0.6112 * std::exp(17.62 * temperature_c / (243.12 + temperature_c));
}

double totalHeat(const Pot& pot) {
    return pot.resin_g * (pot.reactions[0].heat_j_per_g + pot.reactions[1].heat_j_per_g);
}

std::vector<Moment> simulate(const Pot& pot, double end_s, double step_s) {
    Walk walk(pot);
    std::vector<Moment> moments{walk.moment()};
    for (int i = 1; i * step_s <= end_s + 1e-9; ++i) {
        walk.to(i * step_s);
        moments.push_back(walk.moment());
    }
    return moments;
}

} // namespace potwatch::wild
