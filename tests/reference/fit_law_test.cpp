// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/fit.h"
#include "tests/reference/pot_set.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>

// Source: pots drawn and integrated by tests/wild (Dormand and Prince; parameters invented), in which the analysis has
// no part. The sets are those on which a single search once failed, or ended beside the truth.
namespace potwatch {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr std::uint64_t seed = 77;

Result<KineticFit> fitOf(const reference::PotSet& set) {
    return fitKinetics(set.runs, {.find_catalyst_order = !set.pots.front().doses.empty(), .compare_models = false});
}

// Within four standard uncertainties: these sets are few, and picked.
void expectTheLaw(const std::string& kind, int n, int runs) {
    const reference::PotSet set = reference::potSet(kind, seed, n, runs);
    const auto fit = fitOf(set);
    ASSERT_TRUE(fit) << kind << " " << n << ": " << describe(fit.error());
    const reference::LawOff off = reference::lawOff(*fit, set.pots.front());
    EXPECT_FALSE(off.false_law) << kind << " " << n;
    EXPECT_LT(fit->reduced_chi_square, 2.0) << kind << " " << n;
    for (const Estimate& one : {off.e1, off.e2, off.log_k1, off.log_k2}) {
        EXPECT_LT(std::abs(one.value), 4.0 * one.u) << kind << " " << n;
    }
}

TEST(FitLaw, isFoundWhereOneSearchEndsInAnotherMinimum) {
    expectTheLaw("plain", 79, 4);
    expectTheLaw("plain", 101, 8);
    expectTheLaw("plain", 121, 4);
    expectTheLaw("slow-epoxy", 12, 3);
}

TEST(FitLaw, holdsWhereOnlyTheResinsSpecificHeatIsOff) {
    expectTheLaw("plain", 125, 8);
    expectTheLaw("plain", 67, 4);
}

TEST(FitLaw, holdsForAResinThatCuresFromTheFirstReadingOn) {
    expectTheLaw("slow-epoxy", 46, 7);
    expectTheLaw("slow-epoxy", 57, 6);
}

// Told or not, the interval of the adiabatic rise is as wide as what may be hidden in the readings.
void expectTold(const std::string& kind, int n, int runs, const std::string& what) {
    const reference::PotSet set = reference::potSet(kind, seed, n, runs);
    const auto fit = fitOf(set);
    ASSERT_TRUE(fit) << kind << " " << n << ": " << describe(fit.error());
    EXPECT_THAT(fit->warnings, Contains(HasSubstr(what))) << kind << " " << n;
    for (std::size_t r = 0; r < fit->runs.size(); ++r) {
        const Estimate& rise_k = fit->runs[r].adiabatic.rise_k;
        const double truth_k = reference::trueAdiabaticRise(set.pots[r]);
        EXPECT_LE(rise_k.low, truth_k) << kind << " " << n << ", run " << r;
        EXPECT_GE(rise_k.high, truth_k) << kind << " " << n << ", run " << r;
    }
}

TEST(FitLaw, saysThatTheSpecificHeatChanges) {
    expectTold("specific-heat-changes", 5, 8, "a specific heat of the charge that changes");
    expectTold("specific-heat-changes", 8, 5, "a specific heat of the charge that changes");
}

TEST(FitLaw, saysThatTheVesselLagsBehind) {
    expectTold("wall-node", 12, 3, "a vessel that is warmed slower");
    expectTold("wall-node", 17, 8, "a vessel that is warmed slower");
}

TEST(FitLaw, saysNothingOfTheKindOfItsOwnLaw) {
    for (const int n : {1, 3, 7}) {
        const auto fit = fitOf(reference::potSet("plain", seed, n, 4));
        ASSERT_TRUE(fit) << n << ": " << describe(fit.error());
        EXPECT_THAT(fit->warnings, Not(Contains(HasSubstr("do not fit these runs")))) << n;
    }
}

} // namespace
} // namespace potwatch
