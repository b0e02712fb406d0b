// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/findings_text.h"

#include "app/cli/output.h"
#include "app/format/finding_rows.h"
#include "app/format/kinetics_text.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <optional>
#include <string_view>
#include <vector>

namespace potwatch::cli {
namespace {

using format::Quantity;

constexpr double worth_minutes_s = 60.0; // from here on a time is also given in minutes

std::string shown(const std::optional<Estimate>& estimate, Quantity quantity) {
    return estimate ? format::estimateText(*estimate, quantity) : std::string("unknown");
}

// The rows of one table: a name, a figure, and up to two remarks beside it.
class Rows {
public:
    void add(std::string_view name, std::string_view figure, std::string_view beside = {}, std::string_view last = {}) {
        std::string line = fmt::format("  {:<18}{:<25}", name, figure);
        if (!beside.empty() || !last.empty()) {
            line += last.empty() ? fmt::format(" {}", beside) : fmt::format(" {:<11}  {}", beside, last);
        }
        while (line.back() == ' ') {
            line.pop_back();
        }
        text_ += line + '\n';
    }

    void add(std::string_view name, const Estimate& time_s, const Estimate& temperature_c) {
        add(name, format::estimateText(time_s, Quantity::time),
            time_s.value >= worth_minutes_s ? format::durationText(time_s.value) : std::string(),
            format::estimateText(temperature_c, Quantity::temperature));
    }

    void gap() { text_ += '\n'; }

    [[nodiscard]] std::string text() && { return std::move(text_); }

private:
    std::string text_;
};

// "onset and peak", "" where nothing was put by hand.
std::string byHand(const std::vector<LandmarkKind>& kinds) {
    std::string text;
    for (std::size_t i = 0; i < kinds.size(); ++i) {
        std::string name(nameOf(kinds[i]));
        std::replace(name.begin(), name.end(), '_', ' ');
        text += (i == 0 ? "" : i + 1 == kinds.size() ? " and " : ", ") + name;
    }
    return text;
}

void addLandmarks(Rows& rows, const Landmarks& found) {
    if (!found.onset && !found.first_deviation && !found.steepest && !found.peak) {
        rows.add("exotherm", "none found");
        return;
    }
    const auto landmark = [&rows](std::string_view name, const auto& point) {
        if (point) {
            rows.add(name, point->time_s, point->temperature_c);
        } else {
            rows.add(name, "not found");
        }
    };
    landmark("first deviation", found.first_deviation);
    landmark("onset", found.onset);
    landmark("steepest", found.steepest);
    landmark("peak", found.peak);
    landmark("end", found.end);
    if (found.steepest) {
        rows.add("fastest rise", format::estimateText(found.steepest->rate_k_per_min, Quantity::rate));
    }
    if (found.peak && found.peak->reading_c) {
        rows.add("highest reading", format::valueText(*found.peak->reading_c, Quantity::temperature),
                 "(the probe lags behind the resin)");
    }
    if (const auto& plateau = found.boil_plateau) {
        rows.add("boiling",
                 fmt::format("{} to {}", format::valueText(plateau->start_s, Quantity::time),
                             format::valueText(plateau->end_s, Quantity::time)),
                 format::durationText(plateau->end_s - plateau->start_s),
                 format::valueText(plateau->temperature_c, Quantity::temperature));
    } else {
        rows.add("boiling", "no plateau found");
    }
}

void addExotherm(Rows& rows, std::size_t number, const Exotherm& exotherm) {
    const auto add = [&rows, number](std::string_view name, const std::optional<Landmark>& mark) {
        if (mark) {
            rows.add(fmt::format("  {} {}", number, name), mark->time_s, mark->temperature_c);
        }
    };
    add("onset", exotherm.onset);
    add("peak", exotherm.peak);
    add("end", exotherm.end);
}

// The trace's highest reading, where the peak's does not say it.
void addHighest(Rows& rows, const Findings& findings) {
    const auto& highest = findings.highest_reading;
    const auto& peak = findings.landmarks.peak;
    if (highest && !(peak && peak->reading_c && *peak->reading_c >= highest->reading_c)) {
        rows.add("hottest of all", format::valueText(highest->reading_c, Quantity::temperature),
                 fmt::format("read at {}, outside that exotherm", format::valueText(highest->time_s, Quantity::time)));
    }
}

void addHeat(Rows& rows, const HeatFindings& heat, bool second_heating) {
    rows.add(second_heating ? "residual heat" : "heat released",
             fmt::format("{}{}", heat.lower_bound && heat.released_j ? "at least " : "",
                         shown(heat.released_j, Quantity::heat)),
             heat.per_gram_j
                 ? fmt::format("{} of resin", format::estimateText(*heat.per_gram_j, Quantity::heat_per_gram))
                 : std::string());
    rows.add("loss coefficient", shown(heat.loss_coefficient_w_per_k, Quantity::loss_coefficient),
             heat.loss_from.empty() || !heat.loss_coefficient_w_per_k ? std::string()
                                                                      : fmt::format("from {}", heat.loss_from));
    if (heat.surroundings_c) {
        rows.add("surroundings", shown(heat.surroundings_c, Quantity::temperature), "that the pot loses heat to");
    }
    if (heat.heat_capacity_j_per_k) {
        rows.add("heat capacity", shown(heat.heat_capacity_j_per_k, Quantity::heat_capacity), "pot and contents");
    }
    if (heat.adiabatic_rise_k) {
        rows.add("adiabatic rise", shown(heat.adiabatic_rise_k, Quantity::temperature_difference),
                 "if no heat were lost");
    }
    if (heat.thermal_inertia) {
        rows.add("thermal inertia", shown(heat.thermal_inertia, Quantity::plain), "phi: with vessel over without");
    }
    if (heat.mtsr) {
        rows.add("could reach", shown(heat.mtsr->temperature_c, Quantity::temperature),
                 fmt::format("MTSR: had all failed at {}", format::valueText(heat.mtsr->time_s, Quantity::time)));
    }
    if (heat.evaporated_g) {
        rows.add("water boiled off", shown(heat.evaporated_g, Quantity::mass));
    }
}

void addCure(Rows& rows, const CureFindings& cure) {
    std::string beside;
    if (cure.reference_j_per_g) {
        beside = fmt::format("of {}", format::valueText(*cure.reference_j_per_g, Quantity::heat_per_gram));
        beside += cure.reference_from.empty() ? std::string() : fmt::format(" ({})", cure.reference_from);
    }
    rows.add(cure.second_heating_of.empty() ? "degree of cure" : "degree before it",
             shown(cure.final_degree, Quantity::degree), beside);
    for (const DegreeAt& entry : cure.at) {
        rows.add(fmt::format("  at {}", format::valueText(entry.time_s, Quantity::time)),
                 shown(entry.degree, Quantity::degree));
    }
    if (!cure.stage.empty()) {
        rows.add("stage", cure.stage);
    }
    if (cure.gel_time_s) {
        rows.add("gel time", format::estimateText(*cure.gel_time_s, Quantity::time),
                 format::durationText(cure.gel_time_s->value));
    }
    if (cure.equivalent) {
        rows.add("as much cure as", format::equivalentText(*cure.equivalent));
        rows.add("", fmt::format("with {}", format::energyText(cure.equivalent->e_kj_per_mol)));
    }
}

std::string samplesText(const SampleCount& samples) {
    std::string text = fmt::format("{} over {}", format::countText(samples.kept, "sample", "samples"),
                                   format::durationText(samples.span_s));
    if (samples.median_interval_s > 0.0) {
        text += fmt::format(", one every {} s", format::numberText(samples.median_interval_s));
    }
    if (samples.refused > 0) {
        text += fmt::format("; {} refused", format::countText(samples.refused, "line", "lines"));
    }
    return text;
}

// "Readings corrected by the probe's calibration: ..."; empty where it has none.
std::string correctionText(const Findings& findings) {
    std::string points;
    for (const Input& input : findings.inputs) {
        constexpr std::string_view name = "correction at ";
        if (input.from == "calibration" && input.name.starts_with(name)) {
            points += fmt::format("{}{}{:.2f} K at {}", points.empty() ? "" : ", ", input.value < 0.0 ? "\u2212" : "+",
                                  std::abs(input.value), input.name.substr(name.size()));
        }
    }
    return points.empty() ? points : fmt::format("readings corrected by the probe's calibration: {}\n", points);
}

} // namespace

std::string findingsText(const Findings& findings) {
    std::string head = fmt::format("{}: {}", format::oneLine(findings.run), format::oneLine(findings.file));
    head += findings.channel.empty() ? std::string() : fmt::format(", channel {}", format::oneLine(findings.channel));
    std::string text =
        wrapped(head, 0) + '\n' + wrapped(samplesText(findings.samples), 0) + '\n' + correctionText(findings) + '\n';

    Rows rows;
    addLandmarks(rows, findings.landmarks);
    addHighest(rows, findings);
    if (!findings.by_hand.empty()) {
        rows.add("put by hand", byHand(findings.by_hand));
    }
    rows.gap();
    addHeat(rows, findings.heat, !findings.cure.second_heating_of.empty());
    rows.gap();
    addCure(rows, findings.cure);
    text += std::move(rows).text();

    if (findings.exotherms.size() > 1) {
        const std::optional<std::size_t> hottest = format::largestExotherm(findings);
        text += fmt::format("\n  {} exotherms were found; the figures are those of {}the hottest:\n",
                            findings.exotherms.size(), hottest ? fmt::format("exotherm {}, ", *hottest + 1) : "");
        const std::vector<std::size_t> named = format::namedExotherms(findings);
        Rows rows_of_each;
        for (const std::size_t i : named) {
            addExotherm(rows_of_each, i + 1, findings.exotherms[i]);
        }
        text += std::move(rows_of_each).text();
        if (named.size() < findings.exotherms.size()) {
            text += fmt::format("    and {} more; --json lists them all\n", findings.exotherms.size() - named.size());
        }
    }
    if (!findings.warnings.empty()) {
        text += "\n  Warnings:\n";
        for (const std::string& warning : findings.warnings) {
            text += "  - " + wrapped(format::oneLine(warning), 4) + '\n';
        }
    }
    return text;
}

} // namespace potwatch::cli
