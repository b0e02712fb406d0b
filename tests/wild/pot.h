// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <limits>
#include <optional>
#include <vector>

// A pot on a bench as it really is, for tests of an analysis that knows a simpler one. Nothing here comes from the
// analysis; the physics is written anew.
namespace potwatch::wild {

// dx/dt = (catalyst / reference)^order (k1 + k2 x^m) (1 - x)^n / (1 + 1000 z), with Arrhenius k given at 320 K. An
// inhibitor z falls from 1 by its own first-order law; without one z = 0.
struct Reaction {
    double heat_j_per_g = 0.0; // of resin; 0: no such reaction
    double k1_per_s = 0.0;
    double e1_j_per_mol = 60000.0;
    double k2_per_s = 0.0;
    double e2_j_per_mol = 50000.0;
    double m = 0.6;
    double n = 1.4;
    double catalyst_order = 0.0; // 0: needs no dose
    double catalyst_reference_g_per_g = 0.05;
    double inhibitor_per_s = 0.0; // at 320 K; 0: none
    double inhibitor_j_per_mol = 80000.0;
};

struct DoseStep {
    double start_s = 0.0;
    double over_s = 0.0;
    double amount_g = 0.0;
};

// A vessel, or the mould after pouring. Without `contact_w_per_k` it has the temperature of the contents.
struct Vessel {
    double heat_capacity_j_per_k = 0.0;
    double contact_w_per_k = 0.0;
    double wall_share = 1.0;       // of the loss, from the wall; the rest from the contents' own surface
    std::optional<double> start_c; // unset: as the contents
};

// What the bench is from a moment on, until the next.
struct Stretch {
    double from_s = 0.0;
    double loss_w_per_k = 0.0; // loss = this (T - Te) (|T - Te| / 20 K)^exponent
    double loss_exponent = 0.0;
    double power_w = 0.0; // a heater or a stirrer, into the contents
    bool on_plate = true;
    double plate_w = 0.0;               // what the plate's own heater draws
    std::optional<double> bath_c;       // in place of the room, for a quench
    std::optional<Vessel> other_vessel; // poured
};

// A hot plate with its own mass. Without capacity there is none.
struct Plate {
    double heat_capacity_j_per_k = 0.0;
    double contact_w_per_k = 0.0;
    double loss_w_per_k = 0.0;
};

struct RoomPoint {
    double time_s = 0.0;
    double temperature_c = 0.0;
};

struct Pot {
    double resin_g = 0.0;
    double specific_heat_j_per_g_k = 2.0;  // of fresh resin at 25 °C
    double specific_heat_per_k = 0.0;      // its relative change by kelvin
    double specific_heat_per_degree = 0.0; // and from fresh to cured
    Vessel vessel;
    Plate plate;
    std::vector<Stretch> stretches; // by time, the first at 0
    std::vector<RoomPoint> room;    // straight in between
    double room_swing_k = 0.0;
    double room_swing_s = 3600.0;
    double start_c = 20.0;
    std::array<Reaction, 2> reactions;
    std::vector<DoseStep> doses;
    double dose_specific_heat_j_per_g_k = 3.0;
    double dose_c = 20.0;
    double boiling_c = std::numeric_limits<double>::infinity();
    double boil_g_per_s_k = 0.05;
    double evaporation_g_per_s_kpa = 0.0; // below boiling, by the water's pressure over that of the room
    double water_g = 0.0;                 // that can leave
};

// The truth at one moment. The energies count from the start: stored + lost + carried = released + brought, where
// `brought` is heaters, stirrer and the dose's own warmth.
struct Moment {
    double time_s = 0.0;
    double pot_c = 0.0;
    double wall_c = 0.0;
    double plate_c = 0.0;
    double room_c = 0.0; // or the bath
    double degree = 0.0;
    double dosed_g = 0.0;
    double evaporated_g = 0.0;
    double capacity_j_per_k = 0.0; // contents and vessel
    double released_j = 0.0;
    double lost_j = 0.0;
    double carried_j = 0.0;
    double brought_j = 0.0;
    double stored_j = 0.0; // by the trapezoid rule over the temperatures, not by the balance
};

double roomAt(const Pot& pot, double time_s);
double dosedAt(const std::vector<DoseStep>& doses, double time_s); // g
double latentHeat(double temperature_c);                           // J/g
double waterPressure(double temperature_c);                        // kPa
double totalHeat(const Pot& pot);                                  // J of all its reactions

// Every `step_s` up to `end_s`. Changes in between begin exactly at their moment.
std::vector<Moment> simulate(const Pot& pot, double end_s, double step_s);

} // namespace potwatch::wild
