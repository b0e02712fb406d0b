// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/programme.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::forecast {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

TEST(Programme, isReadAndWrittenBack) {
    const Programme programme = programmeOf("25>80@2/30 80>120@1/60").value();
    ASSERT_EQ(programme.steps.size(), 2U);
    EXPECT_EQ(programme.steps[1], (ProgrammeStep{80.0, 120.0, 1.0, 60.0}));
    EXPECT_EQ(textOf(programme), "25>80@2/30 80>120@1/60");
    EXPECT_EQ(textOf(programmeOf("  120>25@0.5 ").value()), "120>25@0.5");
}

TEST(Programme, isTheCourseOfTheAir) {
    const Programme programme = programmeOf("25>80@2/30 80>70@1").value();
    const TemperatureCourse air = courseOf(programme);
    EXPECT_THAT(air.time_s, ElementsAre(0.0, 1650.0, 3450.0, 4050.0));
    EXPECT_THAT(air.temperature_c, ElementsAre(25.0, 80.0, 80.0, 70.0));
    EXPECT_EQ(durationS(programme), 4050.0);
}

TEST(Programme, saysAtWhichColumnItCannotBeRead) {
    const auto columnOf = [](std::string_view text) {
        const Result<Programme> programme = programmeOf(text);
        EXPECT_FALSE(programme) << text;
        return programme ? 0L : programme.error().where.column.value_or(0);
    };
    EXPECT_EQ(columnOf(""), 1);
    EXPECT_EQ(columnOf("25-80@2"), 3);
    EXPECT_EQ(columnOf("25>80"), 6);
    EXPECT_EQ(columnOf("25>80@0/30"), 7);
    EXPECT_EQ(columnOf("25>80@2/x"), 9);
    EXPECT_EQ(columnOf("25>80@2;80>120@1"), 8);
    EXPECT_EQ(columnOf("25>80@2/30 90>120@1"), 12);
    EXPECT_EQ(columnOf("25>-300@2"), 4);
    EXPECT_THAT(programmeOf("25>80@2/30 90>120@1").error().what, HasSubstr("ended at 80"));
}

} // namespace
} // namespace potwatch::forecast
