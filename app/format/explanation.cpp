// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/explanation.h"

#include "app/format/kinetics_text.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <span>
#include <utility>

namespace potwatch::format {
namespace {

constexpr std::array<std::pair<std::string_view, std::string_view>, 15> input_fields{
    {{"probe lag", "sensor.lag_s"},
     {"thermocouple", "uncertainty.thermocouple_k"},
     {"dosed", "dose.total_g"},
     {"specific heat of the dose", "dose.specific_heat_j_per_g_k"},
     {"resin", "charge.resin_g"},
     {"water", "charge.water_g"},
     {"specific heat of the resin", "charge.specific_heat_j_per_g_k"},
     {"heat capacity of the vessel", "vessel.heat_capacity_j_per_k"},
     {"boiling point", "charge.boiling_c"},
     {"weighed loss", "weighed.loss_g"},
     {"surroundings", "surroundings.temperature_c"},
     {"heater", "heater.power_w"},
     {"loss exponent", "vessel.loss_exponent"},
     {"loss coefficient", "vessel.loss_coefficient_w_per_k"},
     {"heat of reaction", "cure.heat_of_reaction_j_per_g"}}};

using Names = std::span<const std::string_view>;

constexpr std::array<std::string_view, 4> of_temperature{"probe lag", "correction at 0 °C", "correction at boiling",
                                                         "thermocouple"};
constexpr std::array<std::string_view, 5> of_boiling{"boiling point", "probe lag", "correction at 0 °C",
                                                     "correction at boiling", "thermocouple"};
constexpr std::array<std::string_view, 12> of_heat{"resin",
                                                   "specific heat of the resin",
                                                   "heat capacity of the vessel",
                                                   "dosed",
                                                   "specific heat of the dose",
                                                   "surroundings",
                                                   "surroundings (at the start)",
                                                   "heater",
                                                   "weighed loss",
                                                   "probe lag",
                                                   "loss coefficient",
                                                   "loss exponent"};
constexpr std::array<std::string_view, 6> of_mtsr{
    "heat of reaction",         "resin", "specific heat of the resin", "heat capacity of the vessel", "dosed",
    "specific heat of the dose"};
constexpr std::array<std::string_view, 5> of_capacity{
    "resin", "specific heat of the resin", "heat capacity of the vessel", "dosed", "specific heat of the dose"};
constexpr std::array<std::string_view, 8> of_loss{"resin",
                                                  "specific heat of the resin",
                                                  "heat capacity of the vessel",
                                                  "surroundings",
                                                  "surroundings (at the start)",
                                                  "probe lag",
                                                  "loss coefficient",
                                                  "loss exponent"};
constexpr std::array<std::string_view, 2> of_water{"weighed loss", "boiling point"};
constexpr std::array<std::string_view, 3> of_degree{"heat of reaction", "resin", "degree of cure at the start"};

struct Words {
    std::string_view how;
    std::string_view inside;
    Names inputs;
};

// Source of the methods: the headers of analysis/landmarks, analysis/heat and analysis/cure.
Words wordsOf(FindingId id) {
    switch (id) {
    case FindingId::firstDeviation:
        return {"The first moment from which the rate stays above the baseline's by three standard uncertainties, all "
                "the way to the steepest point.",
                "", of_temperature};
    case FindingId::onset:
        return {
            "Where the line that the temperature followed before the rise meets the tangent at the steepest point: "
            "the extrapolated onset of ISO 11357-1, applied to temperature against time.",
            "onset time = steepest time \u2212 (temperature there \u2212 baseline) / (rate there \u2212 slope of the "
            "baseline)",
            of_temperature};
    case FindingId::steepest:
    case FindingId::fastestRise:
        return {"Where the resin's temperature rises fastest before the peak. The rate comes from local polynomials "
                "whose window follows the noise and the slope.",
                "", of_temperature};
    case FindingId::peak:
    case FindingId::otherExotherm:
        return {"The highest temperature of the resin: the reading smoothed and corrected for the probe's lag.",
                "resin = reading + lag \u00d7 rate of the reading", of_temperature};
    case FindingId::highestReading:
        return {
            "The highest value that the probe showed, as it was read. A probe follows the resin with its lag, so in "
            "a fast peak it shows less than the resin's peak.",
            "", of_temperature};
    case FindingId::boiling:
        return {
            "The stretch in which the temperature stands near the boiling point while the balance still shows heat. "
            "Passing near it with a rounded top is not boiling.",
            "", of_boiling};
    case FindingId::end:
        return {"Where the heat flow of the cure has fallen to 1 % of its highest, for good.", "", of_heat};
    case FindingId::heatReleased:
        return {
            "What the balance of the pot leaves to the cure: the heat that warmed pot and contents, with the heat "
            "lost to the surroundings and carried off by steam, less what a heater and the dose brought in.",
            "heat = heat capacity \u00d7 rise + loss coefficient \u00d7 degrees above the surroundings, summed over "
            "time + steam \u2212 heater",
            of_heat};
    case FindingId::heatPerGram:
        return {"The heat released, shared out over the resin.", "heat released / mass of resin", of_heat};
    case FindingId::lossCoefficient:
        return {"How much heat the pot loses for each kelvin above the surroundings, at 20 K above them.",
                "loss = coefficient \u00d7 (T \u2212 Te) \u00d7 (|T \u2212 Te| / 20 K)^exponent", of_loss};
    case FindingId::lossExponent:
        return {"How much faster than in proportion the loss grows with the temperature: 0 where stirred air carries "
                "the heat off, up to 1/3 in still air.",
                "loss = coefficient \u00d7 (T \u2212 Te) \u00d7 (|T \u2212 Te| / 20 K)^exponent", of_loss};
    case FindingId::surroundings:
        return {"The temperature that the pot loses heat to: as stated or measured, moved by what the pot itself says "
                "of it before dosing and at the end of its cooling, within what the stated uncertainty allows.",
                "", of_loss};
    case FindingId::heatCapacity:
        return {"What pot and contents hold for each kelvin with all that was dosed, before any water boils away.",
                "mass of resin \u00d7 its specific heat + vessel + dosed mass \u00d7 its specific heat", of_capacity};
    case FindingId::adiabaticRise:
        return {"How far the pot would have warmed if no heat were lost. What moves heat and heat capacity together "
                "hardly moves their quotient, so it is known better than either.",
                "heat released / heat capacity", of_heat};
    case FindingId::thermalInertia:
        return {"Phi: how much more heat the pot takes up than its contents alone. Without a vessel the rise would be "
                "phi times as high, and the cure faster.",
                "heat capacity of pot and contents / heat capacity of the contents", of_capacity};
    case FindingId::mtsr:
        return {
            "The highest temperature of the synthesis: what the pot could have reached if dosing and cooling had "
            "failed at the worst moment and nothing had boiled. As soon as there is catalyst all that has not cured "
            "can; of a reactant only what was dosed and has not reacted.",
            "temperature + share still to cure \u00d7 mass of resin \u00d7 heat of reaction / heat capacity", of_mtsr};
    case FindingId::residualHeat:
        return {
            "The heat that was still left in the piece of the first heating: what this heating's balance leaves to "
            "the cure. The more there is, the less far the first heating went.",
            "heat = heat capacity \u00d7 rise + loss coefficient \u00d7 degrees above the surroundings, summed over "
            "time + steam \u2212 heater",
            of_heat};
    case FindingId::evaporated:
        return {
            "The water that left as steam while the pot boiled: as weighed, or else the heat of the plateau that is "
            "neither stored nor lost.",
            "steam = (heat of the cure \u2212 stored \u2212 lost) / heat of evaporation", of_water};
    case FindingId::degree:
    case FindingId::degreeAt:
        return {"The heat released up to then against the heat of a full cure. The interval is kept between the start "
                "and 1.",
                "degree = degree at the start + heat released / (heat of reaction \u00d7 mass of resin)", of_degree};
    case FindingId::degreeBefore:
        return {
            "How far the piece was cured before this heating: the residual heat against the heat of a full cure, or "
            "against what both heatings released where no heat of reaction is stated.",
            "degree = 1 \u2212 residual heat / (heat of reaction \u00d7 mass of resin)", of_degree};
    case FindingId::referenceHeat:
        return {"The heat of a full cure, against which the heat released is a degree of cure.", "", of_degree};
    case FindingId::stage:
        return {"A before gel, B from gel on, C from the degree at which the piece no longer dissolves or melts. A "
                "solvent test outranks the degree.",
                "", of_degree};
    case FindingId::gelTime:
        return {"When the degree of cure passes the gel degree that the batch file states. The interval ends where the "
                "edges of the degree's own interval pass it.",
                "", of_degree};
    case FindingId::equivalentTime:
        return {"How long the resin would have to stay at that one temperature to cure as far as it did here, from the "
                "start of the dose to the end of the trace. Holds for a cure with one activation energy.",
                "time = sum over time of exp(\u2212E / R \u00d7 (1 / T \u2212 1 / T of reference))", of_temperature};
    case FindingId::samples:
        return {
            "The readings of the channel that were used, after spikes and impossible values were taken out and times "
            "put in order.",
            "",
            {}};
    case FindingId::interval:
        return {"The median of the times between one reading and the next.", "", {}};
    }
    return {};
}

ExplainedInput explained(const Input& input) {
    const std::string unit = input.unit.empty() ? std::string() : " " + oneLine(input.unit);
    const std::string spread_unit = input.unit == "\u00b0C" ? " K" : unit;
    return {.name = oneLine(input.name),
            .value = numberText(input.value) + unit,
            .u = input.u ? numberText(*input.u, 2) + spread_unit : std::string(),
            .from = oneLine(input.from),
            .field = std::string(fieldOfInput(input.name))};
}

void addFound(std::vector<ExplainedInput>& inputs, std::string name, const std::optional<Estimate>& estimate,
              Quantity quantity, std::string from = "this run") {
    if (estimate) {
        inputs.push_back({.name = std::move(name),
                          .value = valueText(estimate->value, quantity),
                          .u = uncertaintyText(*estimate, quantity),
                          .from = std::move(from),
                          .field = {}});
    }
}

// Findings that the finding itself rests on.
void addFindings(std::vector<ExplainedInput>& inputs, const Findings& found, FindingId id) {
    const HeatFindings& heat = found.heat;
    switch (id) {
    case FindingId::onset:
        if (found.landmarks.steepest) {
            addFound(inputs, "steepest, time", found.landmarks.steepest->time_s, Quantity::time);
            addFound(inputs, "steepest, rate", found.landmarks.steepest->rate_k_per_min, Quantity::rate);
        }
        break;
    case FindingId::heatReleased:
    case FindingId::residualHeat:
        addFound(inputs, "loss coefficient", heat.loss_coefficient_w_per_k, Quantity::loss_coefficient,
                 oneLine(heat.loss_from));
        addFound(inputs, "water boiled off", heat.evaporated_g, Quantity::mass);
        break;
    case FindingId::adiabaticRise:
        addFound(inputs, "heat capacity", heat.heat_capacity_j_per_k, Quantity::heat_capacity);
        [[fallthrough]];
    case FindingId::heatPerGram:
    case FindingId::degree:
    case FindingId::degreeBefore:
        addFound(inputs, "heat released", heat.released_j, Quantity::heat);
        break;
    case FindingId::stage:
    case FindingId::gelTime:
        addFound(inputs, "degree of cure", found.cure.final_degree, Quantity::degree);
        break;
    case FindingId::mtsr:
        addFound(inputs, "heat capacity", heat.heat_capacity_j_per_k, Quantity::heat_capacity);
        break;
    case FindingId::equivalentTime:
        if (found.cure.equivalent) {
            inputs.push_back({.name = "activation energy",
                              .value = energyText(found.cure.equivalent->e_kj_per_mol),
                              .u = {},
                              .from = "as asked for",
                              .field = {}});
        }
        break;
    default:
        break;
    }
}

bool isLoss(FindingId id) {
    return id == FindingId::lossCoefficient || id == FindingId::lossExponent;
}

std::string byHand(const Findings& found, const FindingRow& row) {
    if (!row.by_hand || !row.landmark) {
        return {};
    }
    if (row.id == FindingId::boiling) {
        const auto has = [&](LandmarkKind kind) {
            return std::find(found.by_hand.begin(), found.by_hand.end(), kind) != found.by_hand.end();
        };
        const bool start = has(LandmarkKind::boilStart);
        return fmt::format("{} put by hand", start && has(LandmarkKind::boilEnd) ? "start and end"
                                             : start                             ? "start"
                                                                                 : "end");
    }
    return row.time_s ? "put by hand at " + valueText(*row.time_s, Quantity::time) : "put by hand";
}

} // namespace

Method methodOf(FindingId id) {
    const Words words = wordsOf(id);
    return {.how = std::string(words.how), .inside = std::string(words.inside)};
}

Explanation explain(const Analysis& analysis, const FindingRow& row) {
    const Findings& found = analysis.findings;
    const Words words = wordsOf(row.id);
    Explanation told{.title = row.name + ": " + row.result + (row.second.empty() ? "" : ", " + row.second),
                     .how = std::string(words.how),
                     .inside = std::string(words.inside)};
    if (!row.intervals.empty()) {
        told.shown = "95 % interval: " + row.intervals + ".";
    }
    if (isLoss(row.id) && !found.heat.loss_from.empty()) {
        told.how += " Here it comes from: " + oneLine(found.heat.loss_from) + ".";
    }
    if (row.id == FindingId::degree && found.cure.reference_from == "this run itself") {
        told.how += " No heat of reaction is stated, so this run's own heat stands for it: the final degree is then 1 "
                    "by construction.";
    }
    for (const std::string_view name : words.inputs) {
        for (const Input& input : found.inputs) {
            if (input.name == name) {
                told.inputs.push_back(explained(input));
            }
        }
    }
    addFindings(told.inputs, found, row.id);
    told.by_hand = byHand(found, row);
    if (!told.by_hand.empty() && row.id != FindingId::boiling) {
        told.how = "It stands where it was put; its temperature is that of the curve there, with the curve's "
                   "uncertainty.";
        told.inside.clear();
    }
    return told;
}

std::string explanationText(const Explanation& explanation) {
    std::string text = explanation.title + "\n";
    const auto line = [&](const std::string& words) { text += words.empty() ? std::string() : words + "\n"; };
    line(explanation.by_hand);
    line(explanation.shown);
    line(explanation.how);
    line(explanation.inside);
    for (const ExplainedInput& input : explanation.inputs) {
        line(fmt::format("{}\t{}\t{}\t{}", input.name, input.value, input.u.empty() ? "not stated" : input.u,
                         input.from));
    }
    return text;
}

std::string_view fieldOfInput(std::string_view input_name) {
    for (const auto& [name, field] : input_fields) {
        if (name == input_name) {
            return field;
        }
    }
    return {};
}

std::string fieldOfWarning(std::string_view warning) {
    const auto isKey = [](char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '.'; };
    for (std::size_t open = warning.find('['); open != std::string_view::npos; open = warning.find('[', open + 1)) {
        const std::size_t close = warning.find("] ", open);
        if (close == std::string_view::npos || close == open + 1) {
            continue;
        }
        const std::string_view table = warning.substr(open + 1, close - open - 1);
        std::string_view key = warning.substr(close + 2);
        std::size_t length = 0;
        while (length < key.size() && isKey(key[length])) {
            ++length;
        }
        key = key.substr(0, length);
        // A key of the batch file holds an underscore where it holds a unit; plain words after a bracket are no key.
        if (std::all_of(table.begin(), table.end(), isKey) && key.find('_') != std::string_view::npos) {
            return fmt::format("{}.{}", table, key);
        }
    }
    return {};
}

} // namespace potwatch::format
