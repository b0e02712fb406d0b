// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/findings_json.h"

#include <nlohmann/json.hpp>

#include <cassert>
#include <cmath>

namespace potwatch::format {
namespace {

using Json = nlohmann::ordered_json;

// JSON has no NaN: a figure that is not finite is a fault of the analysis, and reads as unknown.
Json number(double value) {
    const bool finite = std::isfinite(value);
    assert(finite);
    return finite ? Json(value) : Json(nullptr);
}

Json number(const std::optional<double>& value) {
    return value ? number(*value) : Json(nullptr);
}

Json text(const std::string& value) {
    return value.empty() ? Json(nullptr) : Json(value);
}

Json estimate(const Estimate& e) {
    const bool finite = std::isfinite(e.value) && std::isfinite(e.u) && std::isfinite(e.low) && std::isfinite(e.high);
    assert(finite);
    if (!finite) {
        return nullptr;
    }
    return Json{{"value", e.value}, {"u", e.u}, {"low", e.low}, {"high", e.high}};
}

Json json(const Landmark& landmark) {
    return Json{{"time_s", estimate(landmark.time_s)}, {"temperature_c", estimate(landmark.temperature_c)}};
}

Json json(const Steepest& steepest) {
    return Json{{"time_s", estimate(steepest.time_s)},
                {"temperature_c", estimate(steepest.temperature_c)},
                {"rate_k_per_min", estimate(steepest.rate_k_per_min)}};
}

Json json(const Peak& peak) {
    return Json{{"time_s", estimate(peak.time_s)},
                {"temperature_c", estimate(peak.temperature_c)},
                {"reading_c", number(peak.reading_c)}};
}

Json json(const BoilPlateau& plateau) {
    return Json{{"start_s", number(plateau.start_s)},
                {"end_s", number(plateau.end_s)},
                {"temperature_c", number(plateau.temperature_c)}};
}

Json json(const EquivalentTime& equivalent) {
    return Json{{"time_s", estimate(equivalent.time_s)},
                {"reference_c", number(equivalent.reference_c)},
                {"e_kj_per_mol", estimate(equivalent.e_kj_per_mol)},
                {"from_s", number(equivalent.from_s)}};
}

Json json(const Mtsr& mtsr) {
    return Json{{"temperature_c", estimate(mtsr.temperature_c)}, {"time_s", number(mtsr.time_s)}};
}

Json json(const HighestReading& highest) {
    return Json{{"time_s", number(highest.time_s)}, {"reading_c", number(highest.reading_c)}};
}

template<class T>
Json json(const std::optional<T>& value) {
    return value ? json(*value) : Json(nullptr);
}

Json json(const SampleCount& samples) {
    return Json{{"kept", samples.kept},
                {"refused", samples.refused},
                {"span_s", number(samples.span_s)},
                {"median_interval_s", number(samples.median_interval_s)}};
}

Json json(const Landmarks& landmarks) {
    return Json{{"onset", json(landmarks.onset)},       {"first_deviation", json(landmarks.first_deviation)},
                {"steepest", json(landmarks.steepest)}, {"peak", json(landmarks.peak)},
                {"end", json(landmarks.end)},           {"boil_plateau", json(landmarks.boil_plateau)}};
}

Json json(const HeatFindings& heat) {
    return Json{{"released_j", estimateJson(heat.released_j)},
                {"per_gram_j", estimateJson(heat.per_gram_j)},
                {"heat_capacity_j_per_k", estimateJson(heat.heat_capacity_j_per_k)},
                {"loss_coefficient_w_per_k", estimateJson(heat.loss_coefficient_w_per_k)},
                {"loss_exponent", estimateJson(heat.loss_exponent)},
                {"surroundings_c", estimateJson(heat.surroundings_c)},
                {"loss_from", text(heat.loss_from)},
                {"evaporated_g", estimateJson(heat.evaporated_g)},
                {"adiabatic_rise_k", estimateJson(heat.adiabatic_rise_k)},
                {"lower_bound", heat.lower_bound},
                {"thermal_inertia", estimateJson(heat.thermal_inertia)},
                {"mtsr", json(heat.mtsr)}};
}

Json json(const CureFindings& cure) {
    Json at = Json::array();
    for (const DegreeAt& entry : cure.at) {
        at.push_back(Json{{"time_s", number(entry.time_s)}, {"degree", estimateJson(entry.degree)}});
    }
    return Json{{"final", estimateJson(cure.final_degree)},
                {"reference_j_per_g", number(cure.reference_j_per_g)},
                {"reference_from", text(cure.reference_from)},
                {"at", std::move(at)},
                {"stage", text(cure.stage)},
                {"gel_time_s", estimateJson(cure.gel_time_s)},
                {"equivalent", json(cure.equivalent)},
                {"second_heating_of", text(cure.second_heating_of)}};
}

Json json(const Input& input) {
    return Json{{"name", input.name},
                {"value", number(input.value)},
                {"u", number(input.u)},
                {"unit", text(input.unit)},
                {"from", text(input.from)}};
}

Json json(const Event& event) {
    return Json{{"time_s", number(event.time_s)}, {"kind", event.kind}, {"text", text(event.text)}};
}

} // namespace

Json estimateJson(const std::optional<Estimate>& value) {
    return value ? estimate(*value) : Json(nullptr);
}

Json findingsJson(const Analysis& analysis) {
    const Findings& findings = analysis.findings;
    Json exotherms = Json::array();
    for (const Exotherm& exotherm : findings.exotherms) {
        exotherms.push_back(
            Json{{"onset", json(exotherm.onset)}, {"peak", json(exotherm.peak)}, {"end", json(exotherm.end)}});
    }
    Json by_hand = Json::array();
    for (const LandmarkKind kind : findings.by_hand) {
        by_hand.push_back(std::string(nameOf(kind)));
    }
    Json events = Json::array();
    for (const Event& event : analysis.events) {
        events.push_back(json(event));
    }
    Json inputs = Json::array();
    for (const Input& input : findings.inputs) {
        inputs.push_back(json(input));
    }
    return Json{{"run", findings.run},
                {"file", findings.file},
                {"channel", text(findings.channel)},
                {"samples", json(findings.samples)},
                {"landmarks", json(findings.landmarks)},
                {"by_hand", std::move(by_hand)},
                {"exotherms", std::move(exotherms)},
                {"highest_reading", json(findings.highest_reading)},
                {"heat", json(findings.heat)},
                {"cure", json(findings.cure)},
                {"events", std::move(events)},
                {"inputs", std::move(inputs)},
                {"warnings", findings.warnings},
                {"analysis_version", findings.version}};
}

} // namespace potwatch::format
