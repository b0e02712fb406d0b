// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/leading_path.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::kinetics {
namespace {

// One run at one temperature, with paths of the same energy: k2 is `ratio` times k1, and m = 1.
KineticFit fitOf(double ratio) {
    KineticFit fit;
    fit.kinetics.kind = RateModel::autocatalytic;
    fit.kinetics.a1_per_s = 1e6;
    fit.kinetics.a2_per_s = ratio * 1e6;
    fit.kinetics.e1_kj_per_mol = 60.0;
    fit.kinetics.e2_kj_per_mol = 60.0;
    fit.kinetics.m = 1.0;
    fit.parameters = {{.name = "e1_kj_per_mol", .unit = "kJ/mol", .value = normalEstimate(60.0, 1.0)},
                      {.name = "e2_kj_per_mol", .unit = "kJ/mol", .value = normalEstimate(60.0, 2.0)}};
    FittedRun run;
    for (int i = 0; i <= 10000; ++i) {
        run.temperature_c.push_back(60.0);
        run.degree.push_back(i / 10000.0);
    }
    fit.runs.push_back(run);
    return fit;
}

TEST(LeadingPath, isTheOneThatCarriesMostOfTheCure) {
    // Share of the first: the mean of 1 / (1 + ratio degree) over the degree, ln(1 + ratio) / ratio.
    const LeadingPath first = leadingPath(fitOf(1.0));
    EXPECT_EQ(first.e_kj_per_mol, normalEstimate(60.0, 1.0));
    EXPECT_NEAR(first.share, std::log(2.0), 1e-4);
    const LeadingPath second = leadingPath(fitOf(20.0));
    EXPECT_EQ(second.e_kj_per_mol, normalEstimate(60.0, 2.0));
    EXPECT_NEAR(second.share, 1.0 - std::log(21.0) / 20.0, 1e-3);
}

TEST(LeadingPath, ofALawOfOnePathIsThatOne) {
    KineticFit fit = fitOf(0.0);
    fit.kinetics.kind = RateModel::nth_order;
    EXPECT_EQ(leadingPath(fit).e_kj_per_mol, normalEstimate(60.0, 1.0));
    EXPECT_EQ(leadingPath(fit).share, 1.0);
}

} // namespace
} // namespace potwatch::kinetics
