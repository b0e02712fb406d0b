// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/chemistry/piece_density.h"
#include "analysis/chemistry/typical_values.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

namespace potwatch::chemistry {
namespace {

// Law of the table: the value lies within its range, the uncertainty covers it, and there is a source.
TEST(TypicalValues, areWithinTheirRangesAndHaveASource) {
    for (const auto values : {resinSpecificHeats(), heatsOfReaction(), vesselSpecificHeats()}) {
        EXPECT_FALSE(values.empty());
        for (const TypicalValue& one : values) {
            EXPECT_GT(one.low, 0.0) << one.of;
            EXPECT_LT(one.low, one.value) << one.of;
            EXPECT_LT(one.value, one.high) << one.of;
            EXPECT_GE(one.u, 0.4 * (one.high - one.low) / 2.0) << one.of;
            EXPECT_FALSE(one.source.empty()) << one.of;
        }
    }
}

TEST(TypicalValues, makeAVesselOfMassAndMaterial) {
    const TypicalValue& glass = vesselSpecificHeats()[0];
    const VesselHeatCapacity found = vesselHeatCapacity(100.0, glass);
    EXPECT_DOUBLE_EQ(found.value_j_per_k, 100.0 * glass.value);
    EXPECT_GT(found.u_j_per_k, 100.0 * glass.u);
    EXPECT_DOUBLE_EQ(vesselHeatCapacity(200.0, glass).u_j_per_k, 2.0 * found.u_j_per_k);
}

// Source: density of water, tables of the CIPM formula (Tanaka et al. 2001): 0.999 843 at 0, 0.999 972 at 4, 0.998 203
// at 20, 0.992 212 at 40 °C; rounded to the sixth digit.
TEST(PieceDensity, knowsTheDensityOfWater) {
    EXPECT_NEAR(*waterDensityGPerMl(0.0), 0.999843, 2e-6);
    EXPECT_NEAR(*waterDensityGPerMl(4.0), 0.999975, 4e-6);
    EXPECT_NEAR(*waterDensityGPerMl(20.0), 0.998207, 5e-6);
    EXPECT_NEAR(*waterDensityGPerMl(40.0), 0.992215, 5e-6);
    EXPECT_FALSE(waterDensityGPerMl(60.0));
    EXPECT_FALSE(waterDensityGPerMl(std::numeric_limits<double>::quiet_NaN()));
}

TEST(PieceDensity, isThatOfArchimedes) {
    // A piece of 10 mL and 12.14 g: in air it weighs less by 10 mL of air, in water by 10 mL of water.
    const double water = *waterDensityGPerMl(20.0);
    const double air = 0.0012;
    const Result<double> density = pieceDensityGPerMl({12.14 - 10.0 * air, 12.14 - 10.0 * water, 20.0});
    ASSERT_TRUE(density);
    EXPECT_NEAR(*density, 1.214, 1e-12);
}

TEST(PieceDensity, refusesSwappedWeights) {
    EXPECT_EQ(pieceDensityGPerMl({2.0, 12.0, 20.0}).error().kind, FaultKind::range);
    EXPECT_FALSE(pieceDensityGPerMl({12.0, -1.0, 20.0}));
    EXPECT_FALSE(pieceDensityGPerMl({0.0, 0.0, 20.0}));
    EXPECT_FALSE(pieceDensityGPerMl({12.0, 2.0, 80.0}));
}

} // namespace
} // namespace potwatch::chemistry
