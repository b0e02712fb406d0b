// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/kinds.h"

#include <algorithm>
#include <cmath>
#include <limits>

// Other resins than the acid-dosed one, and other ways of reading a pot.
namespace potwatch::wild {
namespace {

// A resin that is mixed at the start and holds no water.
void undosed(Draft& draft) {
    draft.pot.doses.clear();
    draft.pot.boiling_c = std::numeric_limits<double>::infinity();
    draft.pot.reactions[0].catalyst_order = 0.0;
    draft.plain_start = false;
    draft.longest_s = 12000.0;
}

// Near 100 °C with nothing in it that boils.
void roundedTop(Draft& draft, Random& /*random*/) {
    draft.pot.boiling_c = std::numeric_limits<double>::infinity();
    draft.peak_low_c = 97.6;
    draft.peak_high_c = 104.5;
}

void slowEpoxy(Draft& draft, Random& random) {
    undosed(draft);
    draft.pot.specific_heat_j_per_g_k = random.between(1.6, 2.0);
    const double k2_per_s = random.logBetween(0.0005, 0.008);
    draft.pot.reactions[0] = {.heat_j_per_g = random.between(330.0, 450.0),
                              .k1_per_s = k2_per_s * random.logBetween(0.03, 0.3),
                              .e1_j_per_mol = random.between(55000.0, 65000.0),
                              .k2_per_s = k2_per_s,
                              .e2_j_per_mol = random.between(45000.0, 58000.0),
                              .m = random.between(0.6, 1.1),
                              .n = random.between(1.3, 2.0)};
    draft.peak_low_c = 110.0;
    draft.peak_high_c = 230.0;
}

// Held by an inhibitor, then fast.
void gelThenSnap(Draft& draft, Random& random) {
    undosed(draft);
    const double k2_per_s = random.logBetween(0.005, 0.04);
    draft.pot.reactions[0] = {.heat_j_per_g = random.between(200.0, 320.0),
                              .k1_per_s = k2_per_s * random.logBetween(0.02, 0.1),
                              .e1_j_per_mol = random.between(60000.0, 75000.0),
                              .k2_per_s = k2_per_s,
                              .e2_j_per_mol = random.between(45000.0, 60000.0),
                              .m = random.between(0.7, 1.0),
                              .n = random.between(1.2, 1.9),
                              .inhibitor_per_s = random.logBetween(0.01, 0.05)};
    draft.peak_low_c = 70.0;
    draft.peak_high_c = 180.0;
}

void resole(Draft& draft, Random& random) {
    undosed(draft);
    draft.pot.reactions[0] = {.heat_j_per_g = random.between(200.0, 380.0),
                              .k1_per_s = random.logBetween(1e-5, 3e-4),
                              .e1_j_per_mol = random.between(70000.0, 95000.0),
                              .k2_per_s = 0.0,
                              .n = random.between(1.0, 1.5)};
    draft.belief.room_recorded = true;
    draft.peak_high_c = 210.0;
}

// Off or cooling at the end in half of them.
void resoleInOven(Draft& draft, Random& random) {
    resole(draft, random);
    const double room_c = draft.pot.room.front().temperature_c;
    const double hot_c = random.between(80.0, 130.0);
    const double up_s = 60.0 * (hot_c - room_c) / random.between(1.0, 5.0);
    const double off_s = up_s + random.between(2500.0, 6000.0);
    draft.pot.room = {{0.0, room_c}, {300.0, room_c}, {300.0 + up_s, hot_c}, {off_s, hot_c}};
    draft.longest_s = std::round(off_s);
    if (random.chance(0.5)) {
        draft.pot.room.push_back({off_s + random.between(1000.0, 2500.0), room_c + 5.0});
        draft.longest_s = std::round(draft.pot.room.back().time_s + 1500.0);
    }
    draft.pot.room_swing_k = random.between(0.0, 2.0);
    draft.pot.room_swing_s = random.between(200.0, 600.0);
    draft.cut_s = draft.longest_s;
    draft.peak_low_c = hot_c + 8.0;
}

void resoleInBath(Draft& draft, Random& random) {
    resole(draft, random);
    const double bath_c = random.between(60.0, 90.0);
    draft.pot.room = {{0.0, bath_c}};
    draft.pot.room_swing_k = random.between(0.0, 0.4);
    draft.pot.stretches.front().loss_w_per_k *= random.between(1.0, 2.5);
    draft.peak_low_c = bath_c + 8.0;
    draft.longest_s = 9000.0;
    draft.cut_s = draft.longest_s;
}

void cutWhenDone(Draft& draft, const std::vector<Moment>& history, Random& random) {
    const Moment& peak = peakOf(history);
    const double over_k = peak.pot_c - peak.room_c;
    const double part = random.between(0.05, 0.3);
    const auto done = std::find_if(history.begin(), history.end(), [&](const Moment& now) {
        return now.time_s > peak.time_s && now.pot_c < now.room_c + part * over_k;
    });
    draft.cut_s = done == history.end() ? draft.longest_s : done->time_s;
}

void hoursAndCool(Draft& draft, Random& random) {
    undosed(draft);
    Pot& pot = draft.pot;
    pot.resin_g = random.between(15.0, 70.0);
    pot.vessel.heat_capacity_j_per_k = pot.resin_g * random.between(0.2, 0.6);
    const double capacity_j_per_k = pot.resin_g * pot.specific_heat_j_per_g_k + pot.vessel.heat_capacity_j_per_k;
    pot.stretches.front().loss_w_per_k = capacity_j_per_k / random.logBetween(600.0, 1800.0);
    const double k2_per_s = random.logBetween(5e-5, 6e-4);
    pot.reactions[0] = {.heat_j_per_g = random.between(250.0, 450.0),
                        .k1_per_s = k2_per_s * random.logBetween(0.1, 1.0),
                        .e1_j_per_mol = random.between(50000.0, 65000.0),
                        .k2_per_s = k2_per_s,
                        .e2_j_per_mol = random.between(45000.0, 60000.0),
                        .m = random.between(0.6, 1.0),
                        .n = random.between(1.2, 2.0)};
    draft.longest_s = 3600.0 * random.whole(8, 20);
    draft.cut_s = draft.longest_s;
    draft.probe.interval_s = random.chance(0.5) ? 10.0 : 30.0;
    draft.peak_low_c = pot.start_c + 2.0;
    draft.peak_high_c = pot.start_c + 14.0;
}

void gapsAndSpikes(Draft& draft, Random& random) {
    draft.probe.interval_s = random.between(0.3, 2.0);
    draft.probe.jitter_s = 0.1 * draft.probe.interval_s;
    draft.probe.spikes_per_reading = random.between(0.0005, 0.005);
}

void loseStretches(Draft& draft, const std::vector<Moment>& history, Random& random) {
    const double peak_s = peakOf(history).time_s;
    for (int i = random.whole(1, 3); i > 0; --i) {
        draft.probe.gaps.push_back({random.between(0.1, 2.0) * peak_s, random.between(15.0, 90.0)});
    }
}

void undersampled(Draft& draft, Random& random) {
    const double intervals[]{20.0, 30.0, 60.0};
    draft.probe.interval_s = intervals[random.whole(0, 2)];
}

void rounded(Draft& draft, Random& random) {
    const double steps[]{0.1, 0.25, 0.5, 1.0};
    draft.probe.step_k = steps[random.whole(0, 3)];
    draft.probe.noise_k = 0.02;
}

void noisy(Draft& draft, Random& random) {
    draft.probe.noise_k = random.between(0.3, 0.8);
    draft.probe.step_k = 0.1;
    draft.probe.interval_s = random.between(0.5, 2.0);
}

} // namespace

const std::vector<Kind>& resinKinds() {
    static const std::vector<Kind> kinds{{"slow-epoxy", slowEpoxy},
                                         {"gel-then-snap", gelThenSnap},
                                         {"resole-oven", resoleInOven},
                                         {"resole-bath", resoleInBath, cutWhenDone},
                                         {"hours-and-cool", hoursAndCool},
                                         {"gaps-and-spikes", gapsAndSpikes, loseStretches},
                                         {"undersampled", undersampled},
                                         {"rounded", rounded},
                                         {"noisy", noisy},
                                         {"rounded-top", roundedTop}};
    return kinds;
}

} // namespace potwatch::wild
