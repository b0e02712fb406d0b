// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/stand_in.h"

#include "app/format/explanation.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

namespace potwatch::format {
namespace {

constexpr int shown_digits = 4;

// The uncertainty field that goes with an input.
struct Spread {
    std::string_view field;
    std::string_view input;
    bool relative = false;
};
constexpr std::array<Spread, 6> spreads{{{"uncertainty.specific_heat_rel", "specific heat of the resin", true},
                                         {"uncertainty.vessel_j_per_k", "heat capacity of the vessel"},
                                         {"uncertainty.surroundings_k", "surroundings"},
                                         {"uncertainty.surroundings_k", "surroundings (at the start)"},
                                         {"uncertainty.lag_s", "probe lag"},
                                         {"uncertainty.heat_of_reaction_rel", "heat of reaction", true}}};

std::string withUnit(const std::string& value, std::string_view unit) {
    return unit.empty() ? value : fmt::format("{} {}", value, unit);
}

StandIn ofInput(const Input& input) {
    const std::string value = numberText(input.value, shown_digits);
    const std::string from = input.from == "default"
                                 ? fmt::format("a default of {}", withUnit(value, input.unit))
                                 : fmt::format("{} from the {}", withUnit(value, input.unit),
                                               input.from == "measured" ? "measured channel" : oneLine(input.from));
    const std::string spread =
        input.u ? fmt::format(", with a standard uncertainty of {}",
                              withUnit(numberText(*input.u, 2), input.unit == "\u00b0C" ? "K" : input.unit))
                : std::string();
    return {.value = value, .sentence = fmt::format("Not stated; {} is used{}.", from, spread)};
}

std::optional<StandIn> ofSpread(std::string_view field, const Findings& findings) {
    for (const Spread& spread : spreads) {
        if (spread.field != field) {
            continue;
        }
        for (const Input& input : findings.inputs) {
            if (input.name != spread.input || !input.u || (spread.relative && input.value == 0.0)) {
                continue;
            }
            const std::string value = numberText(spread.relative ? *input.u / input.value : *input.u, 3);
            const std::string unit = spread.relative           ? std::string()
                                     : input.unit == "\u00b0C" ? std::string("K")
                                                               : input.unit;
            return StandIn{.value = value,
                           .sentence = fmt::format("Not stated; a default of {} is used.", withUnit(value, unit))};
        }
    }
    return std::nullopt;
}

StandIn found(const std::optional<Estimate>& estimate, Quantity quantity, const std::string& from) {
    if (!estimate) {
        return {.value = {}, .sentence = "Not stated, and not found in this run."};
    }
    return {.value = numberText(estimate->value, 3),
            .sentence = fmt::format("Not stated; {} is found{}{}.", estimateText(*estimate, quantity),
                                    from.empty() ? "" : ", from ", oneLine(from))};
}

} // namespace

StandIn standInFor(std::string_view field, const Findings& findings) {
    if (field == "vessel.loss_coefficient_w_per_k") {
        return found(findings.heat.loss_coefficient_w_per_k, Quantity::loss_coefficient, findings.heat.loss_from);
    }
    if (field == "vessel.loss_exponent") {
        return found(findings.heat.loss_exponent, Quantity::loss_exponent, findings.heat.loss_from);
    }
    if (field == "surroundings.pressure_kpa") {
        return {.value = "101.325", .sentence = "Not stated; a default of 101.325 kPa is used."};
    }
    if (field == "dose.temperature_c") {
        return {.value = {}, .sentence = "Not stated; the temperature of the surroundings is used."};
    }
    if (field == "cure.start_degree") {
        return {.value = "0", .sentence = "Not stated; a default of 0 is used: nothing had cured before."};
    }
    if (field == "cure.c_stage_degree") {
        return {.value = "0.95", .sentence = "Not stated; a default of 0.95 is used."};
    }
    if (field == "cure.heat_of_reaction_j_per_g" && findings.cure.reference_from == "this run itself") {
        return {.value = {},
                .sentence = "Not stated; this run's own heat stands in, so the final degree is 1 by construction."};
    }
    if (field == "uncertainty.thermocouple_k") {
        for (const Input& input : findings.inputs) {
            if (input.name == "thermocouple" && input.from != "batch file" && input.u) {
                const std::string value = numberText(*input.u, 2);
                return {.value = value,
                        .sentence = input.from == "calibration"
                                        ? fmt::format("The probe's calibration leaves {} K.", value)
                                        : "Not stated; the tolerance of class 2 (IEC 60584-1) stands in."};
            }
        }
        return {.value = {}, .sentence = "Not stated."};
    }
    if (auto spread = ofSpread(field, findings)) {
        return *spread;
    }
    for (const Input& input : findings.inputs) {
        if (input.from != "batch file" && fieldOfInput(input.name) == field) {
            return ofInput(input);
        }
    }
    return {.value = {}, .sentence = "Not stated."};
}

} // namespace potwatch::format
