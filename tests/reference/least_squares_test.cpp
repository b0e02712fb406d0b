// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/auto_diff.h"
#include "analysis/kinetics/least_squares.h"
#include "tests/reference/table.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <utility>
#include <vector>

// Source: NIST/ITL Statistical Reference Datasets, nonlinear regression: data, models, both published starts, certified
// parameters, their standard deviations and the residual sum of squares.
namespace potwatch::kinetics {
namespace {

constexpr double six_digits = 1e-6;

struct Certified {
    std::vector<std::vector<double>> starts;
    std::vector<double> parameters;
    std::vector<double> deviations;
    double sum_of_squares = 0.0;
};

// Each start alone must lead to the certified values.
template<int N, class Model>
void arrivesAt(const Certified& certified, const std::string& set, Model model) {
    const reference::Table table("strd-" + set + ".csv");
    const std::vector<double> x = table.numbers("x");
    const std::vector<double> y = table.numbers("y");
    const LeastSquares problem = autoDiff<N>(x.size(), [&](const auto* b, auto* residual) {
        for (std::size_t i = 0; i < x.size(); ++i) {
            residual[i] = y[i] - model(b, x[i]);
        }
        return true;
    });
    for (const std::vector<double>& start : certified.starts) {
        const auto solution = solve(problem, std::vector<std::vector<double>>{start});
        ASSERT_TRUE(solution) << set << ": " << describe(solution.error());
        EXPECT_NEAR(solution->sum_of_squares / certified.sum_of_squares, 1.0, 1e-9) << set;
        const auto covariance = covarianceOf(*solution);
        ASSERT_TRUE(covariance) << set;
        const double variance = solution->sum_of_squares / static_cast<double>(x.size() - std::size_t{N});
        for (std::size_t i = 0; i < std::size_t{N}; ++i) {
            EXPECT_NEAR(solution->parameters[i] / certified.parameters[i], 1.0, six_digits) << set << " b" << i + 1;
            EXPECT_NEAR(std::sqrt(variance * (*covariance)[i * std::size_t{N} + i]) / certified.deviations[i], 1.0,
                        six_digits)
                << set << " b" << i + 1;
        }
    }
}

TEST(LeastSquares, arrivesAtTheCertifiedValuesOfMisra1a) {
    arrivesAt<2>({.starts = {{500.0, 0.0001}, {250.0, 0.0005}},
                  .parameters = {238.94212918, 0.00055015643181},
                  .deviations = {2.7070075241, 7.2668688436e-06},
                  .sum_of_squares = 0.12455138894},
                 "Misra1a", [](const auto* b, double x) { return b[0] * (1.0 - exp(-b[1] * x)); });
}

TEST(LeastSquares, arrivesAtTheCertifiedValuesOfBoxBod) {
    arrivesAt<2>({.starts = {{1.0, 1.0}, {100.0, 0.75}},
                  .parameters = {213.80940889, 0.54723748542},
                  .deviations = {12.354515176, 0.10455993237},
                  .sum_of_squares = 1168.0088766},
                 "BoxBOD", [](const auto* b, double x) { return b[0] * (1.0 - exp(-b[1] * x)); });
}

TEST(LeastSquares, arrivesAtTheCertifiedValuesOfThurber) {
    arrivesAt<7>(
        {.starts = {{1000.0, 1000.0, 400.0, 40.0, 0.7, 0.3, 0.03}, {1300.0, 1500.0, 500.0, 75.0, 1.0, 0.4, 0.05}},
         .parameters = {1288.13968, 1491.0792535, 583.23836877, 75.416644291, 0.96629502864, 0.39797285797,
                        0.049727297349},
         .deviations = {4.6647963344, 39.571156086, 28.698696102, 5.567537027, 0.031333340687, 0.014984928198,
                        0.0065842344623},
         .sum_of_squares = 5642.7082397},
        "Thurber", [](const auto* b, double x) {
            return (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1.0 + x * (b[4] + x * (b[5] + x * b[6])));
        });
}

TEST(LeastSquares, arrivesAtTheCertifiedValuesOfMgh09) {
    arrivesAt<4>({.starts = {{25.0, 39.0, 41.5, 39.0}, {0.25, 0.39, 0.415, 0.39}},
                  .parameters = {0.19280693458, 0.19128232873, 0.12305650693, 0.13606233068},
                  .deviations = {0.011435312227, 0.19633220911, 0.080842031232, 0.090025542308},
                  .sum_of_squares = 0.00030750560385},
                 "MGH09",
                 [](const auto* b, double x) { return b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]); });
}

TEST(LeastSquares, arrivesAtTheCertifiedValuesOfEckerle4) {
    arrivesAt<3>({.starts = {{1.0, 10.0, 500.0}, {1.5, 5.0, 450.0}},
                  .parameters = {1.5543827178, 4.0888321754, 451.54121844},
                  .deviations = {0.015408051163, 0.046803020753, 0.046800518816},
                  .sum_of_squares = 0.0014635887487},
                 "Eckerle4", [](const auto* b, double x) {
                     const auto z = (x - b[2]) / b[1];
                     return b[0] / b[1] * exp(-0.5 * z * z);
                 });
}

} // namespace
} // namespace potwatch::kinetics
