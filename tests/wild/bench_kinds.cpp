// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/kinds.h"

#include <algorithm>
#include <cmath>

// What is done to an acid-dosed pot, or happens to it.
namespace potwatch::wild {
namespace {

double capacityOf(const Pot& pot) {
    return pot.resin_g * pot.specific_heat_j_per_g_k + pot.vessel.heat_capacity_j_per_k;
}

double after(double time_s, double interval_s) {
    return std::ceil(time_s / interval_s) * interval_s;
}

// The pot as it is from that moment on; what the caller changes in it lasts until the next stretch.
Stretch& from(Draft& draft, double time_s, const char* event) {
    Stretch next = draft.pot.stretches.back();
    next.from_s = time_s;
    next.other_vessel.reset();
    draft.pot.stretches.push_back(next);
    if (event != nullptr) {
        draft.belief.events.push_back({time_s, event});
    }
    return draft.pot.stretches.back();
}

void doseFrom(Draft& draft, double start_s) {
    draft.pot.doses.front().start_s = start_s;
    draft.plain_start = false;
}

void heatOnPlate(Draft& draft, Random& random, bool marked) {
    Plate& plate = draft.pot.plate;
    plate = {.heat_capacity_j_per_k = random.logBetween(100.0, 500.0),
             .contact_w_per_k = random.logBetween(0.4, 2.0),
             .loss_w_per_k = random.between(0.2, 1.0)};
    const double off_s = std::round(random.between(200.0, 900.0));
    const double power_w = (random.between(15.0, 35.0) * (capacityOf(draft.pot) + plate.heat_capacity_j_per_k)) / off_s;
    from(draft, 30.0, marked ? "heat on" : nullptr).plate_w = power_w;
    from(draft, 30.0 + off_s, marked ? "heat off" : nullptr).plate_w = 0.0;
    doseFrom(draft, std::round(30.0 + off_s * random.between(0.7, 1.1)));
}

void plateMarked(Draft& draft, Random& random) {
    heatOnPlate(draft, random, true);
}

void plateUnmarked(Draft& draft, Random& random) {
    heatOnPlate(draft, random, false);
}

void offThePlate(Draft& draft, Random& random) {
    heatOnPlate(draft, random, true);
    from(draft, draft.pot.doses.front().start_s + std::round(random.between(60.0, 300.0)), "off the plate").on_plate =
        false;
}

void heaterStated(Draft& draft, Random& random) {
    const double over_s = std::round(random.between(150.0, 600.0));
    from(draft, 30.0, "heat on").power_w = random.between(10.0, 30.0) * capacityOf(draft.pot) / over_s;
    from(draft, 30.0 + over_s, "heat off").power_w = 0.0;
    doseFrom(draft, std::round(30.0 + over_s * random.between(0.8, 1.2)));
    draft.belief.heater_stated = true;
}

void evaporation(Draft& draft, Random& random) {
    draft.pot.evaporation_g_per_s_kpa =
        random.between(0.03, 0.15) * draft.pot.stretches.front().loss_w_per_k * 50.0 / 2350.0 / 30.0;
    draft.boiled_low_g = 0.01;
    draft.boiled_high_g = 10.0;
    draft.peak_low_c = 60.0;
    draft.belief.weighed = random.chance(0.3);
}

// The stirrer turned long before the start in half of them.
void stirringHeat(Draft& draft, Random& random) {
    Stretch& first = draft.pot.stretches.front();
    const double over_k = random.between(0.5, 4.0);
    first.power_w = first.loss_w_per_k * over_k * std::pow(over_k / 20.0, first.loss_exponent);
    if (random.chance(0.5)) {
        draft.pot.start_c = roomAt(draft.pot, 0.0) + over_k;
    }
}

void stirrerOff(Draft& draft, Random& random) {
    const DoseStep& dose = draft.pot.doses.front();
    Stretch& still = from(draft, std::round(dose.start_s + dose.over_s + random.between(30.0, 200.0)), "stirrer off");
    still.loss_w_per_k *= random.between(0.6, 0.9);
}

void wallNode(Draft& draft, Random& random) {
    draft.pot.vessel.contact_w_per_k = draft.pot.stretches.front().loss_w_per_k * random.logBetween(5.0, 25.0);
    draft.pot.vessel.wall_share = random.between(0.5, 0.9);
    draft.pot.vessel.heat_capacity_j_per_k *= random.between(1.0, 1.5);
}

void probeNearWall(Draft& draft, Random& random) {
    wallNode(draft, random);
    draft.pot.vessel.contact_w_per_k = draft.pot.stretches.front().loss_w_per_k * random.logBetween(15.0, 40.0);
    draft.probe.wall_share = random.between(0.1, 0.4);
}

void probeOfSecondOrder(Draft& draft, Random& random) {
    draft.probe.lag_s = random.between(2.0, 6.0);
    draft.probe.second_lag_s = draft.probe.lag_s * random.between(0.3, 1.0);
}

void specificHeatChanges(Draft& draft, Random& random) {
    draft.pot.specific_heat_per_k = random.between(0.0005, 0.0025);
    draft.pot.specific_heat_per_degree = random.between(-0.12, 0.03);
}

void roomDrifts(Draft& draft, Random& random, double most_k) {
    const double room_c = draft.pot.room.front().temperature_c;
    draft.pot.room.push_back({draft.longest_s, room_c + random.between(-most_k, most_k)});
    draft.pot.room_swing_k = random.between(0.0, 0.3);
    draft.pot.room_swing_s = random.between(600.0, 2400.0);
}

void driftRecorded(Draft& draft, Random& random) {
    roomDrifts(draft, random, 6.0);
    draft.belief.room_recorded = true;
}

void driftUnrecorded(Draft& draft, Random& random) {
    roomDrifts(draft, random, 3.0);
}

void lidOn(Draft& draft, const std::vector<Moment>& history, Random& random) {
    const Moment& peak = peakOf(history);
    const double begins_s = std::round(peak.time_s * random.between(0.3, 0.9));
    from(draft, begins_s, "lid on").loss_w_per_k *= random.between(0.45, 0.8);
    if (random.chance(0.6)) {
        from(draft, begins_s + std::round(random.between(120.0, 900.0)), "lid off").loss_w_per_k =
            draft.pot.stretches.front().loss_w_per_k;
    }
}

void poured(Draft& draft, const std::vector<Moment>& history, Random& random) {
    const Moment& peak = peakOf(history);
    Stretch& mould = from(draft, std::round(peak.time_s * random.between(0.6, 1.1)), "pour");
    mould.loss_w_per_k *= random.between(0.6, 2.5);
    mould.loss_exponent = random.between(0.0, 0.3);
    mould.other_vessel = Vessel{.heat_capacity_j_per_k = random.between(0.1, 0.5) * draft.pot.resin_g,
                                .contact_w_per_k = random.between(4.0, 12.0) * mould.loss_w_per_k,
                                .wall_share = 0.8,
                                .start_c = draft.pot.room.front().temperature_c};
    draft.peak_low_c = 35.0;
}

void quenched(Draft& draft, const std::vector<Moment>& history, Random& random) {
    const Moment& peak = peakOf(history);
    const bool before = random.chance(0.3);
    const double time_s = before ? peak.time_s * random.between(0.85, 0.99) : peak.time_s + random.between(30.0, 500.0);
    Stretch& water = from(draft, std::round(time_s), "quench");
    water.loss_w_per_k *= random.between(5.0, 15.0);
    water.loss_exponent = 0.0;
    water.bath_c = random.between(5.0, 15.0);
    draft.cut_s = after(time_s + random.between(200.0, 500.0), draft.probe.interval_s);
    draft.peak_low_c = 35.0;
}

// Two reactions of the same resin, each with its own activation.
void second(Draft& draft, double share, double second_j_per_mol, double slower) {
    Reaction& first = draft.pot.reactions[0];
    Reaction& other = draft.pot.reactions[1];
    other = first;
    other.heat_j_per_g = first.heat_j_per_g * share;
    first.heat_j_per_g *= 1.0 - share;
    other.e1_j_per_mol = second_j_per_mol;
    other.e2_j_per_mol = second_j_per_mol;
    other.k1_per_s = first.k1_per_s * slower;
    other.k2_per_s = first.k2_per_s * slower;
    draft.longest_s = 9000.0;
}

// The second starts itself, so that it comes when the first is over.
void lateSecond(Draft& draft, Random& random, double share) {
    second(draft, share, random.between(40000.0, 65000.0), 1.0);
    Reaction& other = draft.pot.reactions[1];
    other.k2_per_s = random.logBetween(0.003, 0.03);
    other.k1_per_s = other.k2_per_s * random.logBetween(1e-4, 1e-2);
    other.m = random.between(0.9, 1.3);
    other.n = random.between(1.0, 1.5);
    draft.pot.reactions[0].k1_per_s *= 5.0;
    draft.pot.doses.front().over_s = random.logBetween(60.0, 300.0);
}

// Whether a valley of at least 2 K lies between two tops, and which is the hotter.
struct Tops {
    bool two = false;
    bool second_hotter = false;
};
Tops topsOf(const std::vector<Moment>& history) {
    const Moment& peak = peakOf(history);
    double highest_c = history.front().pot_c;
    double lowest_since_c = highest_c;
    Tops tops;
    for (const Moment& now : history) {
        if (now.time_s >= peak.time_s) {
            break;
        }
        if (now.pot_c > highest_c) {
            highest_c = now.pot_c;
            lowest_since_c = highest_c;
        }
        lowest_since_c = std::min(lowest_since_c, now.pot_c);
        if (highest_c > history.front().pot_c + 5.0 && highest_c - lowest_since_c > 2.0) {
            tops = {true, true};
        }
    }
    lowest_since_c = peak.pot_c;
    for (const Moment& now : history) {
        if (now.time_s > peak.time_s) {
            lowest_since_c = std::min(lowest_since_c, now.pot_c);
            tops.two = tops.two || now.pot_c > lowest_since_c + 2.0;
        }
    }
    return tops;
}

void secondHotter(Draft& draft, Random& random) {
    lateSecond(draft, random, random.between(0.45, 0.75));
    draft.peak_low_c = 52.0;
}

void keepIfSecondHotter(Draft& draft, const std::vector<Moment>& history, Random& /*random*/) {
    const Tops tops = topsOf(history);
    if (!tops.two || !tops.second_hotter) {
        draft.peak_high_c = 0.0; // draw again
    }
}

void secondCooler(Draft& draft, Random& random) {
    lateSecond(draft, random, random.between(0.25, 0.5));
    draft.end_rise = 0.1;
}

void keepIfSecondCooler(Draft& draft, const std::vector<Moment>& history, Random& /*random*/) {
    const Tops tops = topsOf(history);
    if (!tops.two || tops.second_hotter) {
        draft.peak_high_c = 0.0;
    }
}

void twoReactions(Draft& draft, Random& random) {
    second(draft, random.between(0.2, 0.6), random.between(45000.0, 75000.0), random.logBetween(0.1, 1.5));
}

void boiled(Draft& draft, Random& random) {
    draft.pot.reactions[0].heat_j_per_g = random.between(220.0, 300.0);
    draft.peak_low_c = draft.pot.boiling_c + 0.1;
    draft.peak_high_c = 110.0;
    draft.boiled_low_g = 0.15;
    draft.boiled_high_g = 0.1 * draft.pot.resin_g;
}

void boiledWeighed(Draft& draft, Random& random) {
    boiled(draft, random);
    draft.belief.weighed = true;
}

void cutShort(Draft& draft, Random& random) {
    draft.pot.stretches.front().loss_exponent = 0.0;
    draft.belief.loss_stated = true;
    draft.cut_degree = random.between(0.5, 0.9);
}

void prewarmed(Draft& draft, Random& random) {
    draft.pot.start_c = random.between(33.0, 50.0);
    draft.peak_low_c = draft.pot.start_c + 15.0;
    draft.plain_start = false;
}

void prewarmedRoomUnstated(Draft& draft, Random& random) {
    prewarmed(draft, random);
    draft.belief.room_stated = false;
}

void dosedByHand(Draft& draft, Random& random) {
    const DoseStep all = draft.pot.doses.front();
    const int portions = random.whole(6, 30);
    std::vector<double> starts_s{all.start_s};
    for (int i = 1; i < portions; ++i) {
        starts_s.push_back(all.start_s + random.between(0.0, all.over_s));
    }
    std::sort(starts_s.begin(), starts_s.end());
    draft.pot.doses.clear();
    for (const double start_s : starts_s) {
        draft.pot.doses.push_back({start_s, 3.0, all.amount_g / portions});
    }
    draft.belief.by_hand = true;
}

void convection(Draft& draft, Random& random) {
    draft.pot.stretches.front().loss_exponent = random.between(0.25, 1.0 / 3.0);
}

void plain(Draft& /*draft*/, Random& /*random*/) {}

} // namespace

const std::vector<Kind>& benchKinds() {
    static const std::vector<Kind> kinds{{"plain", plain},
                                         {"plate-marked", plateMarked},
                                         {"plate-unmarked", plateUnmarked},
                                         {"off-the-plate", offThePlate},
                                         {"heater-stated", heaterStated},
                                         {"evaporation", evaporation},
                                         {"stirring-heat", stirringHeat},
                                         {"stirrer-off", stirrerOff},
                                         {"wall-node", wallNode},
                                         {"probe-near-wall", probeNearWall},
                                         {"probe-of-second-order", probeOfSecondOrder},
                                         {"specific-heat-changes", specificHeatChanges},
                                         {"drift-recorded", driftRecorded},
                                         {"drift-unrecorded", driftUnrecorded},
                                         {"lid", plain, lidOn},
                                         {"poured", plain, poured},
                                         {"quenched", plain, quenched},
                                         {"second-hotter", secondHotter, keepIfSecondHotter},
                                         {"second-cooler", secondCooler, keepIfSecondCooler},
                                         {"two-reactions", twoReactions},
                                         {"boiled-weighed", boiledWeighed},
                                         {"boiled-unweighed", boiled},
                                         {"cut-short", cutShort},
                                         {"prewarmed", prewarmed},
                                         {"prewarmed-room-unstated", prewarmedRoomUnstated},
                                         {"dosed-by-hand", dosedByHand},
                                         {"convection", convection}};
    return kinds;
}

} // namespace potwatch::wild
