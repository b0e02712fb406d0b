// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/fit_output.h"
#include "app/cli/output.h"
#include "app/cli/text_table.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <cmath>
#include <map>
#include <string_view>

namespace potwatch::cli {
namespace {

using Rows = std::vector<std::vector<std::string>>;

constexpr std::size_t warning_indent = 4;

std::string half(const Estimate& estimate) {
    return format::figureText(estimate.value, 0.5 * (estimate.high - estimate.low));
}

// "59.5 to 61.4"; powers of ten where a figure needs them.
std::string interval(const Estimate& estimate) {
    const double width = 0.5 * (estimate.high - estimate.low);
    const bool large = std::abs(estimate.value) >= 1e5 || std::abs(estimate.high) >= 1e6;
    return large ? fmt::format("{:.3g} to {:.3g}", estimate.low, estimate.high)
                 : format::figureText(estimate.low, 0.1 * width) + " to " +
                       format::figureText(estimate.high, 0.1 * width);
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

std::string nameOf(RateModel model) {
    return model == RateModel::autocatalytic ? "autocatalytic" : "nth-order";
}

std::string heading(const KineticFit& fit) {
    const std::string law =
        fit.kinetics.kind == RateModel::autocatalytic ? "(k1 + k2 degree^m) (1 - degree)^n" : "k1 (1 - degree)^n";
    const bool catalysed = fit.kinetics.catalyst_order != 0.0 || !fit.catalyst_order_held;
    std::string text = fmt::format(
        "{} law from {}\n  d(degree)/dt = {}{},  k = A exp(-E / (R T))\n", nameOf(fit.kinetics.kind),
        format::countText(fit.runs.size(), "run", "runs"),
        catalysed ? fmt::format("(c / {:.4g})^p ", fit.kinetics.catalyst_reference_g_per_g) : std::string(), law);
    if (catalysed) {
        text += "  c: grams of what was dosed per gram of resin\n";
    }
    return text;
}

std::string parameters(const KineticFit& fit) {
    Rows rows{{"", "value", "95 % interval", "unit", ""}};
    for (const FittedParameter& one : fit.parameters) {
        std::string remark = one.determined ? "" : "not determined";
        if (!one.vessel.empty()) {
            remark = format::shortened(format::oneLine(one.vessel), 16);
        }
        rows.push_back({symbolOf(one.name), figure(one.value), interval(one.value), one.unit, remark});
    }
    if (fit.catalyst_order_held && *fit.catalyst_order_held != 0.0) {
        rows.push_back({"catalyst order", format::numberText(*fit.catalyst_order_held), "", "", "held"});
    }
    return tableText(rows);
}

std::string correlation(const KineticFit& fit) {
    Rows rows{{""}};
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
    return tableText(rows);
}

std::string runs(const KineticFit& fit) {
    Rows rows{{"run", "degree missed by", "reading missed by", "final degree"}};
    for (const FittedRun& run : fit.runs) {
        rows.push_back({format::shortened(format::oneLine(run.name), 24), fmt::format("{:.5f}", run.rmse_degree),
                        fmt::format("{:.3f} K", run.rmse_k), fmt::format("{:.4f}", run.degree_final)});
    }
    rows.push_back({"all", fmt::format("{:.5f}", fit.rmse_degree), "", ""});
    return tableText(rows);
}

std::string models(const KineticFit& fit) {
    Rows rows{{"law", "unknowns", "degree missed by", "AIC above the best"}};
    for (const ComparedModel& one : fit.models) {
        if (one.fault.empty()) {
            rows.push_back({nameOf(one.model), std::to_string(one.parameters), fmt::format("{:.5f}", one.rmse_degree),
                            fmt::format("{:.1f}", one.aic)});
        } else {
            rows.push_back({nameOf(one.model), "", "no fit", ""});
        }
    }
    return tableText(rows);
}

std::string inputs(const KineticFit& fit) {
    Rows rows{{"stated", "", "as stated", "as fitted", "unit"}};
    for (const AdjustedInput& one : fit.inputs) {
        rows.push_back(
            {format::shortened(one.name, 28), format::shortened(format::oneLine(one.of), 14),
             fmt::format("{} ± {}", format::numberText(one.stated, 4),
                         format::numberText(coverage_factor_95 * one.stated_u, 2)),
             fmt::format("{} ± {}", half(one.fitted), format::halfWidthText(0.5 * (one.fitted.high - one.fitted.low))),
             one.unit});
    }
    return tableText(rows);
}

std::string energies(const ModelFree& free) {
    Rows rows{{"degree", "E, kJ/mol", "95 % interval", "runs"}};
    for (const EnergyAtDegree& one : free.at) {
        rows.push_back({format::numberText(one.degree, 3), half(one.e_kj_per_mol), interval(one.e_kj_per_mol),
                        std::to_string(one.runs)});
    }
    std::string text = "\n  " + free.method + ", without a law";
    if (free.catalyst_order) {
        text += fmt::format(", catalyst order {}{}", half(*free.catalyst_order),
                            free.order_found ? " (found)" : " (taken)");
    }
    return text + "\n" + tableText(rows);
}

std::string lawFree(const session::LawFreeFindings& found) {
    const auto refused = [](std::string_view method, const Fault& fault) {
        return "\n  " +
               wrapped(fmt::format("{}: not given: {}{}", method, fault.what,
                                   fault.remedy.empty() ? std::string() : "; " + fault.remedy),
                       warning_indent, 78) +
               "\n";
    };
    std::string text = found.friedman ? energies(*found.friedman) : refused("Friedman", found.friedman.error());
    if (!found.constant_rate) {
        return text + refused("Kissinger, Ozawa, ASTM E698, KAS", found.constant_rate.error());
    }
    Rows rows{{"method", "E, kJ/mol", "95 % interval", "A, 1/s"}};
    for (const EnergyFromPeaks& one : found.constant_rate->peaks) {
        rows.push_back(
            {one.method, half(one.e_kj_per_mol), interval(one.e_kj_per_mol), fmt::format("{:.3g}", one.a_per_s)});
    }
    text += "\n  from the peaks of constant heating rates\n" + tableText(rows);
    for (const ModelFree& one : found.constant_rate->by_degree) {
        text += energies(one);
    }
    return text;
}

} // namespace

std::string fitText(const session::FittedFiles& fitted) {
    const KineticFit& fit = fitted.fit;
    std::string text = heading(fit);
    text += "\n" + parameters(fit);
    text += "\n  Correlation\n" + correlation(fit);
    text += "\n  Runs\n" + runs(fit);
    for (const LeftOut& one : fit.left_out) {
        std::string line = fmt::format("left out: {} from {:.0f} s to {:.0f} s: {}", format::oneLine(one.run),
                                       one.from_s, one.to_s, one.reason);
        if (one.evaporated_g) {
            line += fmt::format("; {} left as steam", format::estimateText(*one.evaporated_g, format::Quantity::mass));
        }
        text += "  " + wrapped(line, warning_indent, 78) + "\n";
    }
    if (fit.models.size() > 1) {
        text += "\n  Laws compared, along the measured temperatures\n" + models(fit);
    }
    if (!fit.inputs.empty()) {
        text += "\n  What was stated, and what the runs make of it\n" + inputs(fit);
    }
    if (fitted.law_free) {
        text += lawFree(*fitted.law_free);
    }
    std::vector<std::string> warnings = fitted.warnings;
    warnings.insert(warnings.end(), fit.warnings.begin(), fit.warnings.end());
    if (!warnings.empty()) {
        text += "\n";
    }
    for (const std::string& warning : warnings) {
        text += "  " + wrapped("! " + format::oneLine(warning), warning_indent, 78) + "\n";
    }
    return text;
}

} // namespace potwatch::cli
