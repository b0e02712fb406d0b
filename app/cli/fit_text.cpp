// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/fit_output.h"
#include "app/cli/output.h"
#include "app/cli/text_table.h"
#include "app/format/fit_tables.h"
#include "app/format/kinetics_text.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <string_view>

namespace potwatch::cli {
namespace {

constexpr std::size_t warning_indent = 4;
constexpr std::size_t text_width = 78;

std::string note(const std::string& sentence) {
    return "  " + wrapped(sentence, warning_indent, text_width) + "\n";
}

std::string energies(const ModelFree& found) {
    std::string text = "\n  " + found.method + ", without a law";
    if (found.catalyst_order) {
        text +=
            fmt::format(", catalyst order {}{}", format::estimateText(*found.catalyst_order, format::Quantity::plain),
                        found.order_found ? " (found)" : " (taken)");
    }
    return text + "\n" + tableText(format::energyTable(found)) + note(format::modelFreeSentence(found));
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
    text += "\n  from the peaks of constant heating rates\n" + tableText(format::peakTable(*found.constant_rate));
    for (const ModelFree& one : found.constant_rate->by_degree) {
        text += energies(one);
    }
    return text;
}

} // namespace

std::string fitText(const session::FittedFiles& fitted) {
    const KineticFit& fit = fitted.fit;
    std::string text = fmt::format("{} law from {}\n  {}\n", format::nameOf(fit.kinetics.kind),
                                   format::countText(fit.runs.size(), "run", "runs"), format::lawText(fit));
    if (format::isCatalysed(fit)) {
        text += "  c: grams of what was dosed per gram of resin\n";
    }
    text += "\n" + tableText(format::parameterTable(fit));
    text += "\n  Correlation\n" + tableText(format::correlationTable(fit));
    text += "\n  Runs\n" + tableText(format::runTable(fit));
    for (const LeftOut& one : fit.left_out) {
        text += note(format::leftOutSentence(one));
    }
    if (fit.models.size() > 1) {
        text += "\n  Laws compared, along the measured temperatures\n" + tableText(format::modelTable(fit));
    }
    if (!fit.inputs.empty()) {
        text += "\n  What was stated, and what the runs make of it\n" + tableText(format::inputTable(fit));
    }
    text += "\n  If no heat had left the pot, by this law\n" + tableText(format::adiabaticTable(fit)) + "\n" +
            tableText(format::withoutVesselTable(fit));
    for (const std::string& sentence : format::adiabaticNotes(fit)) {
        text += note(sentence);
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
        text += note("! " + format::oneLine(warning));
    }
    return text;
}

} // namespace potwatch::cli
