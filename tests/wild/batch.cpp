// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/wild_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::wild {
namespace {

constexpr double specific_heat_rel = 0.03;
constexpr double vessel_j_per_k = 2.0;
constexpr double surroundings_k = 0.5;
constexpr double lag_s = 0.7;
constexpr double heat_of_reaction_rel = 0.05;

// Of the stated standard uncertainty, and never beyond twice.
double off(Random& random) {
    return std::clamp(random.normal(), -2.0, 2.0);
}

std::string charge(const Draft& draft, Random& random) {
    const Pot& pot = draft.pot;
    const double specific =
        pot.specific_heat_j_per_g_k *
        (1.0 + pot.specific_heat_per_k * (draft.belief.specific_heat_at_c - 25.0) + 0.5 * pot.specific_heat_per_degree);
    std::string text = fmt::format("[charge]\nresin_g = {}\nspecific_heat_j_per_g_k = {}\n", pot.resin_g,
                                   specific * (1.0 + specific_heat_rel * off(random)));
    if (std::isfinite(pot.boiling_c)) {
        text += fmt::format("boiling_c = {}\n", pot.boiling_c);
    }
    return text;
}

std::string bench(const Draft& draft, Random& random) {
    const Pot& pot = draft.pot;
    std::string text = fmt::format("[vessel]\nheat_capacity_j_per_k = {}\n",
                                   std::max(pot.vessel.heat_capacity_j_per_k + vessel_j_per_k * off(random), 1.0));
    if (draft.belief.loss_stated) {
        text += fmt::format("loss_coefficient_w_per_k = {}\nloss_exponent = {}\n",
                            pot.stretches.front().loss_w_per_k * (1.0 + 0.01 * off(random)),
                            pot.stretches.front().loss_exponent);
    }
    const double room_c = roomAt(pot, 0.0) + surroundings_k * off(random);
    if (draft.belief.room_recorded) {
        text += "[surroundings]\nchannel = \"air_c\"\n";
    } else if (draft.belief.room_stated) {
        text += fmt::format("[surroundings]\ntemperature_c = {}\n", room_c);
    }
    return text;
}

std::string dose(const Draft& draft) {
    const Pot& pot = draft.pot;
    if (pot.doses.empty()) {
        return "";
    }
    double total_g = 0.0;
    for (const DoseStep& step : pot.doses) {
        total_g += step.amount_g;
    }
    const double start_s = pot.doses.front().start_s;
    const double over_s = pot.doses.back().start_s + pot.doses.back().over_s - start_s;
    return fmt::format("[dose]\nsubstance = \"acid\"\nrole = \"catalyst\"\ntotal_g = {}\nrate_g_per_min = {}\n"
                       "start_s = {}\nspecific_heat_j_per_g_k = {}\ntemperature_c = {}\n",
                       total_g, total_g / over_s * 60.0, start_s, pot.dose_specific_heat_j_per_g_k, pot.dose_c);
}

std::string events(const Belief& belief) {
    std::string text;
    for (const Belief::Event& event : belief.events) {
        text += fmt::format("[[event]]\ntime_s = {}\nkind = \"{}\"\n", event.time_s, event.kind);
    }
    return text;
}

} // namespace

std::string batchOf(const Draft& draft, const Truth& truth, Random& random) {
    std::string text = "format = 1\n" + charge(draft, random) + bench(draft, random);
    text += fmt::format("[cure]\nheat_of_reaction_j_per_g = {}\n",
                        totalHeat(draft.pot) / draft.pot.resin_g * (1.0 + heat_of_reaction_rel * off(random)));
    text += fmt::format("[sensor]\nlag_s = {}\n",
                        std::max(draft.probe.lag_s + draft.probe.second_lag_s + lag_s * off(random), 0.3));
    text += fmt::format("[uncertainty]\nthermocouple_k = 0.0\nspecific_heat_rel = {}\nvessel_j_per_k = {}\n"
                        "surroundings_k = {}\nlag_s = {}\nheat_of_reaction_rel = {}\n",
                        specific_heat_rel, vessel_j_per_k, surroundings_k, lag_s, heat_of_reaction_rel);
    text += dose(draft) + events(draft.belief);
    if (draft.belief.heater_stated) {
        const auto heated = std::max_element(draft.pot.stretches.begin(), draft.pot.stretches.end(),
                                             [](const Stretch& a, const Stretch& b) { return a.power_w < b.power_w; });
        text += fmt::format("[heater]\npower_w = {}\n", heated->power_w);
    }
    if (draft.belief.weighed) {
        text += fmt::format("[weighed]\nloss_g = {}\n", std::max(truth.water_evaporated_g + 0.05 * off(random), 0.0));
    }
    return text;
}

} // namespace potwatch::wild
