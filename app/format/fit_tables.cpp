// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/fit_tables.h"

#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string_view>

namespace potwatch::format {
namespace {

std::string half(const Estimate& estimate) {
    return figureText(estimate.value, 0.5 * (estimate.high - estimate.low));
}

// "59.5 to 61.4"; powers of ten where a figure needs them.
std::string interval(const Estimate& estimate) {
    const double width = 0.5 * (estimate.high - estimate.low);
    const bool large = std::abs(estimate.value) >= 1e5 || std::abs(estimate.high) >= 1e6;
    return large ? fmt::format("{:.3g} to {:.3g}", estimate.low, estimate.high)
                 : figureText(estimate.low, 0.1 * width) + " to " + figureText(estimate.high, 0.1 * width);
}

std::string figure(const Estimate& estimate) {
    return std::abs(estimate.value) >= 1e5 ? fmt::format("{:.3g}", estimate.value) : half(estimate);
}

std::string symbolOf(std::string_view name) {
    static const std::map<std::string_view, std::string> symbols{{"a1_per_s", "A1"},
                                                                 {"e1_kj_per_mol", "E1"},
                                                                 {"a2_per_s", "A2"},
                                                                 {"e2_kj_per_mol", "E2"},
                                                                 {"m", "m"},
                                                                 {"n", "n"},
                                                                 {"ln k1", "k1"},
                                                                 {"ln k2", "k2"},
                                                                 {"catalyst_order", "catalyst order"},
                                                                 {"heat_of_reaction_j_per_g", "heat of reaction"},
                                                                 {"loss_coefficient_w_per_k", "heat loss"},
                                                                 {"loss_exponent", "loss exponent"}};
    const auto found = symbols.find(name);
    return found == symbols.end() ? std::string(name) : found->second;
}

std::string shortName(const std::string& name, std::size_t characters) {
    return shortened(oneLine(name), characters);
}

// Seconds up to two hours, hours up to two days, then days: a cold pot may keep for months.
struct TimeUnit {
    std::string_view name;
    double seconds = 1.0;
};

TimeUnit timeUnitOf(double time_s) {
    constexpr TimeUnit hour{.name = "h", .seconds = 3600.0};
    constexpr TimeUnit day{.name = "d", .seconds = 86400.0};
    return time_s >= 2.0 * day.seconds ? day : time_s >= 2.0 * hour.seconds ? hour : TimeUnit{.name = "s"};
}

std::string timeText(const std::optional<Estimate>& time_s) {
    // A time that hangs on what the data do not determine has an interval over many powers of ten.
    if (!time_s) {
        return "unknown";
    }
    if (time_s->high > 100.0 * time_s->low) {
        return "not determined";
    }
    const TimeUnit unit = timeUnitOf(time_s->value);
    const Estimate scaled{.value = time_s->value / unit.seconds,
                          .u = time_s->u / unit.seconds,
                          .low = time_s->low / unit.seconds,
                          .high = time_s->high / unit.seconds};
    return fmt::format("{} {}", estimateText(scaled, Quantity::plain), unit.name);
}

bool hasRuleOfThumb(const KineticFit& fit) {
    return std::any_of(fit.runs.begin(), fit.runs.end(),
                       [](const FittedRun& run) { return run.adiabatic.zero_order_s.has_value(); });
}

std::string timeText(double time_s) {
    const TimeUnit unit = timeUnitOf(time_s);
    return unit.seconds > 1.0 ? fmt::format("{} {}", numberText(time_s / unit.seconds, 3), unit.name)
                              : valueText(time_s, Quantity::time);
}

} // namespace

std::string_view nameOf(RateModel model) {
    return model == RateModel::autocatalytic ? "autocatalytic" : "nth-order";
}

bool isCatalysed(const KineticFit& fit) {
    return fit.kinetics.catalyst_order != 0.0 || !fit.catalyst_order_held;
}

std::string lawText(const KineticFit& fit) {
    return fmt::format(
        "d(degree)/dt = {}{},  k = A exp(-E / (R T))",
        isCatalysed(fit) ? fmt::format("(c / {:.4g})^p ", fit.kinetics.catalyst_reference_g_per_g) : std::string(),
        fit.kinetics.kind == RateModel::autocatalytic ? "(k1 + k2 degree^m) (1 - degree)^n" : "k1 (1 - degree)^n");
}

Table parameterTable(const KineticFit& fit) {
    Table rows{{"", "value", "95 % interval", "unit", ""}};
    for (const FittedParameter& one : fit.parameters) {
        std::string remark = one.determined ? "" : "not determined";
        if (!one.vessel.empty()) {
            remark = shortName(one.vessel, 16);
        }
        rows.push_back({symbolOf(one.name), figure(one.value), interval(one.value), one.unit, remark});
    }
    if (fit.catalyst_order_held && *fit.catalyst_order_held != 0.0) {
        rows.push_back({"catalyst order", numberText(*fit.catalyst_order_held), "", "", "held"});
    }
    return rows;
}

Table correlationTable(const KineticFit& fit) {
    Table rows{{""}};
    std::vector<std::string> names;
    for (const std::string& name : fit.correlated) {
        names.push_back(name == "catalyst_order" ? "p" : name == "heat_of_reaction_j_per_g" ? "H" : symbolOf(name));
    }
    rows.front().insert(rows.front().end(), names.begin(), names.end());
    for (std::size_t i = 0; i < fit.correlation.size(); ++i) {
        std::vector<std::string>& row = rows.emplace_back(1, names[i]);
        for (std::size_t k = 0; k < fit.correlation.size(); ++k) {
            row.push_back(k <= i ? fmt::format("{:.2f}", fit.correlation[i][k]) : std::string());
        }
    }
    return rows;
}

Table runTable(const KineticFit& fit) {
    Table rows{{"run", "degree missed by", "reading missed by", "final degree"}};
    for (const FittedRun& run : fit.runs) {
        rows.push_back({shortName(run.name, 24), fmt::format("{:.5f}", run.rmse_degree),
                        fmt::format("{:.3f} K", run.rmse_k), fmt::format("{:.4f}", run.degree_final)});
    }
    rows.push_back({"all", fmt::format("{:.5f}", fit.rmse_degree), "", ""});
    return rows;
}

Table modelTable(const KineticFit& fit) {
    Table rows{{"law", "unknowns", "degree missed by", "AIC above the best"}};
    for (const ComparedModel& one : fit.models) {
        const std::string name(nameOf(one.model));
        if (one.fault.empty()) {
            rows.push_back({name, std::to_string(one.parameters), fmt::format("{:.5f}", one.rmse_degree),
                            fmt::format("{:.1f}", one.aic)});
        } else {
            rows.push_back({name, "", "no fit", ""});
        }
    }
    return rows;
}

Table inputTable(const KineticFit& fit) {
    Table rows{{"stated", "", "as stated", "as fitted", "unit"}};
    for (const AdjustedInput& one : fit.inputs) {
        rows.push_back(
            {shortened(one.name, 28), shortName(one.of, 14),
             fmt::format("{} ± {}", numberText(one.stated, 4), numberText(coverage_factor_95 * one.stated_u, 2)),
             fmt::format("{} ± {}", half(one.fitted), halfWidthText(0.5 * (one.fitted.high - one.fitted.low))),
             one.unit});
    }
    return rows;
}

Table adiabaticTable(const KineticFit& fit) {
    // What no run has gets no column.
    const bool could_reach = hottestFailure(fit) != nullptr;
    const bool thumb = hasRuleOfThumb(fit);
    const auto cells = [&](std::vector<std::string> first, std::string reach, std::string fastest, std::string rule) {
        if (could_reach) {
            first.push_back(std::move(reach));
        }
        first.push_back(std::move(fastest));
        if (thumb) {
            first.push_back(std::move(rule));
        }
        return first;
    };
    Table rows{cells({"run", "rise"}, "could reach", "fastest in", "rule of thumb")};
    for (const FittedRun& run : fit.runs) {
        const AdiabaticFigures& found = run.adiabatic;
        rows.push_back(cells({shortName(run.name, 16), estimateText(found.rise_k, Quantity::temperature_difference)},
                             found.mtsr_c ? estimateText(*found.mtsr_c, Quantity::temperature) : std::string(),
                             timeText(found.time_to_maximum_s),
                             found.zero_order_s ? timeText(*found.zero_order_s) : std::string()));
    }
    return rows;
}

Table withoutVesselTable(const KineticFit& fit) {
    Table rows{{"run", "phi", "rise at phi 1", "fastest in at phi 1"}};
    for (const FittedRun& run : fit.runs) {
        const AdiabaticFigures& found = run.adiabatic;
        rows.push_back({shortName(run.name, 16), estimateText(found.thermal_inertia, Quantity::plain),
                        estimateText(found.rise_without_vessel_k, Quantity::temperature_difference),
                        timeText(found.time_to_maximum_without_vessel_s)});
    }
    return rows;
}

Table energyTable(const ModelFree& found) {
    Table rows{{"degree", "E, kJ/mol", "95 % interval", "runs"}};
    for (const EnergyAtDegree& one : found.at) {
        rows.push_back(
            {numberText(one.degree, 3), half(one.e_kj_per_mol), interval(one.e_kj_per_mol), std::to_string(one.runs)});
    }
    return rows;
}

Table peakTable(const ConstantRateFindings& found) {
    Table rows{{"method", "E, kJ/mol", "95 % interval", "A, 1/s"}};
    for (const EnergyFromPeaks& one : found.peaks) {
        rows.push_back(
            {one.method, half(one.e_kj_per_mol), interval(one.e_kj_per_mol), fmt::format("{:.3g}", one.a_per_s)});
    }
    return rows;
}

std::string leftOutSentence(const LeftOut& one) {
    std::string line =
        fmt::format("left out: {} from {:.0f} s to {:.0f} s: {}", oneLine(one.run), one.from_s, one.to_s, one.reason);
    if (one.evaporated_g) {
        line += fmt::format("; {} left as steam", estimateText(*one.evaporated_g, Quantity::mass));
    }
    return line;
}

const FittedRun* hottestFailure(const KineticFit& fit) {
    const FittedRun* worst = nullptr;
    for (const FittedRun& run : fit.runs) {
        const bool worse = run.adiabatic.mtsr_c && run.adiabatic.mtsr_at_s &&
                           (worst == nullptr || run.adiabatic.mtsr_c->value > worst->adiabatic.mtsr_c->value);
        worst = worse ? &run : worst;
    }
    return worst;
}

std::vector<std::string> adiabaticNotes(const KineticFit& fit) {
    std::vector<std::string> notes;
    if (const FittedRun* const worst = hottestFailure(fit)) {
        notes.push_back(fmt::format("could reach (MTSR): had dosing and cooling failed at the worst moment and nothing "
                                    "boiled; the highest is that of {}, at {}",
                                    oneLine(worst->name), valueText(*worst->adiabatic.mtsr_at_s, Quantity::time)));
    }
    notes.push_back(fmt::format("fastest in (TMRad): from the temperature at the start, {}",
                                isCatalysed(fit) ? "with the whole dose in at once" : "as the pot stood"));
    if (hasRuleOfThumb(fit)) {
        notes.back() +=
            "; the rule of thumb (zero order) is formed with the highest rate over the cure and lies on the "
            "short side";
    }
    notes.emplace_back(
        "phi: heat capacity of pot and contents over that of the contents; at phi 1 there is no vessel to warm");
    return notes;
}

} // namespace potwatch::format
