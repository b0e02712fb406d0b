// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/cure_law.h"
#include "analysis/kinetics/constant_rate.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::kinetics {
namespace {

using testing::HasSubstr;

// A sample that follows an oven at a constant rate; the temperature's own doing adds self_heating_k at full cure.
CureCourse oven(double heating_k_per_min, double self_heating_k = 0.0) {
    const forecast::CureLaw law{.a1_per_s = 1e9, .e1_j_per_mol = 85000.0, .n = 1.2};
    CureCourse run{.run = fmt::format("{} K/min", heating_k_per_min)};
    const double step_s = 0.2 * 60.0 / heating_k_per_min;
    double degree = 0.0;
    for (int i = 0; i < 1500; ++i) {
        const double time_s = step_s * i;
        const auto rate = [&](double at_s, double at) {
            return forecast::curingRatePerS(
                law, {.temperature_c = 20.0 + heating_k_per_min / 60.0 * at_s + self_heating_k * at, .degree = at});
        };
        run.time_s.push_back(time_s);
        run.temperature_c.push_back(20.0 + heating_k_per_min / 60.0 * time_s + self_heating_k * degree);
        run.degree.push_back(degree);
        run.rate_per_s.push_back(rate(time_s, degree));
        const double k1 = rate(time_s, degree);
        const double k2 = rate(time_s + 0.5 * step_s, degree + 0.5 * step_s * k1);
        const double k3 = rate(time_s + 0.5 * step_s, degree + 0.5 * step_s * k2);
        const double k4 = rate(time_s + step_s, degree + step_s * k3);
        degree += step_s / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    }
    return run;
}

Fault refusalOf(const std::vector<CureCourse>& runs) {
    const auto result = constantRateEnergies(runs);
    EXPECT_FALSE(result);
    return result ? Fault{} : result.error();
}

TEST(ConstantRate, findsTheEnergyOfANthOrderCure) {
    const auto found = constantRateEnergies(std::vector{oven(1.0), oven(3.0), oven(10.0)});
    ASSERT_TRUE(found) << describe(found.error());
    EXPECT_NEAR(found->heating_k_per_min[1], 3.0, 1e-9);
    EXPECT_NEAR(found->peaks[0].e_kj_per_mol.value, 85.0, 0.5);
    EXPECT_NEAR(found->by_degree[0].at[4].e_kj_per_mol.value, 85.0, 0.5);
    EXPECT_TRUE(found->warnings.empty());
}

TEST(ConstantRate, refusesASampleThatHeatsItself) {
    const Fault fault = refusalOf({oven(1.0), oven(3.0, 40.0), oven(10.0)});
    EXPECT_EQ(fault.kind, FaultKind::missing);
    EXPECT_THAT(fault.what, HasSubstr("3 K/min: its heating rate is not constant"));
}

TEST(ConstantRate, refusesFewerThanThreeRates) {
    EXPECT_THAT(refusalOf({oven(1.0), oven(3.0)}).what, HasSubstr("2 different heating rates"));
    EXPECT_THAT(refusalOf({oven(3.0), oven(3.01), oven(3.02)}).what, HasSubstr("one heating rate"));
    EXPECT_FALSE(constantRateEnergies({}));
}

TEST(ConstantRate, refusesDosingAndCatalystThatDiffers) {
    std::vector<CureCourse> runs{oven(1.0), oven(3.0), oven(10.0)};
    for (CureCourse& run : runs) {
        run.catalyst_g_per_g.assign(run.time_s.size(), 0.03);
    }
    EXPECT_TRUE(constantRateEnergies(runs));
    runs[1].catalyst_g_per_g.assign(runs[1].time_s.size(), 0.06);
    EXPECT_THAT(refusalOf(runs).what, HasSubstr("differ in their catalyst"));
    for (std::size_t i = 0; i < runs[1].time_s.size(); ++i) {
        runs[1].catalyst_g_per_g[i] = 1e-4 * static_cast<double>(i);
    }
    EXPECT_THAT(refusalOf(runs).what, HasSubstr("3 K/min: the catalyst is dosed while the resin cures"));
}

TEST(ConstantRate, refusesTemperaturesThatDoNotRiseWithTheRate) {
    const std::vector<RatePoint> points{{1.0, 120.0}, {3.0, 110.0}, {10.0, 100.0}};
    EXPECT_THAT(kissinger(points).error().what, HasSubstr("do not rise"));
    EXPECT_EQ(kas(std::vector<RatePoint>{{1.0, 120.0}, {0.0, 130.0}, {2.0, 140.0}}, 0.5).error().kind,
              FaultKind::range);
}

TEST(ConstantRate, saysThatCloseRatesAreWeak) {
    const auto found = constantRateEnergies(std::vector{oven(5.0), oven(6.0), oven(7.0)});
    ASSERT_TRUE(found) << describe(found.error());
    ASSERT_EQ(found->warnings.size(), 1U);
    EXPECT_THAT(found->warnings[0], HasSubstr("close to each other"));
}

TEST(CureCourse, findsAPassageOnUnevenTimesAndNotInAGap) {
    CureCourse course{.time_s = {0.0, 1.0, 3.0, 4.0, 7.0, 9.0}, .temperature_c = std::vector<double>(6, 50.0)};
    for (const double t : course.time_s) {
        course.degree.push_back(0.01 * t * t);
        course.rate_per_s.push_back(0.02 * t);
    }
    ASSERT_TRUE(passing(course, 0.3));
    EXPECT_NEAR(passing(course, 0.3)->time_s, std::sqrt(30.0), 1e-9);
    EXPECT_NEAR(passing(course, 0.3)->rate_per_s, 0.02 * std::sqrt(30.0), 1e-9);
    EXPECT_FALSE(passing(course, 0.9));
    course.degree[4] = std::nan("");
    EXPECT_FALSE(passing(course, 0.3)); // between 4 and 9 s nothing is known
    EXPECT_TRUE(passing(course, 0.1));
    EXPECT_FALSE(passing(course, -0.1)); // it starts beyond
}

TEST(CureCourse, namesWhatIsWrongWithItsShape) {
    EXPECT_TRUE(faultIn({}));
    CureCourse course = oven(3.0);
    EXPECT_FALSE(faultIn(course));
    std::swap(course.time_s[3], course.time_s[4]);
    EXPECT_THAT(faultIn(course)->what, HasSubstr("do not ascend"));
}

} // namespace
} // namespace potwatch::kinetics
