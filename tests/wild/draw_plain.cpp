// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/kinds.h"

#include <algorithm>
#include <cmath>

namespace potwatch::wild {
namespace {

void drawProbe(Probe& probe, Random& random) {
    probe.lag_s = random.between(1.5, 11.0);
    probe.noise_k = random.logBetween(0.03, 0.2);
    const double steps[]{0.01, 0.1, 0.25};
    probe.step_k = steps[random.whole(0, 2)];
    const double intervals[]{0.2, 0.5, 1.0, 2.0, 5.0};
    probe.interval_s = intervals[random.whole(0, 4)];
}

} // namespace

void drawPlain(Draft& draft, Random& random) {
    Pot& pot = draft.pot;
    pot.resin_g = random.logBetween(50.0, 250.0);
    pot.specific_heat_j_per_g_k = random.between(1.8, 2.3);
    pot.vessel.heat_capacity_j_per_k = pot.resin_g * random.between(0.25, 0.6);
    const double capacity_j_per_k = pot.resin_g * pot.specific_heat_j_per_g_k + pot.vessel.heat_capacity_j_per_k;
    pot.stretches = {{.loss_w_per_k = capacity_j_per_k / random.logBetween(350.0, 1600.0),
                      .loss_exponent = random.between(0.0, 0.3)}};
    const double room_c = random.between(16.0, 27.0);
    pot.room = {{0.0, room_c}};
    pot.start_c = room_c + 0.3 * std::clamp(random.normal(), -2.0, 2.0);
    pot.dose_c = room_c;
    pot.boiling_c = random.between(99.5, 102.0);
    pot.boil_g_per_s_k = random.logBetween(0.02, 0.1);
    pot.water_g = 0.15 * pot.resin_g;
    const double k2_per_s = random.logBetween(0.001, 0.02);
    pot.reactions[0] = {.heat_j_per_g = random.between(150.0, 290.0),
                        .k1_per_s = k2_per_s * random.logBetween(0.01, 0.2),
                        .e1_j_per_mol = random.between(55000.0, 68000.0),
                        .k2_per_s = k2_per_s,
                        .e2_j_per_mol = random.between(44000.0, 58000.0),
                        .m = random.between(0.4, 0.9),
                        .n = random.between(1.1, 1.9),
                        .catalyst_order = random.between(0.8, 1.3)};
    pot.doses = {{.start_s = 60.0 * random.whole(1, 5),
                  .over_s = random.logBetween(90.0, 1500.0),
                  .amount_g = pot.resin_g * random.between(0.03, 0.08)}};
    draft.end_rise = random.between(0.15, 0.4);
    drawProbe(draft.probe, random);
}

const Moment& peakOf(const std::vector<Moment>& history) {
    return *std::max_element(history.begin(), history.end(),
                             [](const Moment& a, const Moment& b) { return a.pot_c < b.pot_c; });
}

} // namespace potwatch::wild
