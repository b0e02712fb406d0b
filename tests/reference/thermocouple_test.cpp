// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/coefficients.h"
#include "analysis/thermocouple/reference_function.h"
#include "tests/reference/table.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace potwatch::thermocouple {
namespace {

bool isJoint(Type type, double temperature_c) {
    const auto pieces = forwardPieces(type);
    return std::any_of(pieces.begin(), pieces.end(),
                       [&](const Piece& piece) { return piece.low == temperature_c || piece.high == temperature_c; });
}

// Source: tests/reference/data/README.md, thermocouple-points.csv. 1 µV is the tables' last digit.
TEST(ThermocoupleReference, forwardFunctionIsWithinAMicrovoltOfTheTables) {
    const reference::Table table("thermocouple-points.csv");
    ASSERT_GT(table.size(), 120U);
    for (std::size_t row = 0; row < table.size(); ++row) {
        const Type type = *typeOf(table.text(row, "type"));
        const double temperature_c = table.number(row, "t_degC");
        const auto emf_mv = electromotiveForceMv(type, temperature_c);
        ASSERT_TRUE(emf_mv) << describe(emf_mv.error());
        EXPECT_NEAR(*emf_mv, table.number(row, "emf_mV_6dp"), 1e-6) << nameOf(type) << " at " << temperature_c;
        EXPECT_NEAR(*emf_mv, table.number(row, "emf_mV_table_3dp"), 0.001) << nameOf(type) << " at " << temperature_c;
        // The table's slopes are differences across a joint of two pieces, where the two derivatives differ.
        if (!isJoint(type, temperature_c)) {
            EXPECT_NEAR(1000.0 * *seebeckMvPerK(type, temperature_c), table.number(row, "seebeck_uV_per_K"), 0.00051);
        }
    }
}

struct TablePoint {
    Type type;
    double temperature_c;
    double emf_mv;
};

// Source: NIST Monograph 175 (1993), three-decimal tables. Tolerance: half their last digit.
TEST(ThermocoupleReference, forwardFunctionRoundsToThePrintedTables) {
    const TablePoint points[] = {
        {Type::K, 100, 4.096},     {Type::K, 500, 20.644},  {Type::K, 1000, 41.276},   {Type::K, -200, -5.891},
        {Type::K, 1372, 54.886},   {Type::J, 100, 5.269},   {Type::J, 1000, 57.953},   {Type::J, -210, -8.095},
        {Type::J, 1200, 69.553},   {Type::T, 100, 4.279},   {Type::T, -200, -5.603},   {Type::T, 400, 20.872},
        {Type::T, -270, -6.258},   {Type::E, 1000, 76.373}, {Type::E, -200, -8.825},   {Type::N, 1300, 47.513},
        {Type::N, -200, -3.990},   {Type::R, 1000, 10.506}, {Type::R, 1768.1, 21.103}, {Type::S, 1000, 9.587},
        {Type::S, 1768.1, 18.694}, {Type::B, 1000, 4.834},  {Type::B, 1820, 13.820}};
    for (const TablePoint& point : points) {
        EXPECT_NEAR(*electromotiveForceMv(point.type, point.temperature_c), point.emf_mv, 0.0005)
            << nameOf(point.type) << " at " << point.temperature_c;
    }
}

struct Band {
    Type type;
    double low_c;
    double high_c;
    double lowest_k;
    double highest_k;
    int decimals;
};

void PrintTo(const Band& band, std::ostream* stream) {
    *stream << nameOf(band.type) << " " << band.low_c << " to " << band.high_c;
}

// Source: NIST Monograph 175 (1993), the error ranges printed above the inverse coefficients. The largest and the
// smallest error, rounded to the printed decimals, must lie within the printed range.
class InverseBand : public testing::TestWithParam<Band> {};

TEST_P(InverseBand, holdsTheErrorOfThePublishedInversePolynomial) {
    const Band band = GetParam();
    // The ranges of types R and S overlap, so that the polynomial is taken by its place in the table.
    const auto pieces = inversePieces(band.type);
    const auto piece = std::find_if(pieces.begin(), pieces.end(), [&](const Piece& candidate) {
        return std::abs(candidate.high - *electromotiveForceMv(band.type, band.high_c)) < 0.002;
    });
    ASSERT_NE(piece, pieces.end());
    double lowest_k = 0.0;
    double highest_k = 0.0;
    for (int i = 0; i <= 2000; ++i) {
        const double temperature_c = band.low_c + (band.high_c - band.low_c) * i / 2000.0;
        const double emf_mv = *electromotiveForceMv(band.type, temperature_c);
        double inverse_c = 0.0;
        for (std::size_t k = piece->terms; k-- > 0;) {
            inverse_c = inverse_c * emf_mv + piece->coefficients[k];
        }
        lowest_k = std::min(lowest_k, inverse_c - temperature_c);
        highest_k = std::max(highest_k, inverse_c - temperature_c);
    }
    const double unit = std::pow(10.0, band.decimals);
    EXPECT_GE(std::round(lowest_k * unit), std::round(band.lowest_k * unit));
    EXPECT_LE(std::round(highest_k * unit), std::round(band.highest_k * unit));
}

INSTANTIATE_TEST_SUITE_P(
    Published, InverseBand,
    testing::Values(Band{Type::B, 250, 700, -0.02, 0.03, 2}, Band{Type::B, 700, 1820, -0.01, 0.02, 2},
                    Band{Type::E, -200, 0, -0.01, 0.03, 2}, Band{Type::E, 0, 1000, -0.02, 0.02, 2},
                    Band{Type::J, -210, 0, -0.05, 0.03, 2}, Band{Type::J, 0, 760, -0.04, 0.04, 2},
                    Band{Type::J, 760, 1200, -0.04, 0.03, 2}, Band{Type::K, -200, 0, -0.02, 0.04, 2},
                    Band{Type::K, 0, 500, -0.05, 0.04, 2}, Band{Type::K, 500, 1372, -0.05, 0.06, 2},
                    Band{Type::N, -200, 0, -0.02, 0.03, 2}, Band{Type::N, 0, 600, -0.02, 0.03, 2},
                    Band{Type::N, 600, 1300, -0.04, 0.02, 2}, Band{Type::R, -50, 250, -0.02, 0.02, 2},
                    Band{Type::R, 250, 1200, -0.005, 0.005, 3}, Band{Type::R, 1064, 1664.5, -0.0005, 0.001, 4},
                    Band{Type::R, 1664.5, 1768.1, -0.001, 0.002, 3}, Band{Type::S, -50, 250, -0.02, 0.02, 2},
                    Band{Type::S, 250, 1200, -0.01, 0.01, 2}, Band{Type::S, 1064, 1664.5, -0.0002, 0.0002, 4},
                    Band{Type::S, 1664.5, 1768.1, -0.002, 0.002, 3}, Band{Type::T, -200, 0, -0.02, 0.04, 2},
                    Band{Type::T, 0, 400, -0.03, 0.03, 2}));

struct Junctions {
    double hot_c;
    double cold_c;
    double difference_mv;
};

// Source: the reference function of type K (NIST Monograph 175) at both junctions, six decimals.
TEST(ThermocoupleReference, coldJunctionIsAddedInMillivolts) {
    for (const Junctions& at :
         {Junctions{100.0, 25.0, 3.095988}, Junctions{150.0, 20.0, 5.340224}, Junctions{180.0, 23.5, 6.400516}}) {
        const auto hot = temperatureC(Type::K, at.difference_mv, at.cold_c);
        ASSERT_TRUE(hot);
        EXPECT_NEAR(hot->temperature_c, at.hot_c, 3e-5); // 1 nV over 41 µV/K
    }
}

} // namespace
} // namespace potwatch::thermocouple
