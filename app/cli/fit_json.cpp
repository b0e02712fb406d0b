// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/fit_output.h"
#include "app/format/findings_json.h"
#include "app/format/fit_tables.h"

#include <nlohmann/json.hpp>

#include <cmath>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;

// JSON has no infinity: an interval that open says nothing.
Json number(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}

Json textOrNull(const std::string& text) {
    return text.empty() ? Json(nullptr) : Json(text);
}

Json parameters(const KineticFit& fit) {
    Json list = Json::array();
    for (const FittedParameter& one : fit.parameters) {
        Json parameter{{"name", one.name},
                       {"value", number(one.value.value)},
                       {"u", number(one.value.u)},
                       {"low", number(one.value.low)},
                       {"high", number(one.value.high)},
                       {"unit", one.unit},
                       {"determined", one.determined}};
        if (!one.vessel.empty()) {
            parameter["vessel"] = one.vessel;
        }
        list.push_back(std::move(parameter));
    }
    return list;
}

Json adiabatic(const AdiabaticFigures& found) {
    return {{"phi", format::estimateJson(found.thermal_inertia)},
            {"rise_k", format::estimateJson(found.rise_k)},
            {"rise_without_vessel_k", format::estimateJson(found.rise_without_vessel_k)},
            {"mtsr_c", format::estimateJson(found.mtsr_c)},
            {"mtsr_at_s", found.mtsr_at_s ? number(*found.mtsr_at_s) : Json(nullptr)},
            {"time_to_maximum_s", format::estimateJson(found.time_to_maximum_s)},
            {"time_to_maximum_without_vessel_s", format::estimateJson(found.time_to_maximum_without_vessel_s)},
            {"zero_order_s", found.zero_order_s ? number(*found.zero_order_s) : Json(nullptr)}};
}

Json modelFree(const ModelFree& free) {
    Json at = Json::array();
    for (const EnergyAtDegree& one : free.at) {
        at.push_back({{"degree", one.degree},
                      {"e_kj_per_mol", format::estimateJson(one.e_kj_per_mol)},
                      {"runs", one.runs},
                      {"t_min_c", number(one.t_min_c)},
                      {"t_max_c", number(one.t_max_c)}});
    }
    return {{"method", free.method},
            {"at", std::move(at)},
            {"catalyst_order", format::estimateJson(free.catalyst_order)},
            {"order_found", free.order_found},
            {"warnings", free.warnings}};
}

Json lawFree(const session::LawFreeFindings& found) {
    Json json{{"friedman", nullptr},
              {"friedman_refused", nullptr},
              {"constant_rate", nullptr},
              {"constant_rate_refused", nullptr}};
    if (found.friedman) {
        json["friedman"] = modelFree(*found.friedman);
    } else {
        json["friedman_refused"] = found.friedman.error().what;
    }
    if (!found.constant_rate) {
        json["constant_rate_refused"] = found.constant_rate.error().what;
        return json;
    }
    Json peaks = Json::array();
    for (const EnergyFromPeaks& one : found.constant_rate->peaks) {
        peaks.push_back({{"method", one.method},
                         {"e_kj_per_mol", format::estimateJson(one.e_kj_per_mol)},
                         {"a_per_s", number(one.a_per_s)},
                         {"runs", one.runs}});
    }
    Json by_degree = Json::array();
    for (const ModelFree& one : found.constant_rate->by_degree) {
        by_degree.push_back(modelFree(one));
    }
    json["constant_rate"] = {{"heating_k_per_min", found.constant_rate->heating_k_per_min},
                             {"peaks", std::move(peaks)},
                             {"by_degree", std::move(by_degree)},
                             {"warnings", found.constant_rate->warnings}};
    return json;
}

} // namespace

nlohmann::ordered_json fitJson(const session::FittedFiles& fitted) {
    const KineticFit& fit = fitted.fit;
    Json runs = Json::array();
    for (const FittedRun& run : fit.runs) {
        runs.push_back({{"run", run.name},
                        {"file", run.file},
                        {"vessel", textOrNull(run.vessel)},
                        {"rmse_degree", number(run.rmse_degree)},
                        {"rmse_k", number(run.rmse_k)},
                        {"degree_final", number(run.degree_final)},
                        {"adiabatic", adiabatic(run.adiabatic)}});
    }
    Json left_out = Json::array();
    for (const LeftOut& one : fit.left_out) {
        left_out.push_back({{"run", one.run},
                            {"start_s", number(one.from_s)},
                            {"end_s", number(one.to_s)},
                            {"reason", one.reason},
                            {"evaporated_g", format::estimateJson(one.evaporated_g)}});
    }
    Json models = Json::array();
    for (const ComparedModel& one : fit.models) {
        const bool fits = one.fault.empty();
        models.push_back({{"model", format::nameOf(one.model)},
                          {"parameters", one.parameters},
                          {"rmse_degree", fits ? number(one.rmse_degree) : Json(nullptr)},
                          {"aic_difference", fits ? number(one.aic) : Json(nullptr)},
                          {"fault", textOrNull(one.fault)}});
    }
    Json inputs = Json::array();
    for (const AdjustedInput& one : fit.inputs) {
        inputs.push_back({{"name", one.name},
                          {"of", textOrNull(one.of)},
                          {"unit", one.unit},
                          {"stated", number(one.stated)},
                          {"stated_u", number(one.stated_u)},
                          {"fitted", format::estimateJson(one.fitted)}});
    }
    Json equivalents = Json::array();
    for (const session::RunEquivalent& one : fitted.equivalents) {
        equivalents.push_back({{"run", one.run},
                               {"time_s", format::estimateJson(one.equivalent.time_s)},
                               {"reference_c", number(one.equivalent.reference_c)},
                               {"e_kj_per_mol", format::estimateJson(one.equivalent.e_kj_per_mol)}});
    }
    std::vector<std::string> warnings = fitted.warnings;
    warnings.insert(warnings.end(), fit.warnings.begin(), fit.warnings.end());
    Json json{{"format", 1},
              {"model", format::nameOf(fit.kinetics.kind)},
              {"parameters", parameters(fit)},
              {"catalyst_order_held", fit.catalyst_order_held ? number(*fit.catalyst_order_held) : Json(nullptr)},
              {"catalyst_reference_g_per_g", number(fit.kinetics.catalyst_reference_g_per_g)},
              {"rmse_degree", number(fit.rmse_degree)},
              {"reduced_chi_square", number(fit.reduced_chi_square)},
              {"runs", std::move(runs)},
              {"left_out", std::move(left_out)},
              {"correlation", {{"parameters", fit.correlated}, {"matrix", fit.correlation}}},
              {"models", std::move(models)},
              {"inputs", std::move(inputs)},
              {"iterations", fit.iterations},
              {"isoconversional", fitted.law_free ? lawFree(*fitted.law_free) : Json(nullptr)},
              {"equivalents", std::move(equivalents)},
              {"warnings", std::move(warnings)}};
    return json;
}

} // namespace potwatch::cli
