// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/at_limit.h"
#include "analysis/compare/linear_fit.h"
#include "analysis/compare/trend.h"
#include "tests/reference/table.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

namespace potwatch::compare {
namespace {

// Certified values to their last digit but for rounding: 15 significant digits.
constexpr double to_the_last_digit = 5e-14;

void expectCertified(double found, double certified, double relative, const std::string& what) {
    EXPECT_NEAR(found / certified, 1.0, relative) << what;
}

// Source: NIST/ITL Statistical Reference Datasets, linear regression, Norris (lower level of difficulty).
TEST(TrendReference, fitsNorrisToTheLastDigit) {
    const reference::Table table("strd-Norris.csv");
    const std::vector<double> x = table.numbers("x");
    const std::vector<double> y = table.numbers("y");
    std::vector<double> basis;
    std::vector<TrendPoint> points;
    for (std::size_t i = 0; i < x.size(); ++i) {
        basis.insert(basis.end(), {1.0, x[i]});
        points.push_back({.x = x[i], .y = y[i]});
    }
    const auto fit = linearFit(basis, 2, y);
    ASSERT_TRUE(fit);
    expectCertified(fit->parameters[0], -0.262323073774029, to_the_last_digit, "B0");
    expectCertified(fit->parameters[1], 1.00211681802045, to_the_last_digit, "B1");
    expectCertified(fit->deviations[0], 0.232818234301152, to_the_last_digit, "deviation of B0");
    expectCertified(fit->deviations[1], 0.429796848199937e-3, to_the_last_digit, "deviation of B1");
    expectCertified(fit->sum_of_squares, 26.6173985294224, to_the_last_digit, "sum of squares");
    expectCertified(std::sqrt(fit->sum_of_squares / fit->degrees), 0.884796396144373, to_the_last_digit, "residual");

    // The trend comes to the same line on its own way, by likelihood.
    const auto trend = fitTrend(points, TrendForm::straight);
    ASSERT_TRUE(trend);
    expectCertified(trend->a, -0.262323073774029, 1e-9, "a");
    expectCertified(trend->b, 1.00211681802045, 1e-12, "b");
    expectCertified(trend->between_u, 0.884796396144373, 1e-9, "scatter");
}

// Source: NIST/ITL Statistical Reference Datasets, linear regression, Longley (higher level of difficulty).
TEST(TrendReference, fitsLongleyToTheLastDigits) {
    const reference::Table table("strd-Longley.csv");
    std::vector<std::vector<double>> columns;
    for (const char* const name : {"x1", "x2", "x3", "x4", "x5", "x6"}) {
        columns.push_back(table.numbers(name));
    }
    const std::vector<double> y = table.numbers("y");
    std::vector<double> basis;
    for (std::size_t i = 0; i < y.size(); ++i) {
        basis.push_back(1.0);
        for (const std::vector<double>& column : columns) {
            basis.push_back(column[i]);
        }
    }
    const auto fit = linearFit(basis, 7, y);
    ASSERT_TRUE(fit);
    const std::vector<double> parameters{-3482258.63459582, 15.0618722713733,  -0.358191792925910e-1,
                                         -2.02022980381683, -1.03322686717359, -0.511041056535807e-1,
                                         1829.15146461355};
    const std::vector<double> deviations{890420.383607373,  84.9149257747669,  0.334910077722432e-1, 0.488399681651699,
                                         0.214274163161675, 0.226073200069370, 455.478499142212};
    // A condition of 5e9 leaves 10 of the 19 digits of the extended precision.
    constexpr double relative = 1e-12;
    for (std::size_t j = 0; j < parameters.size(); ++j) {
        expectCertified(fit->parameters[j], parameters[j], relative, "B" + std::to_string(j));
        expectCertified(fit->deviations[j], deviations[j], relative, "deviation of B" + std::to_string(j));
    }
    expectCertified(fit->sum_of_squares, 836424.055505915, relative, "sum of squares");
}

// A straight calibration and what it says of the time at which the mean weight, and one more crystal, comes to 8 g.
// Source: F. A. Graybill, H. K. Iyer, Regression Analysis: Concepts and Applications (1994), growth of crystals (hours,
// grams); interval of the inverse as computed by the R package investr (`calibrate`, interval "inversion"), whose own
// tests list these values to four decimals; B. M. Greenwell, C. M. Schubert Kabban, The R Journal 6 (2014) 90.
TEST(TrendReference, invertsAPublishedCalibrationWithItsInterval) {
    const std::vector<double> weights{0.08, 1.12, 4.43,  4.98,  4.92,  7.18,  5.57,
                                      8.40, 8.81, 10.81, 11.16, 10.12, 13.12, 15.04};
    std::vector<TrendPoint> points;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        points.push_back({.x = 2.0 * static_cast<double>(i + 1), .y = weights[i]});
    }
    const auto trend = fitTrend(points, TrendForm::straight);
    ASSERT_TRUE(trend);
    const auto at = atLimit(*trend, 8.0);
    ASSERT_TRUE(at);
    constexpr double four_decimals = 0.5001e-4;
    EXPECT_NEAR(at->x, 15.8882, four_decimals);
    ASSERT_TRUE(at->estimate);
    EXPECT_NEAR(at->estimate->low, 14.6590, four_decimals);
    EXPECT_NEAR(at->estimate->high, 17.1596, four_decimals);
    ASSERT_TRUE(at->one_run);
    EXPECT_NEAR(*at->one_run, 11.0946, four_decimals); // where the band of one more crystal comes to 8 g
    EXPECT_FALSE(at->outside);
}

// Life of motor insulation against temperature, 23 of 40 pieces still running when the test was ended: a straight line
// with right-censored points, x = 1000 / (temperature + 273.2 K), y = log10(hours).
// Source: J. Schmee, G. J. Hahn, Technometrics 21 (1979) 417, data and the maximum likelihood estimates -6.019, 4.311,
// 0.2592 (M. Aitkin, Technometrics 23 (1981) 161, has the same).
TEST(TrendReference, fitsPublishedCensoredLives) {
    std::vector<TrendPoint> points;
    const auto add = [&](double temperature_c, std::initializer_list<double> hours, int running, double ended_h) {
        const double x = 1000.0 / (temperature_c + 273.2);
        for (const double life_h : hours) {
            points.push_back({.x = x, .y = std::log10(life_h)});
        }
        for (int i = 0; i < running; ++i) {
            points.push_back({.x = x, .y = std::log10(ended_h), .at_least = true});
        }
    };
    add(150.0, {}, 10, 8064.0);
    add(170.0, {1764.0, 2772.0, 3444.0, 3542.0, 3780.0, 4860.0, 5196.0}, 3, 5448.0);
    add(190.0, {408.0, 408.0, 1344.0, 1344.0, 1440.0}, 5, 1680.0);
    add(220.0, {408.0, 408.0, 504.0, 504.0, 504.0}, 5, 528.0);
    const auto trend = fitTrend(points, TrendForm::straight);
    ASSERT_TRUE(trend);
    EXPECT_EQ(trend->measured, 17U);
    EXPECT_EQ(trend->censored, 23U);
    EXPECT_NEAR(trend->a, -6.019, 0.0005);
    EXPECT_NEAR(trend->b, 4.311, 0.0005);
    const double by_likelihood = trend->between_u * std::sqrt(15.0 / 17.0); // without the correction
    EXPECT_NEAR(by_likelihood, 0.2592, 0.00005);
}

} // namespace
} // namespace potwatch::compare
