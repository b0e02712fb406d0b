// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse_run.h"
#include "analysis/kinetics/isoconversional.h"
#include "tests/reference/truth_runs.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

// Source: tests/reference/truth/README.md (a stiff integrator outside the project; parameters invented).
namespace potwatch::kinetics {
namespace {

// The two paths of 60 and 48 kJ/mol together look like 50.7 to 51.2 kJ/mol between the degrees 0.2 and 0.7. The
// readings carry probe lag, noise and quarter-degree steps; s05 to s07 boil, and what boiled is left out.
TEST(TruthKinetics, friedmanOfTheReadingsFindsTheTruth) {
    std::vector<CureCourse> courses;
    for (const char* const name : {"s01", "s02", "s03", "s04", "s05", "s06", "s07"}) {
        const potwatch::Run run = reference::truthRun(name);
        const auto study = findings::study(run, {});
        ASSERT_TRUE(study) << describe(study.error());
        const auto course = cureCourseOf(*study);
        ASSERT_TRUE(course) << describe(course.error());
        courses.push_back(*course);
    }
    const FriedmanSettings found_order{.degrees = {0.2, 0.3, 0.4, 0.5, 0.6, 0.7}};
    const auto found = friedman(courses, found_order);
    ASSERT_TRUE(found) << describe(found.error());
    EXPECT_NEAR(found->catalyst_order->value, 1.0, 0.05);
    EXPECT_LE(found->catalyst_order->low, 1.0);
    EXPECT_GE(found->catalyst_order->high, 1.0);
    const auto stated = friedman(courses, {.order = CatalystOrder::stated, .degrees = found_order.degrees});
    ASSERT_TRUE(stated) << describe(stated.error());
    ASSERT_EQ(found->at.size(), 6U);
    ASSERT_EQ(stated->at.size(), 6U);
    for (std::size_t i = 0; i < found->at.size(); ++i) {
        EXPECT_NEAR(found->at[i].e_kj_per_mol.value, 50.9, 3.0) << found->at[i].degree;
        EXPECT_NEAR(stated->at[i].e_kj_per_mol.value, 50.9, 1.5) << stated->at[i].degree;
        EXPECT_LE(found->at[i].e_kj_per_mol.low, 50.7);
        EXPECT_GE(found->at[i].e_kj_per_mol.high, 51.2);
    }
}

TEST(TruthKinetics, aRunWithoutCoolingHasNoCourse) {
    const potwatch::Run run = reference::truthRun("cut-short");
    const auto study = findings::study(run, {});
    ASSERT_TRUE(study) << describe(study.error());
    const auto course = cureCourseOf(*study);
    ASSERT_FALSE(course);
    EXPECT_NE(course.error().what.find("how the pot loses heat is not known"), std::string::npos);
}

} // namespace
} // namespace potwatch::kinetics
