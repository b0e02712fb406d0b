// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/accumulation.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace potwatch::forecast {
namespace {

// 80 g of resin in a vessel, 4 g dosed from 100 s to 300 s; the pot warms by a kelvin for each percent that cures.
Analysis dosed(const std::vector<double>& degree) {
    Analysis analysis;
    Findings& found = analysis.findings;
    found.inputs = {{"resin", "g", 80.0, std::nullopt, "batch file"},
                    {"specific heat of the dose", "J/(g K)", 3.0, std::nullopt, "batch file"},
                    {"heat capacity of the vessel", "J/K", 25.0, 2.0, "batch file"},
                    {"heat of reaction", "J/g", 270.0, 13.5, "batch file"}};
    found.heat.heat_capacity_j_per_k = normalEstimate(197.0, 5.2);
    for (std::size_t i = 0; i < degree.size(); ++i) {
        analysis.series.time_s.push_back(100.0 * static_cast<double>(i));
        analysis.series.temperature_c.push_back(22.0 + 100.0 * degree[i]);
        analysis.series.temperature_u_k.push_back(0.1);
        analysis.series.degree.push_back(degree[i]);
    }
    return analysis;
}

Batch batchOf(DoseRole role) {
    Batch batch;
    batch.dose = Dose{.role = role, .total_g = 4.0, .rate_g_per_min = 1.2, .start_s = 100.0};
    return batch;
}

TEST(Accumulation, ofACatalystIsAllThatHasNotCured) {
    const auto found = mtsrOf(dosed({0.0, 0.0, 0.1, 0.4, 0.9}), batchOf(DoseRole::catalyst));
    ASSERT_TRUE(found);
    // At 200 s: 2 g are in, 191 J/K. Before the dose nothing can cure; later less is left.
    EXPECT_DOUBLE_EQ(found->time_s, 200.0);
    EXPECT_NEAR(found->temperature_c.value, 32.0 + 0.9 * 21600.0 / 191.0, 1e-9);
    EXPECT_LT(found->temperature_c.low, found->temperature_c.value - 5.0);
}

TEST(Accumulation, ofAReactantIsWhatWasDosedAndHasNotReacted) {
    const auto found = mtsrOf(dosed({0.0, 0.0, 0.3, 0.5, 0.9}), batchOf(DoseRole::reactant));
    ASSERT_TRUE(found);
    // At 300 s all of it is in and half has reacted; at 200 s half is in and 0.3 has.
    EXPECT_DOUBLE_EQ(found->time_s, 300.0);
    EXPECT_NEAR(found->temperature_c.value, 72.0 + 0.5 * 21600.0 / 197.0, 1e-9);
}

TEST(Accumulation, isNotToldOfBoilingOrOfWhatIsNotKnown) {
    Analysis boiled = dosed({0.0, 0.0, 0.1, 0.4, 0.9});
    boiled.findings.landmarks.boil_plateau = BoilPlateau{.start_s = 150.0, .end_s = 250.0, .temperature_c = 100.0};
    EXPECT_DOUBLE_EQ(mtsrOf(boiled, batchOf(DoseRole::catalyst))->time_s, 0.0);
    EXPECT_FALSE(mtsrOf(dosed({0.0, 0.0}), batchOf(DoseRole::diluent)));
    EXPECT_FALSE(mtsrOf(dosed({0.0, 0.0}), {}));
    Analysis unknown = dosed({0.0, 0.0, 0.1});
    unknown.series.degree.clear();
    EXPECT_FALSE(mtsrOf(unknown, batchOf(DoseRole::catalyst)));
    unknown = dosed({0.0, 0.0, 0.1});
    unknown.findings.inputs.pop_back(); // no heat of reaction
    EXPECT_FALSE(mtsrOf(unknown, batchOf(DoseRole::catalyst)));
}

TEST(Accumulation, thermalInertiaIsKnownWithTheVessel) {
    Analysis analysis = dosed({0.0});
    const auto phi = thermalInertiaOf(analysis.findings);
    ASSERT_TRUE(phi);
    EXPECT_NEAR(phi->value, 197.0 / 172.0, 1e-12);
    // 2 J/K of the vessel and 4.8 J/K of the contents, in quadrature.
    EXPECT_NEAR(phi->u, std::hypot(2.0, 25.0 * 4.8 / 172.0) / 172.0, 1e-12);
    analysis.findings.inputs[2].from = "default";
    EXPECT_FALSE(thermalInertiaOf(analysis.findings));
}

} // namespace
} // namespace potwatch::forecast
