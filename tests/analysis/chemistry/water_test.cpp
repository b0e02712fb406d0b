// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/chemistry/water.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

namespace potwatch::chemistry {
namespace {

using testing::HasSubstr;

TEST(Water, boilsAtTheTemperatureWhoseSaturationPressureItIs) {
    for (double temperature_c = 0.01; temperature_c < 370.0; temperature_c += 3.7) {
        EXPECT_NEAR(*saturationTemperatureC(*saturationPressureKpa(temperature_c)), temperature_c, 1e-5);
    }
}

TEST(Water, saysTheRangeWhenAskedBeyondIt) {
    for (const double temperature_c : {-0.1, 374.0, std::numeric_limits<double>::quiet_NaN()}) {
        const auto pressure_kpa = saturationPressureKpa(temperature_c);
        ASSERT_FALSE(pressure_kpa);
        EXPECT_EQ(pressure_kpa.error().kind, FaultKind::range);
        EXPECT_THAT(pressure_kpa.error().remedy, HasSubstr("0 to 373.946 °C"));
    }
    for (const double pressure_kpa : {-1.0, 0.0, 0.6, 23000.0, std::numeric_limits<double>::quiet_NaN()}) {
        EXPECT_FALSE(saturationTemperatureC(pressure_kpa));
    }
}

TEST(Water, hasItsEndsHeatsOutsideTheFittedRange) {
    EXPECT_EQ(latentHeatJPerG(-20.0), latentHeatJPerG(0.0));
    EXPECT_EQ(latentHeatJPerG(250.0), latentHeatJPerG(200.0));
    EXPECT_EQ(liquidSpecificHeatJPerGK(250.0), liquidSpecificHeatJPerGK(200.0));
}

TEST(Water, takesLessHeatToEvaporateTheHotterItIs) {
    for (double temperature_c = 1.0; temperature_c <= 200.0; temperature_c += 1.0) {
        EXPECT_LT(latentHeatJPerG(temperature_c), latentHeatJPerG(temperature_c - 1.0));
    }
}

} // namespace
} // namespace potwatch::chemistry
