// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/local_polynomial.h"
#include "analysis/signal/savitzky_golay.h"
#include "tests/reference/table.h"

#include <gtest/gtest.h>

#include <sstream>

namespace potwatch::reference {
namespace {

// Source: tests/reference/data/README.md, savgol-integers.csv. Tolerance: rounding of doubles.
TEST(SavitzkyGolayReference, givesThePublishedIntegers) {
    const Table table("savgol-integers.csv");
    ASSERT_EQ(table.size(), 20U);
    for (std::size_t row = 0; row < table.size(); ++row) {
        const int points = static_cast<int>(table.number(row, "points"));
        const int derivative = static_cast<int>(table.number(row, "deriv"));
        const auto weights =
            signal::savitzkyGolayWeights(points, static_cast<int>(table.number(row, "polyorder_used")), derivative);
        std::istringstream integers(table.text(row, "integers_from_minus_m_to_plus_m"));
        for (const double weight : weights) {
            std::string integer;
            integers >> integer;
            EXPECT_NEAR(weight, Table::numberIn(integer) / table.number(row, "norm"), 1e-12)
                << table.text(row, "kind") << ", " << points << " points";
        }
    }
}

struct Column {
    const char* name;
    signal::SavitzkyGolay filter;
};

// Source: tests/reference/data/README.md, savgol-signal.csv. Tolerance: its ten decimals.
class SavitzkyGolaySignal : public testing::TestWithParam<Column> {};

TEST_P(SavitzkyGolaySignal, isFilteredAsTheReferenceDoes) {
    const Table table("savgol-signal.csv");
    const auto smooth = signal::savitzkyGolay(table.numbers("y"), 2.0, GetParam().filter);
    const auto expected = table.numbers(GetParam().name);
    ASSERT_EQ(smooth.size(), 41U);
    for (std::size_t i = 0; i < smooth.size(); ++i) {
        EXPECT_NEAR(smooth[i], expected[i], 1e-9) << "sample " << i;
    }
}

TEST_P(SavitzkyGolaySignal, isFittedLocallyAsTheReferenceDoes) {
    const Table table("savgol-signal.csv");
    const auto time_s = table.numbers("t_s");
    const auto y = table.numbers("y");
    const signal::SavitzkyGolay filter = GetParam().filter;
    const std::vector<double> half_width_s(y.size(), static_cast<double>(filter.points / 2) * 2.0);
    const auto fit = signal::localPolynomial({time_s, y}, half_width_s, filter.order, signal::Kernel::uniform);
    const auto& result = filter.derivative == 0   ? fit.value
                         : filter.derivative == 1 ? fit.slope_per_s
                                                  : fit.curvature_per_s2;
    const auto expected = table.numbers(GetParam().name);
    for (std::size_t i = 0; i < y.size(); ++i) {
        EXPECT_NEAR(result[i], expected[i], 1e-9) << "sample " << i;
    }
}

INSTANTIATE_TEST_SUITE_P(Columns, SavitzkyGolaySignal,
                         testing::Values(Column{"sg_w5_p2_d0", {5, 2, 0}}, Column{"sg_w5_p2_d1", {5, 2, 1}},
                                         Column{"sg_w7_p2_d0", {7, 2, 0}}, Column{"sg_w7_p2_d1", {7, 2, 1}},
                                         Column{"sg_w9_p2_d0", {9, 2, 0}}, Column{"sg_w9_p2_d1", {9, 2, 1}},
                                         Column{"sg_w11_p2_d0", {11, 2, 0}}, Column{"sg_w11_p2_d1", {11, 2, 1}},
                                         Column{"sg_w11_p4_d0", {11, 4, 0}}, Column{"sg_w11_p4_d1", {11, 4, 1}},
                                         Column{"sg_w11_p3_d2", {11, 3, 2}}),
                         [](const auto& column) { return std::string(column.param.name); });

} // namespace
} // namespace potwatch::reference
