// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/fit_sections.h"

#include "analysis/kinetics/leading_path.h"
#include "app/format/kinetics_text.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <string_view>
#include <utility>

namespace potwatch::session {
namespace {

FitSection energies(const ModelFree& found) {
    std::string title = found.method + ", without a law";
    if (found.catalyst_order) {
        title +=
            fmt::format(", catalyst order {}{}", format::estimateText(*found.catalyst_order, format::Quantity::plain),
                        found.order_found ? " (found)" : " (taken)");
    }
    return {.title = std::move(title),
            .before = {},
            .table = format::energyTable(found),
            .after = {format::modelFreeSentence(found)}};
}

FitSection refused(std::string_view method, const Fault& fault) {
    return {.title = {},
            .before = {fmt::format("{}: not given: {}{}", method, fault.what,
                                   fault.remedy.empty() ? std::string() : "; " + fault.remedy)},
            .table = {},
            .after = {}};
}

FitSection equivalents(const FittedFiles& fitted) {
    const EquivalentTime& first = fitted.equivalents.front().equivalent;
    FitSection section{.title = fmt::format("As much cure as, at {}",
                                            format::valueText(first.reference_c, format::Quantity::temperature)),
                       .before = {},
                       .table = {{"run", "time", "95 % interval"}},
                       .after = {}};
    for (const RunEquivalent& one : fitted.equivalents) {
        const Estimate& time_s = one.equivalent.time_s;
        section.table.push_back(
            {format::shortened(format::oneLine(one.run), 24), format::durationText(time_s.value),
             fmt::format("{} to {}", format::durationText(time_s.low), format::durationText(time_s.high))});
    }
    const kinetics::LeadingPath path = kinetics::leadingPath(fitted.fit);
    section.after.push_back(
        fmt::format("from the start of the dose to the end of the trace, with {}, the energy of the "
                    "path that carries {:.0f} % of the cure",
                    format::energyText(path.e_kj_per_mol), 100.0 * path.share));
    return section;
}

void addLawFree(std::vector<FitSection>& sections, const LawFreeFindings& found) {
    sections.push_back(found.friedman ? energies(*found.friedman) : refused("Friedman", found.friedman.error()));
    if (!found.constant_rate) {
        sections.push_back(refused("Kissinger, Ozawa, ASTM E698, KAS", found.constant_rate.error()));
        return;
    }
    sections.push_back({.title = "From the peaks of constant heating rates",
                        .before = {},
                        .table = format::peakTable(*found.constant_rate),
                        .after = {}});
    for (const ModelFree& one : found.constant_rate->by_degree) {
        sections.push_back(energies(one));
    }
}

} // namespace

std::string fitTitle(const FittedFiles& fitted) {
    return fmt::format("{} law from {}", format::nameOf(fitted.fit.kinetics.kind),
                       format::countText(fitted.fit.runs.size(), "run", "runs"));
}

std::vector<FitSection> fitSections(const FittedFiles& fitted) {
    const KineticFit& fit = fitted.fit;
    std::vector<FitSection> sections;
    sections.push_back({.title = {},
                        .before = format::fitSentences(fit),
                        .table = format::parameterTable(fit),
                        .after = {format::lawText(fit)}});
    if (format::isCatalysed(fit)) {
        sections.back().after.emplace_back("c: grams of what was dosed per gram of resin");
    }
    sections.push_back({.title = "Runs", .before = {}, .table = format::runTable(fit), .after = {}});
    for (const LeftOut& one : fit.left_out) {
        sections.back().after.push_back(format::leftOutSentence(one));
    }
    if (fit.models.size() > 1) {
        sections.push_back({.title = "Laws compared, along the measured temperatures",
                            .before = {},
                            .table = format::modelTable(fit),
                            .after = {}});
    }
    if (fitted.law_free) {
        addLawFree(sections, *fitted.law_free);
    }
    sections.push_back({.title = "If no heat had left the pot, by this law",
                        .before = {},
                        .table = format::adiabaticTable(fit),
                        .after = {}});
    sections.push_back(
        {.title = {}, .before = {}, .table = format::withoutVesselTable(fit), .after = format::adiabaticNotes(fit)});
    if (!fitted.equivalents.empty()) {
        sections.push_back(equivalents(fitted));
    }
    if (!fit.inputs.empty()) {
        sections.push_back({.title = "What was stated, and what the runs make of it",
                            .before = {},
                            .table = format::inputTable(fit),
                            .after = {}});
    }
    sections.push_back({.title = "Correlation", .before = {}, .table = format::correlationTable(fit), .after = {}});
    return sections;
}

std::vector<std::string> fitWarnings(const FittedFiles& fitted) {
    std::vector<std::string> warnings;
    for (const auto* const some : {&fitted.warnings, &fitted.fit.warnings}) {
        for (const std::string& warning : *some) {
            warnings.push_back(format::oneLine(warning));
        }
    }
    if (const ModelFree* const found = energiesOf(fitted)) {
        for (const std::string& warning : found->warnings) {
            warnings.push_back(found->method + ": " + format::oneLine(warning));
        }
    }
    return warnings;
}

} // namespace potwatch::session
