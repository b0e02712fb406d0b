// SPDX-License-Identifier: GPL-3.0-or-later
// The tables of what was found.
#include "app/format/kinetics_text.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/report/findings_text.h"
#include "app/report/report_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace potwatch::report {
namespace {

using format::Quantity;

// The table of findings: a row a figure.
class FindingsTable {
public:
    void add(std::string name, const std::optional<Estimate>& estimate, Quantity quantity) {
        if (!estimate) {
            table_.rows.push_back({std::move(name), std::string(not_known), "", ""});
            return;
        }
        table_.rows.push_back({std::move(name), format::estimateText(*estimate, quantity),
                               format::intervalText(*estimate, quantity),
                               format::uncertaintyText(*estimate, quantity)});
    }
    void add(std::string name, std::string text) { table_.rows.push_back({std::move(name), std::move(text), "", ""}); }
    [[nodiscard]] Table take() { return std::move(table_); }

private:
    Table table_{.name = "heat and cure", .head = {"heat and cure", "result", "95 % interval", "standard uncertainty"}};
};

Table landmarkTable(const Findings& findings) {
    const Landmarks& marks = findings.landmarks;
    const auto named = [&](std::string name, LandmarkKind kind) {
        const bool by_hand =
            std::find(findings.by_hand.begin(), findings.by_hand.end(), kind) != findings.by_hand.end();
        return by_hand ? name + ", put by hand" : name;
    };
    Table table{.name = "landmarks", .head = {"landmark", "time", "temperature", "standard uncertainties", ""}};
    const auto add = [&](std::string name, const Estimate& time_s, const Estimate& temperature_c, std::string more) {
        const std::string time_u = format::uncertaintyText(time_s, Quantity::time); // empty: put by hand
        table.rows.push_back({std::move(name), format::estimateText(time_s, Quantity::time),
                              format::estimateText(temperature_c, Quantity::temperature),
                              fmt::format("{}{}", time_u.empty() ? time_u : time_u + ", ",
                                          format::uncertaintyText(temperature_c, Quantity::temperature)),
                              std::move(more)});
    };
    const auto missing = [&](std::string name) {
        table.rows.push_back({std::move(name), std::string(not_known), "", "", ""});
    };
    const auto addLandmark = [&](const std::string& name, const std::optional<Landmark>& mark) {
        if (mark) {
            add(name, mark->time_s, mark->temperature_c, "");
        } else {
            missing(name);
        }
    };
    addLandmark(named("first deviation", LandmarkKind::firstDeviation), marks.first_deviation);
    addLandmark(named("onset", LandmarkKind::onset), marks.onset);
    if (marks.steepest) {
        add(named("steepest", LandmarkKind::steepest), marks.steepest->time_s, marks.steepest->temperature_c,
            format::estimateText(marks.steepest->rate_k_per_min, Quantity::rate));
    } else {
        missing("steepest");
    }
    if (marks.peak) {
        add(named("peak of the resin", LandmarkKind::peak), marks.peak->time_s, marks.peak->temperature_c,
            marks.peak->reading_c
                ? fmt::format("highest reading {}", format::valueText(*marks.peak->reading_c, Quantity::temperature))
                : std::string());
    } else {
        missing("peak of the resin");
    }
    addLandmark(named("end", LandmarkKind::end), marks.end);
    if (const auto& plateau = marks.boil_plateau) {
        table.rows.push_back({"boil plateau",
                              fmt::format("{} to {}", format::numberText(std::round(plateau->start_s)),
                                          format::valueText(plateau->end_s, Quantity::time)),
                              format::valueText(plateau->temperature_c, Quantity::temperature), "", ""});
    } else {
        table.rows.push_back({"boil plateau", "none found", "", "", ""});
    }
    return table;
}

void addHeat(FindingsTable& table, const HeatFindings& heat, bool second_heating) {
    const std::string released = second_heating ? "residual heat" : "heat released";
    table.add(heat.lower_bound ? released + ", at least" : released, heat.released_j, Quantity::heat);
    table.add(heat.lower_bound ? "heat per gram of resin, at least" : "heat per gram of resin", heat.per_gram_j,
              Quantity::heat_per_gram);
    table.add("heat capacity of pot and contents", heat.heat_capacity_j_per_k, Quantity::heat_capacity);
    table.add("loss coefficient", heat.loss_coefficient_w_per_k, Quantity::loss_coefficient);
    if (heat.loss_exponent) {
        table.add("loss exponent", heat.loss_exponent, Quantity::loss_exponent);
    }
    if (heat.surroundings_c) {
        table.add("surroundings", heat.surroundings_c, Quantity::temperature);
    }
    if (!heat.loss_from.empty()) {
        table.add("loss taken from", format::oneLine(heat.loss_from));
    }
    if (heat.evaporated_g) {
        table.add("water boiled off", heat.evaporated_g, Quantity::mass);
    }
    table.add("adiabatic rise", heat.adiabatic_rise_k, Quantity::temperature_difference);
    if (heat.thermal_inertia) {
        table.add("thermal inertia (phi)", heat.thermal_inertia, Quantity::plain);
    }
    if (heat.mtsr) {
        table.add("could reach, had dosing and cooling failed (MTSR)", heat.mtsr->temperature_c, Quantity::temperature);
    }
}

void addCure(FindingsTable& table, const CureFindings& cure) {
    table.add(cure.second_heating_of.empty() ? "final degree of cure" : "degree of cure before this heating",
              cure.final_degree, Quantity::degree);
    for (const DegreeAt& at : cure.at) {
        table.add("degree of cure at " + format::valueText(at.time_s, Quantity::time), at.degree, Quantity::degree);
    }
    if (cure.reference_j_per_g) {
        table.add("reference heat",
                  fmt::format("{}{}{}", format::valueText(*cure.reference_j_per_g, Quantity::heat_per_gram),
                              cure.reference_from.empty() ? "" : ", from ", format::oneLine(cure.reference_from)));
    }
    table.add("stage", cure.stage.empty() ? std::string(not_known) : format::oneLine(cure.stage));
    if (cure.gel_time_s) {
        table.add("gel time", cure.gel_time_s, Quantity::time);
    }
    if (cure.equivalent) {
        table.add("as much cure as", fmt::format("{}, with {}", format::equivalentText(*cure.equivalent),
                                                 format::energyText(cure.equivalent->e_kj_per_mol)));
    }
}

Table exothermTable(const Findings& findings) {
    Table table{.name = "exotherms", .head = {"exotherm", "onset", "peak, time", "peak, temperature", "end"}};
    const auto time = [](const std::optional<Landmark>& landmark) {
        return landmark ? format::estimateText(landmark->time_s, Quantity::time) : std::string(not_known);
    };
    for (std::size_t i = 0; i < findings.exotherms.size(); ++i) {
        const Exotherm& exotherm = findings.exotherms[i];
        table.rows.push_back({std::to_string(i + 1), time(exotherm.onset), time(exotherm.peak),
                              exotherm.peak ? format::estimateText(exotherm.peak->temperature_c, Quantity::temperature)
                                            : std::string(not_known),
                              time(exotherm.end)});
    }
    return table;
}

} // namespace

std::vector<Block> findingBlocks(const Findings& findings) {
    FindingsTable table;
    addHeat(table, findings.heat, !findings.cure.second_heating_of.empty());
    addCure(table, findings.cure);
    std::vector<Block> blocks{landmarkTable(findings), table.take()};
    if (findings.exotherms.size() > 1) {
        blocks.emplace_back(Paragraph{"Several exotherms were found; the landmarks above are those of the hottest."});
        blocks.emplace_back(exothermTable(findings));
    }
    return blocks;
}

Table inputTable(const Findings& findings) {
    Table table{.name = "inputs", .head = {"input", "value", "standard uncertainty", "from"}};
    for (const Input& input : findings.inputs) {
        const std::string unit = input.unit.empty() ? std::string() : fmt::format(" {}", format::oneLine(input.unit));
        const std::string spread_unit = input.unit == "\u00b0C" ? " K" : unit;
        table.rows.push_back({format::oneLine(input.name), format::numberText(input.value) + unit,
                              input.u ? format::numberText(*input.u, 2) + spread_unit : "not stated",
                              format::oneLine(input.from)});
    }
    return table;
}

Table eventTable(const Analysis& analysis) {
    Table table{.name = "events", .head = {"time", "event"}};
    std::vector<Event> events = analysis.events;
    std::stable_sort(events.begin(), events.end(), [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
    for (const Event& event : events) {
        table.rows.push_back({format::valueText(event.time_s, Quantity::time), eventText(event)});
    }
    return table;
}

std::string nameOf(const Findings& findings) {
    const std::string name = format::oneLine(findings.run);
    const std::string file = format::oneLine(format::fileNameOf(findings.file));
    return name.empty() ? (file.empty() ? "run without a name" : file) : name;
}

std::string samplesText(const Findings& findings) {
    const SampleCount& samples = findings.samples;
    std::string text = fmt::format("File {}", format::oneLine(format::fileNameOf(findings.file)));
    if (!findings.channel.empty()) {
        text += fmt::format(", channel {}", format::oneLine(findings.channel));
    }
    text += fmt::format(": {} kept, {} refused, over {}, one every {} (median).",
                        format::countText(samples.kept, "sample", "samples"),
                        format::countText(samples.refused, "line", "lines"), format::durationText(samples.span_s),
                        format::numberText(samples.median_interval_s, 3) + " s");
    return text;
}

} // namespace potwatch::report
