// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/dose.h"

#include <gtest/gtest.h>

namespace potwatch::heat {
namespace {

TEST(Dose, runsAtItsRateUntilAllIsIn) {
    const Dose dose{.total_g = 4.0, .rate_g_per_min = 2.0, .start_s = 60.0};
    const DoseCourse course = *doseAsGiven(dose, {}, 1000.0).course;
    EXPECT_DOUBLE_EQ(course.dosedAt(59.0), 0.0);
    EXPECT_DOUBLE_EQ(course.dosedAt(120.0), 2.0);
    EXPECT_DOUBLE_EQ(course.dosedAt(999.0), 4.0);
    EXPECT_NEAR(course.rateAt(100.0), 2.0 / 60.0, 1e-15);
    EXPECT_DOUBLE_EQ(course.rateAt(181.0), 0.0);
}

TEST(Dose, eventsOutrankTheStatedTimes) {
    const Dose dose{.total_g = 4.0, .rate_g_per_min = 2.0, .start_s = 60.0};
    const std::vector<Event> events{{.time_s = 100.0, .kind = "dose start"}, {.time_s = 300.0, .kind = "dose end"}};
    const DoseCourse course = *doseAsGiven(dose, events, 1000.0).course;
    EXPECT_DOUBLE_EQ(course.dosedAt(200.0), 2.0);
}

TEST(Dose, stepsByDropsNeedDensityAndDropSize) {
    Dose dose{.steps = {{.time_s = 10.0, .amount = 40.0, .unit = DoseUnit::drop}}};
    EXPECT_FALSE(doseAsGiven(dose, {}, 100.0).course);
    EXPECT_NE(doseAsGiven(dose, {}, 100.0).missing.find("density_g_per_ml"), std::string::npos);
    dose.density_g_per_ml = 1.2;
    dose.drops_per_ml = 20.0;
    EXPECT_DOUBLE_EQ(doseAsGiven(dose, {}, 100.0).course->dosedAt(10.0), 2.4);
}

TEST(Dose, overlappingStepsAddUp) {
    const Dose dose{.steps = {{.time_s = 0.0, .amount = 2.0, .over_s = 100.0}, {.time_s = 50.0, .amount = 1.0}}};
    const DoseCourse course = *doseAsGiven(dose, {}, 200.0).course;
    EXPECT_DOUBLE_EQ(course.dosedAt(49.0), 0.98);
    EXPECT_DOUBLE_EQ(course.dosedAt(75.0), 2.5);
    EXPECT_DOUBLE_EQ(course.totalG(), 3.0);
}

TEST(Dose, saysWhatIsMissing) {
    EXPECT_NE(doseAsGiven(Dose{.total_g = 1.0}, {}, 100.0).missing.find("start_s"), std::string::npos);
    EXPECT_NE(doseAsGiven(Dose{.start_s = 1.0}, {}, 100.0).missing.find("total_g"), std::string::npos);
}

} // namespace
} // namespace potwatch::heat
