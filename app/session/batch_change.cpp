// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/batch_change.h"

#include "app/format/number.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string_view>

namespace potwatch::session {
namespace {

using Number = std::optional<double>;

std::size_t decimalsOf(const std::string& text) {
    const std::size_t point = text.find('.');
    return point == std::string::npos ? 0 : text.size() - point - 1;
}

// Both with the digits of the one that has more: "0.50 to 0.28", not "0.5 to 0.28".
std::string fromTo(double before, double now) {
    const std::string a = format::numberText(before, 4);
    const std::string b = format::numberText(now, 4);
    const std::size_t decimals = std::max(decimalsOf(a), decimalsOf(b));
    if ((a + b).find('e') != std::string::npos) {
        return a + " to " + b;
    }
    return fmt::format("{:.{}f} to {:.{}f}", before, decimals, now, decimals);
}

class Changes {
public:
    // "80 to 100 g of resin"; "100 g of resin" where it was not stated before, "g of resin not stated" where it is no
    // longer.
    void number(const Number& before, const Number& now, std::string_view unit) {
        if (before == now) {
            return;
        }
        if (before && now) {
            found.push_back(fmt::format("{} {}", fromTo(*before, *now), unit));
        } else if (now) {
            found.push_back(fmt::format("{} {}", format::numberText(*now, 4), unit));
        } else {
            found.push_back(fmt::format("{} not stated", unit));
        }
    }

    // "in beaker 400".
    void word(const std::string& before, const std::string& now, std::string_view preposition) {
        if (before != now && !now.empty()) {
            found.push_back(fmt::format("{} {}", preposition, now));
        }
    }

    std::vector<std::string> found;
};

double totalOf(const std::vector<Ingredient>& ingredients, const std::string& substance) {
    double total_g = 0.0;
    for (const Ingredient& one : ingredients) {
        total_g += one.substance == substance ? one.mass_g : 0.0;
    }
    return total_g;
}

std::vector<std::string> substancesOf(const Batch& before, const Batch& now) {
    std::vector<std::string> names;
    for (const Batch* const batch : {&before, &now}) {
        for (const Ingredient& one : batch->ingredients) {
            if (std::find(names.begin(), names.end(), one.substance) == names.end()) {
                names.push_back(one.substance);
            }
        }
    }
    return names;
}

Number numberUnlessZero(double value) {
    return value == 0.0 ? Number() : Number(value);
}

void addDose(Changes& changes, const std::optional<Dose>& before, const std::optional<Dose>& now) {
    if (before == now) {
        return;
    }
    if (!now || !before) {
        changes.found.emplace_back(now ? "dosed" : "not dosed");
        return;
    }
    changes.number(before->rate_g_per_min, now->rate_g_per_min, "g/min");
    changes.number(before->total_g, now->total_g, "g dosed");
    changes.word(before->substance, now->substance, "dosed with");
    if (before->steps != now->steps) {
        changes.found.emplace_back("other dosing steps");
    }
    changes.number(before->start_s, now->start_s, "s to the dose");
    changes.number(before->temperature_c, now->temperature_c, "°C of the dose");
}

} // namespace

std::vector<std::string> batchChanges(const Batch& before, const Batch& now) {
    Changes changes;
    if (now.blank != before.blank) {
        changes.found.emplace_back(now.blank ? "a blank" : "no blank");
    }
    addDose(changes, before.dose, now.dose);
    changes.number(before.charge.resin_g, now.charge.resin_g, "g of resin");
    changes.number(before.charge.water_g, now.charge.water_g, "g of water");
    for (const std::string& substance : substancesOf(before, now)) {
        changes.number(numberUnlessZero(totalOf(before.ingredients, substance)),
                       numberUnlessZero(totalOf(now.ingredients, substance)), "g of " + substance);
    }
    changes.number(before.heater.power_w, now.heater.power_w, "W of heating");
    changes.word(before.vessel.name, now.vessel.name, "in");
    changes.number(before.surroundings.temperature_c, now.surroundings.temperature_c, "°C around it");
    changes.number(before.surroundings.pressure_kpa, now.surroundings.pressure_kpa, "kPa");
    // What is only known otherwise, not done otherwise.
    changes.number(before.charge.specific_heat_j_per_g_k, now.charge.specific_heat_j_per_g_k, "J/(g K)");
    changes.number(before.cure.heat_of_reaction_j_per_g, now.cure.heat_of_reaction_j_per_g, "J/g of reaction");
    changes.number(before.vessel.heat_capacity_j_per_k, now.vessel.heat_capacity_j_per_k, "J/K of the vessel");
    changes.number(before.sensor_lag_s, now.sensor_lag_s, "s of lag");
    return std::move(changes.found);
}

std::string batchChangeText(const Batch& before, const Batch& now) {
    const std::vector<std::string> changes = batchChanges(before, now);
    if (changes.empty()) {
        return {};
    }
    return changes.size() == 1 ? changes.front() : fmt::format("{}, {} more", changes.front(), changes.size() - 1);
}

} // namespace potwatch::session
