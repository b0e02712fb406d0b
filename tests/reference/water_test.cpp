// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/chemistry/water.h"
#include "tests/reference/table.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace potwatch::chemistry {
namespace {

// Source: IAPWS R7-97(2012), tables 35 and 36 (as printed there, 9 digits).
TEST(WaterReference, saturationMeetsTheReleasesVerificationValues) {
    EXPECT_NEAR(*saturationPressureKpa(300.0 - 273.15), 3.53658941, 1e-8 * 3.5);
    EXPECT_NEAR(*saturationPressureKpa(500.0 - 273.15), 2638.89776, 1e-8 * 2600);
    EXPECT_NEAR(*saturationPressureKpa(600.0 - 273.15), 12344.3146, 1e-8 * 12000);
    EXPECT_NEAR(*saturationTemperatureC(100.0) + 273.15, 372.755919, 1e-6);
    EXPECT_NEAR(*saturationTemperatureC(1000.0) + 273.15, 453.035632, 1e-6);
    EXPECT_NEAR(*saturationTemperatureC(10000.0) + 273.15, 584.149488, 1e-6);
}

// Source: tests/reference/data/README.md, water-saturation.csv (six decimals of a kPa; 1e-6 relative above 1 kPa).
TEST(WaterReference, saturationPressureMeetsTheTableEveryTenDegrees) {
    const reference::Table table("water-saturation.csv");
    ASSERT_EQ(table.size(), 21U);
    for (std::size_t row = 0; row < table.size(); ++row) {
        const double expected_kpa = table.number(row, "p_sat_kPa");
        EXPECT_NEAR(*saturationPressureKpa(table.number(row, "t_degC")), expected_kpa,
                    1e-6 * std::max(1.0, expected_kpa));
    }
}

// Source: the same formulation, with the `iapws` package 1.5.2 (four decimals).
TEST(WaterReference, boilingPointsMeetTheTable) {
    const double bar[] = {1.01325, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0};
    const double boiling_c[] = {99.9743, 99.6059, 120.2115, 133.5254, 143.6125, 158.8324, 170.4135, 179.8856};
    for (std::size_t i = 0; i < 8; ++i) {
        EXPECT_NEAR(*saturationTemperatureC(100.0 * bar[i]), boiling_c[i], 6e-5);
    }
}

// Tolerances: the errors that water.h states for its polynomials.
TEST(WaterReference, latentAndSpecificHeatMeetTheTableWithinTheirStatedError) {
    const reference::Table table("water-saturation.csv");
    for (std::size_t row = 0; row < table.size(); ++row) {
        const double temperature_c = table.number(row, "t_degC");
        EXPECT_NEAR(latentHeatJPerG(temperature_c), table.number(row, "h_fg_kJ_per_kg"), 0.03);
        EXPECT_NEAR(liquidSpecificHeatJPerGK(temperature_c), table.number(row, "cp_liq_kJ_kgK"), 0.0015);
    }
}

// Source: the same, at 101.325 kPa instead of on the saturation line: 4.18479 at 20 °C, 4.18276 at 60 °C.
TEST(WaterReference, specificHeatIsThatAtOneAtmosphereToo) {
    EXPECT_NEAR(liquidSpecificHeatJPerGK(20.0), 4.18479, 0.002);
    EXPECT_NEAR(liquidSpecificHeatJPerGK(60.0), 4.18276, 0.002);
}

} // namespace
} // namespace potwatch::chemistry
