// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/leading_path.h"

#include "analysis/forecast/cure_law.h"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace potwatch::kinetics {

namespace {

Estimate named(const KineticFit& fit, std::string_view name, double otherwise) {
    const auto found = std::find_if(fit.parameters.begin(), fit.parameters.end(),
                                    [&](const FittedParameter& one) { return one.name == name; });
    return found == fit.parameters.end() ? normalEstimate(otherwise, 0.0) : found->value;
}

} // namespace

LeadingPath leadingPath(const KineticFit& fit) {
    const Kinetics& law = fit.kinetics;
    const auto k = [](double a_per_s, double e_kj_per_mol, double temperature_c) {
        return a_per_s *
               std::exp(-1000.0 * e_kj_per_mol / (forecast::gas_constant_j_per_mol_k * (temperature_c + 273.15)));
    };
    double first = 0.0;
    double all = 0.0;
    for (const FittedRun& run : fit.runs) {
        for (std::size_t i = 1; i < run.degree.size(); ++i) {
            const double cured = run.degree[i] - run.degree[i - 1];
            const double one = k(law.a1_per_s, law.e1_kj_per_mol, run.temperature_c[i]);
            const double other = k(law.a2_per_s, law.e2_kj_per_mol, run.temperature_c[i]) *
                                 std::pow(std::max(0.0, run.degree[i]), law.m);
            if (cured > 0.0 && one + other > 0.0) {
                first += cured * one / (one + other);
                all += cured;
            }
        }
    }
    const double share = all > 0.0 ? first / all : 1.0;
    return law.kind == RateModel::nth_order || share >= 0.5
               ? LeadingPath{.e_kj_per_mol = named(fit, "e1_kj_per_mol", law.e1_kj_per_mol), .share = share}
               : LeadingPath{.e_kj_per_mol = named(fit, "e2_kj_per_mol", law.e2_kj_per_mol), .share = 1.0 - share};
}

} // namespace potwatch::kinetics
