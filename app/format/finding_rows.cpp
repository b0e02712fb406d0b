// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/finding_rows.h"

#include "app/format/kinetics_text.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <utility>

namespace potwatch::format {
namespace {

// "cooling tail 757-4482 s" within the words that say where the loss was learnt.
std::optional<FindingPlace> coolingTail(std::string_view loss_from) {
    constexpr std::string_view words = "cooling tail ";
    const std::size_t at = loss_from.find(words);
    if (at == std::string_view::npos) {
        return std::nullopt;
    }
    const char* const last = loss_from.data() + loss_from.size();
    double from_s = 0.0;
    const auto first = std::from_chars(loss_from.data() + at + words.size(), last, from_s);
    if (first.ec != std::errc{} || first.ptr == last || *first.ptr != '-') {
        return std::nullopt;
    }
    double to_s = 0.0;
    if (std::from_chars(first.ptr + 1, last, to_s).ec != std::errc{}) {
        return std::nullopt;
    }
    return FindingPlace{.pane = PaneKind::temperature, .from_s = from_s, .to_s = to_s};
}

class Rows {
public:
    explicit Rows(const Analysis& analysis)
        : analysis_(analysis)
        , found_(analysis.findings) {}

    std::vector<FindingRow> take() {
        landmarks();
        heat();
        cure();
        samples();
        return std::move(rows_);
    }

private:
    FindingRow& add(FindingId id, FindingGroup group, std::string name, std::string result) {
        rows_.push_back({.id = id, .group = group, .name = std::move(name), .result = std::move(result)});
        return rows_.back();
    }

    [[nodiscard]] bool isByHand(LandmarkKind kind) const {
        return std::find(found_.by_hand.begin(), found_.by_hand.end(), kind) != found_.by_hand.end();
    }

    // The rate, heat flow or degree where the analysis has them, else the temperature.
    [[nodiscard]] FindingPlace in(PaneKind pane, double from_s, double to_s) const {
        const Series& series = analysis_.series;
        const bool there = pane == PaneKind::heat_flow ? !series.power_w.empty()
                           : pane == PaneKind::degree  ? !series.degree.empty()
                           : pane == PaneKind::rate    ? !series.rate_k_per_min.empty()
                                                       : true;
        return {.pane = there ? pane : PaneKind::temperature, .from_s = from_s, .to_s = to_s};
    }

    static std::string both(const Estimate& time_s, const Estimate& temperature_c) {
        const std::string time = intervalText(time_s, Quantity::time);
        const std::string temperature = intervalText(temperature_c, Quantity::temperature);
        return time + (time.empty() || temperature.empty() ? "" : ", ") + temperature;
    }

    FindingRow& mark(FindingId id, std::string name, const Estimate& time_s, const Estimate& temperature_c) {
        FindingRow& row =
            add(id, FindingGroup::timesAndTemperatures, std::move(name), estimateText(time_s, Quantity::time));
        row.second = estimateText(temperature_c, Quantity::temperature);
        row.intervals = both(time_s, temperature_c);
        row.time_s = time_s.value;
        row.place = in(PaneKind::temperature, time_s.value, time_s.value);
        return row;
    }

    template<class Mark>
    void landmark(FindingId id, LandmarkKind kind, const char* name, const std::optional<Mark>& found) {
        FindingRow& row = found ? mark(id, name, found->time_s, found->temperature_c)
                                : add(id, FindingGroup::timesAndTemperatures, name, "not found");
        row.landmark = kind;
        row.by_hand = isByHand(kind);
    }

    void landmarks() {
        const Landmarks& marks = found_.landmarks;
        constexpr FindingGroup group = FindingGroup::timesAndTemperatures;
        if (!marks.onset && !marks.first_deviation && !marks.steepest && !marks.peak) {
            add(FindingId::peak, group, "exotherm", "none found");
            return;
        }
        landmark(FindingId::firstDeviation, LandmarkKind::firstDeviation, "first deviation", marks.first_deviation);
        landmark(FindingId::onset, LandmarkKind::onset, "onset", marks.onset);
        landmark(FindingId::steepest, LandmarkKind::steepest, "steepest", marks.steepest);
        if (marks.steepest) {
            FindingRow& row = add(FindingId::fastestRise, group, "fastest rise",
                                  estimateText(marks.steepest->rate_k_per_min, Quantity::rate));
            row.intervals = intervalText(marks.steepest->rate_k_per_min, Quantity::rate);
            row.place = in(PaneKind::rate, marks.steepest->time_s.value, marks.steepest->time_s.value);
        }
        landmark(FindingId::peak, LandmarkKind::peak, "peak", marks.peak);
        highestReading();
        boiling();
        landmark(FindingId::end, LandmarkKind::end, "end", marks.end);
        otherExotherms();
    }

    void highestReading() {
        const auto& peak = found_.landmarks.peak;
        if (!peak || !peak->reading_c) {
            return;
        }
        FindingRow& row = add(FindingId::highestReading, FindingGroup::timesAndTemperatures, "highest reading",
                              valueText(*peak->reading_c, Quantity::temperature));
        const Series& series = analysis_.series;
        for (std::size_t i = 0; i < std::min(series.time_s.size(), series.reading_c.size()); ++i) {
            if (series.reading_c[i] == *peak->reading_c) {
                row.place = in(PaneKind::temperature, series.time_s[i], series.time_s[i]);
                break;
            }
        }
    }

    void boiling() {
        constexpr FindingGroup group = FindingGroup::timesAndTemperatures;
        const auto& plateau = found_.landmarks.boil_plateau;
        if (!plateau) {
            add(FindingId::boiling, group, "boiling", "no plateau found");
            return;
        }
        FindingRow& row = add(FindingId::boiling, group, "boiling",
                              fmt::format("{} to {}", numberText(std::round(plateau->start_s)),
                                          valueText(plateau->end_s, Quantity::time)));
        row.second = valueText(plateau->temperature_c, Quantity::temperature);
        row.place = in(PaneKind::temperature, plateau->start_s, plateau->end_s);
        row.landmark = isByHand(LandmarkKind::boilStart) || !isByHand(LandmarkKind::boilEnd) ? LandmarkKind::boilStart
                                                                                             : LandmarkKind::boilEnd;
        row.by_hand = isByHand(LandmarkKind::boilStart) || isByHand(LandmarkKind::boilEnd);
    }

    void otherExotherms() {
        if (found_.exotherms.size() < 2) {
            return;
        }
        for (const std::size_t i : namedExotherms(found_)) {
            const auto& peak = found_.exotherms[i].peak;
            if (!peak || (found_.landmarks.peak && peak->time_s == found_.landmarks.peak->time_s)) {
                continue;
            }
            const auto add = [&](const char* name, const std::optional<Landmark>& found) {
                if (found) {
                    mark(FindingId::otherExotherm, fmt::format("{} of exotherm {}", name, i + 1), found->time_s,
                         found->temperature_c);
                }
            };
            add("onset", found_.exotherms[i].onset);
            add("peak", peak);
            add("end", found_.exotherms[i].end);
        }
    }

    FindingRow& figure(FindingId id, FindingGroup group, std::string name, const Estimate& estimate,
                       Quantity quantity) {
        FindingRow& row = add(id, group, std::move(name), estimateText(estimate, quantity));
        row.intervals = intervalText(estimate, quantity);
        return row;
    }

    // From where the exotherm begins to where the trace ends.
    [[nodiscard]] std::optional<FindingPlace> wholeCure(PaneKind pane) const {
        if (analysis_.series.time_s.empty()) {
            return std::nullopt;
        }
        const auto& first = found_.landmarks.first_deviation;
        return in(pane, first ? first->time_s.value : analysis_.series.time_s.front(), analysis_.series.time_s.back());
    }

    void heat() {
        const HeatFindings& heat = found_.heat;
        constexpr FindingGroup group = FindingGroup::heat;
        const bool second = !found_.cure.second_heating_of.empty();
        const FindingId released = second ? FindingId::residualHeat : FindingId::heatReleased;
        if (heat.released_j) {
            FindingRow& row =
                figure(released, group, second ? "residual heat" : "heat released", *heat.released_j, Quantity::heat);
            row.result = (heat.lower_bound ? "at least " : "") + row.result;
            row.place = wholeCure(PaneKind::heat_flow);
        } else {
            add(released, group, second ? "residual heat" : "heat released", "unknown");
        }
        if (heat.per_gram_j) {
            FindingRow& row =
                figure(FindingId::heatPerGram, group, "heat per gram", *heat.per_gram_j, Quantity::heat_per_gram);
            row.result = (heat.lower_bound ? "at least " : "") + row.result;
            row.place = wholeCure(PaneKind::heat_flow);
        }
        if (heat.loss_coefficient_w_per_k) {
            figure(FindingId::lossCoefficient, group, "loss coefficient", *heat.loss_coefficient_w_per_k,
                   Quantity::loss_coefficient)
                .place = coolingTail(heat.loss_from);
        } else {
            add(FindingId::lossCoefficient, group, "loss coefficient", "unknown");
        }
        if (heat.loss_exponent) {
            figure(FindingId::lossExponent, group, "loss exponent", *heat.loss_exponent, Quantity::loss_exponent)
                .place = coolingTail(heat.loss_from);
        }
        if (heat.surroundings_c) {
            figure(FindingId::surroundings, group, "surroundings", *heat.surroundings_c, Quantity::temperature);
        }
        if (heat.heat_capacity_j_per_k) {
            figure(FindingId::heatCapacity, group, "heat capacity", *heat.heat_capacity_j_per_k,
                   Quantity::heat_capacity);
        }
        if (heat.adiabatic_rise_k) {
            figure(FindingId::adiabaticRise, group, "adiabatic rise", *heat.adiabatic_rise_k,
                   Quantity::temperature_difference)
                .place = wholeCure(PaneKind::heat_flow);
        }
        if (heat.thermal_inertia) {
            figure(FindingId::thermalInertia, group, "thermal inertia", *heat.thermal_inertia, Quantity::plain);
        }
        if (heat.mtsr) {
            FindingRow& row =
                figure(FindingId::mtsr, group, "could reach (MTSR)", heat.mtsr->temperature_c, Quantity::temperature);
            row.second = "from " + valueText(heat.mtsr->time_s, Quantity::time);
            row.place = in(PaneKind::temperature, heat.mtsr->time_s, heat.mtsr->time_s);
        }
        if (heat.evaporated_g) {
            FindingRow& row =
                figure(FindingId::evaporated, group, "water boiled off", *heat.evaporated_g, Quantity::mass);
            if (const auto& plateau = found_.landmarks.boil_plateau) {
                row.place = in(PaneKind::heat_flow, plateau->start_s, plateau->end_s);
            }
        }
    }

    void cure() {
        const CureFindings& cure = found_.cure;
        constexpr FindingGroup group = FindingGroup::cure;
        const bool second = !cure.second_heating_of.empty();
        const FindingId degree = second ? FindingId::degreeBefore : FindingId::degree;
        const char* const name = second ? "degree before it" : "degree of cure";
        if (cure.final_degree) {
            figure(degree, group, name, *cure.final_degree, Quantity::degree).place = wholeCure(PaneKind::degree);
        } else {
            add(degree, group, name, "unknown");
        }
        for (const DegreeAt& at : cure.at) {
            const std::string at_name = "degree at " + valueText(at.time_s, Quantity::time);
            if (at.degree) {
                figure(FindingId::degreeAt, group, at_name, *at.degree, Quantity::degree).place =
                    in(PaneKind::degree, at.time_s, at.time_s);
            } else {
                add(FindingId::degreeAt, group, at_name, "unknown");
            }
        }
        if (cure.reference_j_per_g) {
            FindingRow& row = add(FindingId::referenceHeat, group, "reference heat",
                                  valueText(*cure.reference_j_per_g, Quantity::heat_per_gram));
            row.second = oneLine(cure.reference_from);
        }
        if (!cure.stage.empty()) {
            add(FindingId::stage, group, "stage", oneLine(cure.stage));
        }
        if (cure.gel_time_s) {
            figure(FindingId::gelTime, group, "gel time", *cure.gel_time_s, Quantity::time).place =
                in(PaneKind::degree, cure.gel_time_s->value, cure.gel_time_s->value);
        }
        if (cure.equivalent && !analysis_.series.time_s.empty()) {
            const EquivalentTime& equivalent = *cure.equivalent;
            FindingRow& row = add(FindingId::equivalentTime, group, "as much cure as",
                                  durationText(equivalent.time_s.value) + " at " +
                                      valueText(equivalent.reference_c, Quantity::temperature));
            row.intervals = durationText(equivalent.time_s.low) + " to " + durationText(equivalent.time_s.high);
            row.place = in(PaneKind::temperature, equivalent.from_s, analysis_.series.time_s.back());
        }
    }

    void samples() {
        const SampleCount& samples = found_.samples;
        constexpr FindingGroup group = FindingGroup::samples;
        FindingRow& row = add(FindingId::samples, group, "samples",
                              fmt::format("{} over {}", countText(samples.kept), durationText(samples.span_s)));
        if (samples.refused > 0) {
            row.second = countText(samples.refused, "line refused", "lines refused");
        }
        if (!analysis_.series.time_s.empty()) {
            row.place = in(PaneKind::temperature, analysis_.series.time_s.front(), analysis_.series.time_s.back());
        }
        if (samples.median_interval_s > 0.0) {
            add(FindingId::interval, group, "interval",
                fmt::format("one every {} s", numberText(samples.median_interval_s)));
        }
    }

    const Analysis& analysis_;
    const Findings& found_;
    std::vector<FindingRow> rows_;
};

} // namespace

std::optional<std::size_t> largestExotherm(const Findings& findings) {
    std::optional<std::size_t> nearest;
    if (!findings.landmarks.peak) {
        return nearest;
    }
    double least = 0.0;
    for (std::size_t i = 0; i < findings.exotherms.size(); ++i) {
        if (!findings.exotherms[i].peak) {
            continue;
        }
        const double away = std::abs(findings.exotherms[i].peak->time_s.value - findings.landmarks.peak->time_s.value);
        if (!nearest || away < least) {
            nearest = i;
            least = away;
        }
    }
    return nearest;
}

std::vector<std::size_t> namedExotherms(const Findings& findings) {
    std::vector<std::size_t> named;
    for (std::size_t i = 0; i < findings.exotherms.size(); ++i) {
        if (findings.exotherms[i].peak) {
            named.push_back(i);
        }
    }
    const std::optional<std::size_t> largest = largestExotherm(findings);
    std::stable_sort(named.begin(), named.end(), [&](std::size_t a, std::size_t b) {
        const auto rank = [&](std::size_t i) {
            return std::pair(i == largest, findings.exotherms[i].peak->temperature_c.value);
        };
        return rank(a) > rank(b);
    });
    named.resize(std::min(named.size(), most_named_exotherms));
    std::sort(named.begin(), named.end());
    return named;
}

std::vector<FindingRow> findingRows(const Analysis& analysis) {
    return Rows(analysis).take();
}

std::string_view titleOf(FindingGroup group) {
    switch (group) {
    case FindingGroup::timesAndTemperatures:
        return "Times and temperatures";
    case FindingGroup::heat:
        return "Heat";
    case FindingGroup::cure:
        return "Cure";
    case FindingGroup::samples:
        return "Samples";
    }
    return "";
}

std::string tabbed(const FindingRow& row) {
    return fmt::format("{}\t{}\t{}\t{}", row.name, row.result, row.second, row.intervals);
}

} // namespace potwatch::format
