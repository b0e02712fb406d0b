// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/least_squares.h"

#include <array>
#include <ceres/jet.h>
#include <cmath>
#include <cstddef>
#include <type_traits>
#include <utility>
#include <vector>

namespace potwatch::kinetics {

// A least-squares problem of N parameters from one function template, its derivatives by automatic differentiation.
// Shape: function(const T* parameters, T* residuals) for T = double and for T = Jet<double, N>; returns bool.
// Source: dual numbers, as Ceres Solver has them (ceres::Jet).
template<int N, class Function>
[[nodiscard]] LeastSquares autoDiff(std::size_t residual_count, Function function) {
    LeastSquares problem{.parameters = static_cast<std::size_t>(N), .residuals = residual_count};
    problem.evaluate = [function = std::move(function), residual_count](std::span<const double> parameters,
                                                                        std::span<double> residuals,
                                                                        std::span<double> jacobian) {
        if (jacobian.empty()) {
            return function(parameters.data(), residuals.data());
        }
        using Jet = ceres::Jet<double, N>;
        std::array<Jet, static_cast<std::size_t>(N)> jets;
        for (std::size_t i = 0; i < jets.size(); ++i) {
            jets[i] = Jet(parameters[i], static_cast<int>(i));
        }
        std::vector<Jet> values(residual_count);
        if (!function(jets.data(), values.data())) {
            return false;
        }
        for (std::size_t k = 0; k < residual_count; ++k) {
            residuals[k] = values[k].a;
            for (std::size_t i = 0; i < jets.size(); ++i) {
                jacobian[k * jets.size() + i] = values[k].v[static_cast<Eigen::Index>(i)];
            }
        }
        return true;
    };
    return problem;
}

// A function of some numbers whose value and slopes by them are known, for plain numbers and for dual ones: one step
// for the whole function instead of one for each operation in it. Source: the chain rule.
template<class T>
struct Slope {
    double by;
    const T& of; // of a temporary only within its expression
};
template<class T>
Slope(double, const T&) -> Slope<T>;

inline double valueOf(double x) {
    return x;
}
template<int N>
double valueOf(const ceres::Jet<double, N>& x) {
    return x.a;
}

template<class T, class... Slopes>
[[nodiscard]] T chained(double value, const Slopes&... slopes) {
    if constexpr (std::is_same_v<T, double>) {
        return value;
    } else {
        return T(value, ((slopes.by * slopes.of.v) + ...));
    }
}

// Adds the function's own slope by a parameter, where that is one of the N that are asked for.
inline void addSlope(double& /*x*/, std::size_t /*parameter*/, double /*by*/) {}
template<int N>
void addSlope(ceres::Jet<double, N>& x, std::size_t parameter, double by) {
    if (parameter < std::size_t{N}) {
        x.v[static_cast<Eigen::Index>(parameter)] += by;
    }
}

} // namespace potwatch::kinetics
