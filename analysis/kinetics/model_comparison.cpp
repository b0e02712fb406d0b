// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/model_comparison.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

namespace potwatch::kinetics {

namespace {

std::string nameOf(RateModel model) {
    return model == RateModel::autocatalytic ? "autocatalytic" : "nth-order";
}

} // namespace

double rmseOf(const JointFit& fit, std::span<const PotRun> runs) {
    double square = 0.0;
    double count = 0.0;
    for (std::size_t r = 0; r < runs.size(); ++r) {
        const DegreeCourse course = degreeCourse(runs[r], fit.parametersOf(r), fit.settings);
        for (std::size_t i = 0; i < course.time_s.size(); ++i) {
            square += std::pow(course.measured[i] - course.modelled[i], 2);
            count += 1.0;
        }
    }
    return std::sqrt(square / std::max(1.0, count));
}

ComparedModel comparedModel(RateModel model, const JointFit& fit, double rmse_degree) {
    double n = 0.0;
    for (const auto& run : fit.residuals) {
        n += static_cast<double>(run.size());
    }
    const int parameters = static_cast<int>(fit.values.size());
    return {.model = model,
            .parameters = parameters,
            .rmse_degree = rmse_degree,
            .aic = n * std::log(std::max(fit.chi_square, 1e-300) / n) + 2.0 * parameters,
            .fault = {}};
}

void finishComparison(KineticFit& result, std::optional<double> order_held, bool catalysed) {
    double best = std::numeric_limits<double>::infinity();
    for (const ComparedModel& one : result.models) {
        best = one.fault.empty() ? std::min(best, one.aic) : best;
    }
    for (ComparedModel& one : result.models) {
        one.aic = one.fault.empty() ? one.aic - best : 0.0;
    }
    if (result.models.size() > 1 && result.models[1].fault.empty() && result.models[0].aic > 10.0) {
        result.warnings.push_back(fmt::format("the {} law matches these runs better (AIC lower by {:.0f}): fit that "
                                              "one",
                                              nameOf(result.models[1].model), result.models[0].aic));
    }
    result.catalyst_order_held = order_held;
    if (catalysed && order_held) {
        result.warnings.push_back("the catalyst's order is taken as 1: twice the catalyst, twice as fast; have it "
                                  "found too, from runs of different doses or dosing rates");
    }
}

} // namespace potwatch::kinetics
