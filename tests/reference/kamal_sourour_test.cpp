// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/auto_diff.h"
#include "analysis/kinetics/least_squares.h"
#include "tests/reference/table.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

// Source: tests/reference/data/kinetics-kamal-isothermal.csv, integrated outside the project (rtol 1e-11) from k1 = 2e6
// exp(-70 000 / RT), k2 = 1e6 exp(-60 000 / RT) 1/s, m = 0.9, n = 1.4; law: M. R. Kamal, S. Sourour, Polym. Eng. Sci.
// 13 (1973) 59.
namespace potwatch::kinetics {
namespace {

constexpr double gas_constant = 8.31446261815324;
constexpr double reference_k = 373.15;

struct Isotherm {
    double temperature_k;
    std::vector<double> degree;
};

// The degree at every row, by Runge-Kutta over the law.
template<class T>
void follow(const T* p, const std::vector<double>& time_s, const Isotherm& isotherm, T* degree) {
    using std::exp;
    using std::log;
    const double inverse = 1000.0 / gas_constant * (1.0 / reference_k - 1.0 / isotherm.temperature_k);
    const T k1 = exp(p[0] + p[1] * inverse);
    const T k2 = exp(p[2] + p[3] * inverse);
    const auto rate = [&](const T& a) {
        const T grown = a > 1e-12 ? T(exp(p[4] * log(a))) : T(0.0);
        return (k1 + k2 * grown) * exp(p[5] * log(1.0 - a));
    };
    T a(0.0);
    degree[0] = a;
    for (std::size_t i = 1; i < time_s.size(); ++i) {
        constexpr int pieces = 8;
        const double h = (time_s[i] - time_s[i - 1]) / pieces;
        for (int piece = 0; piece < pieces; ++piece) {
            const T first = rate(a);
            const T second = rate(a + first * (0.5 * h));
            const T third = rate(a + second * (0.5 * h));
            const T fourth = rate(a + third * h);
            a += (first + 2.0 * (second + third) + fourth) * (h / 6.0);
        }
        degree[i] = a;
    }
}

TEST(KamalSourour, isFoundFromThreeIsothermsToWithinOnePercent) {
    const reference::Table table("kinetics-kamal-isothermal.csv");
    std::vector<double> time_s;
    std::array<Isotherm, 3> isotherms{{{353.15, {}}, {373.15, {}}, {393.15, {}}}};
    const std::array<std::string, 3> columns{"alpha_80C", "alpha_100C", "alpha_120C"};
    for (std::size_t row = 0; row < table.size(); ++row) {
        // Where a faster isotherm has ended there is nothing more to compare.
        if (std::any_of(columns.begin(), columns.end(),
                        [&](const std::string& column) { return table.text(row, column).empty(); })) {
            break;
        }
        time_s.push_back(table.number(row, "t_s"));
        for (std::size_t k = 0; k < columns.size(); ++k) {
            isotherms[k].degree.push_back(table.number(row, columns[k]));
        }
    }
    const std::size_t rows = time_s.size();
    ASSERT_GT(rows, 20U);
    const LeastSquares problem = autoDiff<6>(3 * rows, [&](const auto* p, auto* residual) {
        for (std::size_t k = 0; k < isotherms.size(); ++k) {
            follow(p, time_s, isotherms[k], residual + k * rows);
            for (std::size_t i = 0; i < rows; ++i) {
                residual[k * rows + i] -= isotherms[k].degree[i];
            }
        }
        return true;
    });
    const auto solution = solve(problem, std::vector<std::vector<double>>{{-7.0, 60.0, -5.0, 50.0, 0.6, 1.0}});
    ASSERT_TRUE(solution) << describe(solution.error());
    const auto& p = solution->parameters;
    const auto frequency = [](double log_k, double e_kj) {
        return std::exp(log_k + 1000.0 * e_kj / (gas_constant * reference_k));
    };
    EXPECT_NEAR(frequency(p[0], p[1]) / 2.0e6, 1.0, 0.01);
    EXPECT_NEAR(p[1] / 70.0, 1.0, 0.01);
    EXPECT_NEAR(frequency(p[2], p[3]) / 1.0e6, 1.0, 0.01);
    EXPECT_NEAR(p[3] / 60.0, 1.0, 0.01);
    EXPECT_NEAR(p[4] / 0.9, 1.0, 0.01);
    EXPECT_NEAR(p[5] / 1.4, 1.0, 0.01);
}

} // namespace
} // namespace potwatch::kinetics
