// SPDX-License-Identifier: GPL-3.0-or-later
// What is stated of a run, as a table.
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/format/wall_time.h"
#include "app/report/report_parts.h"

#include <fmt/format.h>

#include <array>
#include <optional>
#include <utility>

namespace potwatch::report {
namespace {

using format::numberText;
using format::oneLine;

// The words of one row, parted by commas.
class Line {
public:
    void say(const std::string& words) {
        if (!words.empty()) {
            text_ += (text_.empty() ? "" : ", ") + words;
        }
    }
    // "115 g of resin": what stands before the figure, the figure, what stands after it.
    void number(std::string_view before, const std::optional<double>& value, std::string_view after) {
        if (value) {
            say(fmt::format("{}{}{}", before, numberText(*value), after));
        }
    }
    [[nodiscard]] const std::string& text() const { return text_; }

private:
    std::string text_;
};

std::string ingredientText(const Ingredient& ingredient) {
    std::string text = fmt::format("{} g {}", numberText(ingredient.mass_g), oneLine(ingredient.substance));
    if (ingredient.mass_fraction) {
        text += fmt::format(" of {} %", numberText(100.0 * *ingredient.mass_fraction));
    }
    return text;
}

std::string doseText(const Dose& dose) {
    constexpr std::array<std::string_view, 3> roles{"catalyst", "reactant", "diluent"};
    Line line;
    const std::string substance = oneLine(dose.substance);
    const std::string_view role = roles.at(static_cast<std::size_t>(dose.role));
    line.say(substance.empty() ? std::string(role) : fmt::format("{} ({})", substance, role));
    line.number("", dose.total_g, " g in all");
    if (dose.steps.empty()) {
        line.number("", dose.rate_g_per_min, " g/min");
    }
    line.number("from ", dose.start_s, " s");
    line.number("at ", dose.temperature_c, " \u00b0C");
    line.number("", dose.specific_heat_j_per_g_k, " J/(g K)");
    line.number("", dose.density_g_per_ml, " g/mL");
    line.number("", dose.drops_per_ml, " drops/mL");
    return line.text();
}

std::string stepsText(const std::vector<DoseStep>& steps) {
    Line line;
    for (const DoseStep& step : steps) {
        const std::string_view unit = step.unit == DoseUnit::gram         ? "g"
                                      : step.unit == DoseUnit::millilitre ? "mL"
                                      : step.amount == 1.0                ? "drop"
                                                                          : "drops";
        line.say(fmt::format("{} {} at {} s{}", numberText(step.amount), unit, numberText(step.time_s),
                             step.over_s > 0.0 ? fmt::format(" over {} s", numberText(step.over_s)) : std::string()));
    }
    return line.text();
}

std::string outcomeLine(const Outcome& outcome) {
    constexpr std::array<std::string_view, 3> foams{"no foam", "foam at the edge", "foam through"};
    constexpr std::array<std::string_view, 3> tests{"dissolves in the solvent", "swells in the solvent",
                                                    "insoluble in the solvent"};
    Line line;
    if (outcome.foam) {
        line.say(std::string(foams.at(static_cast<std::size_t>(*outcome.foam))));
    }
    line.number("", outcome.void_percent, " % voids");
    line.number("", outcome.density_g_per_ml, " g/mL");
    line.number("weighed dry ", outcome.weighed_dry_g, " g");
    line.number("in water ", outcome.weighed_in_water_g, " g");
    if (outcome.solvent_test) {
        line.say(std::string(tests.at(static_cast<std::size_t>(*outcome.solvent_test))));
    }
    line.say(outcome.hardness.empty() ? std::string() : "hardness " + oneLine(outcome.hardness));
    return line.text();
}

} // namespace

Table batchTable(const Batch& batch) {
    Table table{.name = "what was in the pot", .head = {"part", "as stated"}};
    const auto add = [&](std::string name, const std::string& words) {
        if (!words.empty()) {
            table.rows.push_back({std::move(name), words});
        }
    };
    add("started", batch.started ? format::wallTimeText(*batch.started) : std::string());
    add("based on", oneLine(batch.based_on));
    add("second heating of", oneLine(batch.second_heating_of));
    add("kind", batch.blank ? "blank: hot water, left to cool" : "");

    Line charge;
    charge.number("", batch.charge.resin_g, " g resin");
    charge.number("", batch.charge.water_g, " g water");
    charge.number("", batch.charge.specific_heat_j_per_g_k, " J/(g K)");
    charge.number("boils at ", batch.charge.boiling_c, " \u00b0C");
    charge.number("", batch.charge.boil_g_per_s_k, " g/(s K) above that");
    add("charge", charge.text());
    Line ingredients;
    for (const Ingredient& ingredient : batch.ingredients) {
        ingredients.say(ingredientText(ingredient));
    }
    add("ingredients", ingredients.text());
    if (batch.dose) {
        add("dose", doseText(*batch.dose));
        add("dosed by hand", stepsText(batch.dose->steps));
    }

    Line vessel;
    vessel.say(oneLine(batch.vessel.name));
    vessel.number("", batch.vessel.heat_capacity_j_per_k, " J/K");
    vessel.number("loses ", batch.vessel.loss_coefficient_w_per_k, " W/K");
    vessel.number("loss exponent ", batch.vessel.loss_exponent, "");
    add("vessel", vessel.text());
    Line surroundings;
    surroundings.number("", batch.surroundings.temperature_c, " \u00b0C");
    surroundings.say(batch.surroundings.channel.empty() ? std::string()
                                                        : "channel " + oneLine(batch.surroundings.channel));
    surroundings.number("", batch.surroundings.pressure_kpa, " kPa");
    add("surroundings", surroundings.text());
    Line heater;
    heater.number("", batch.heater.power_w, " W");
    heater.say(batch.heater.channel.empty() ? std::string() : "channel " + oneLine(batch.heater.channel));
    add("heater", heater.text());

    Line cure;
    cure.number("heat of reaction ", batch.cure.heat_of_reaction_j_per_g, " J/g");
    cure.number("degree at the start ", batch.cure.start_degree, "");
    cure.number("gel at degree ", batch.cure.gel_degree, "");
    cure.number("C stage from degree ", batch.cure.c_stage_degree, "");
    add("cure", cure.text());
    add("lost in weight", batch.weighed_loss_g ? numberText(*batch.weighed_loss_g) + " g" : std::string());
    add("outcome", outcomeLine(batch.outcome));
    return table;
}

} // namespace potwatch::report
