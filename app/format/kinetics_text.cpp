// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/kinetics_text.h"

#include "app/format/fit_tables.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::format {

namespace {

// "60.2 to 87.8".
std::string rangeText(double low, double high) {
    return fmt::format("{} to {}", figureText(low, 1.0), figureText(high, 1.0));
}

// Whether one value lies within every interval.
bool agree(const std::vector<EnergyAtDegree>& at) {
    double low = at.front().e_kj_per_mol.low;
    double high = at.front().e_kj_per_mol.high;
    for (const EnergyAtDegree& one : at) {
        low = std::max(low, one.e_kj_per_mol.low);
        high = std::min(high, one.e_kj_per_mol.high);
    }
    return low <= high;
}

// Whether the highest and the lowest differ by less than a tenth of their mean: the intervals hold the scatter of the
// runs, not what all runs have in common (a heat loss that is a little off), and would make two reactions of it.
// Source: S. Vyazovkin et al., Thermochim. Acta 520 (2011) 1 (the tenth from memory).
bool nearlyAgree(double least, double most) {
    constexpr double tenth = 0.1;
    return most - least < tenth * 0.5 * (least + most);
}

// How far the law is off beside the other one.
std::string comparedText(const KineticFit& fit) {
    if (fit.models.size() < 2) {
        return {};
    }
    const ComparedModel& own = fit.models[0];
    const ComparedModel& other = fit.models[1];
    if (!other.fault.empty()) {
        return fmt::format("The {} law cannot be fitted to these runs.", nameOf(other.model));
    }
    const double telling = 10.0; // of AIC. Source: K. P. Burnham, D. R. Anderson (2002), 2.6 (from memory)
    const double difference = other.aic - own.aic;
    if (std::abs(difference) < telling) {
        return fmt::format("The {} law would do as well: these runs do not tell the two apart.", nameOf(other.model));
    }
    return difference > 0.0 ? fmt::format("The {} law misses the degree by {} and can be left aside.",
                                          nameOf(other.model), numberText(other.rmse_degree, 2))
                            : fmt::format("The {} law matches these runs better: it misses the degree by {} only.",
                                          nameOf(other.model), numberText(other.rmse_degree, 2));
}

std::string catalystText(const KineticFit& fit) {
    const auto order = std::find_if(fit.parameters.begin(), fit.parameters.end(),
                                    [](const FittedParameter& one) { return one.name == "catalyst_order"; });
    if (order == fit.parameters.end()) {
        return {};
    }
    const Estimate times{.value = std::exp2(order->value.value),
                         .u = 0.0,
                         .low = std::exp2(order->value.low),
                         .high = std::exp2(order->value.high)};
    return fmt::format("Twice the catalyst cures {} times as fast.", estimateText(times, Quantity::plain));
}

std::string worstText(const KineticFit& fit) {
    const FittedRun* const worst = hottestFailure(fit);
    return worst == nullptr ? std::string()
                            : fmt::format("Had dosing and cooling failed at {} of {}, the pot could have reached {}.",
                                          valueText(*worst->adiabatic.mtsr_at_s, Quantity::time), oneLine(worst->name),
                                          estimateText(*worst->adiabatic.mtsr_c, Quantity::temperature));
}

} // namespace

std::vector<std::string> fitSentences(const KineticFit& fit) {
    double square_k = 0.0;
    for (const FittedRun& run : fit.runs) {
        square_k += run.rmse_k * run.rmse_k / static_cast<double>(fit.runs.size());
    }
    std::vector<std::string> sentences{fmt::format(
        "The {} law follows {} to within {} of the degree of cure and {} K of the readings.", nameOf(fit.kinetics.kind),
        countText(fit.runs.size(), "run", "runs"), numberText(fit.rmse_degree, 2), numberText(std::sqrt(square_k), 2))};
    for (std::string one : {comparedText(fit), catalystText(fit), worstText(fit)}) {
        if (!one.empty()) {
            sentences.push_back(std::move(one));
        }
    }
    return sentences;
}

std::string energyText(const Estimate& e_kj_per_mol) {
    return estimateText(e_kj_per_mol, Quantity::plain) + " kJ/mol";
}

std::string equivalentText(const EquivalentTime& equivalent) {
    const Estimate& time_s = equivalent.time_s;
    std::string text = durationText(time_s.value);
    if (time_s.high > time_s.low) {
        text += fmt::format(" ({} to {})", durationText(time_s.low), durationText(time_s.high));
    }
    return fmt::format("{} at {}", text, valueText(equivalent.reference_c, Quantity::temperature));
}

std::string modelFreeSentence(const ModelFree& found) {
    if (found.at.empty()) {
        return fmt::format("{}: no activation energy can be told from these runs.", found.method);
    }
    const auto [least, most] =
        std::minmax_element(found.at.begin(), found.at.end(), [](const EnergyAtDegree& a, const EnergyAtDegree& b) {
            return a.e_kj_per_mol.value < b.e_kj_per_mol.value;
        });
    std::string text = fmt::format("{}: {} kJ/mol between the degrees {} and {}", found.method,
                                   rangeText(least->e_kj_per_mol.value, most->e_kj_per_mol.value),
                                   valueText(found.at.front().degree, Quantity::plain),
                                   valueText(found.at.back().degree, Quantity::plain));
    if (found.catalyst_order) {
        text += fmt::format(", with a catalyst order of {}{}", estimateText(*found.catalyst_order, Quantity::plain),
                            found.order_found ? " found from the runs" : " as stated");
    }
    text += agree(found.at) ? ". Within its uncertainty one activation energy fits all of the cure."
            : nearlyAgree(least->e_kj_per_mol.value, most->e_kj_per_mol.value)
                ? ". To a tenth one activation energy fits all of the cure."
                : ". It changes as the cure goes on by more than its uncertainty: more than one reaction, or a cure "
                  "that is held up.";
    return text;
}

} // namespace potwatch::format
