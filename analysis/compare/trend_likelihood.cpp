// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/trend_likelihood.h"

#include "analysis/compare/linear_fit.h"

#include <Eigen/Cholesky>
#include <boost/math/distributions/students_t.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

namespace potwatch::compare {

namespace {

constexpr std::size_t most_parameters = 4;
enum Place : std::size_t { at_a, at_b, at_variance, at_half };

using Vector = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, most_parameters, 1>;
using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, most_parameters, most_parameters>;

// Of the scaled variance: a trend that meets every point exactly would otherwise be infinitely likely.
constexpr double least_log_variance = -32.0;
constexpr double most_log_variance = 10.0;
constexpr double half_beyond = 100.0; // the half is looked for up to that factor beyond the x that were tried
constexpr int most_steps = 200;
constexpr double arrived = 1e-9; // gain of the log-likelihood that the last step promises; what it leaves is its square

struct Likely {
    double value = 0.0; // log-likelihood, without the constant
    double f = 0.0;     // derivatives by the trend's value f and by the variance v
    double v = 0.0;
    double ff = 0.0;
    double vv = 0.0;
    double fv = 0.0;
};

Likely measured(double y, double f, double v) {
    const double r = y - f;
    return {.value = -0.5 * (std::log(v) + r * r / v),
            .f = r / v,
            .v = 0.5 * (r * r / v - 1.0) / v,
            .ff = -1.0 / v,
            .vv = (0.5 - r * r / v) / (v * v),
            .fv = -r / (v * v)};
}

// ln of the normal distribution and the ratio of density to distribution, far into the tail as well.
struct NormalTail {
    double log = 0.0;
    double ratio = 0.0;
};
NormalTail normalTail(double t) {
    constexpr double far = -25.0;
    constexpr double half_log_two_pi = 0.91893853320467274178;
    if (t > far) {
        const double below = 0.5 * std::erfc(-t / std::numbers::sqrt2);
        return {.log = std::log(below), .ratio = std::exp(-0.5 * t * t - half_log_two_pi) / below};
    }
    // Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 26.2.12.
    const double q = 1.0 / (t * t);
    const double series = 1.0 - q * (1.0 - q * (3.0 - 15.0 * q));
    return {.log = -0.5 * t * t - half_log_two_pi - std::log(-t) + std::log(series), .ratio = -t / series};
}

Likely atLeast(double y, double f, double v) {
    const double s = std::sqrt(v);
    const double t = (f - y) / s;
    const NormalTail tail = normalTail(t);
    const double curvature = -tail.ratio * (tail.ratio + t);
    const double t_v = -0.5 * t / v;
    return {.value = tail.log + 0.5 * std::log(2.0 * std::numbers::pi), // the same constant is left out everywhere
            .f = tail.ratio / s,
            .v = tail.ratio * t_v,
            .ff = curvature / v,
            .vv = curvature * t_v * t_v + tail.ratio * 0.75 * t / (v * v),
            .fv = curvature * t_v / s - 0.5 * tail.ratio / (v * s)};
}

} // namespace

struct TrendLikelihood::State {
    std::array<double, most_parameters> at{};
    std::array<double, most_parameters> gradient{};
    std::array<std::array<double, most_parameters>, most_parameters> curvature{};
};

TrendLikelihood::TrendLikelihood(std::span<const TrendPoint> points, TrendForm form)
    : points_(points.begin(), points.end())
    , form_(form) {
    double lowest = std::numeric_limits<double>::infinity();
    double highest = -lowest;
    double first = lowest;
    double last = -lowest;
    for (const TrendPoint& point : points_) {
        lowest = std::min(lowest, point.y);
        highest = std::max(highest, point.y);
        const double g = form == TrendForm::logarithmic ? std::log(point.x) : point.x;
        first = std::min(first, g);
        last = std::max(last, g);
    }
    shift_ = 0.5 * (lowest + highest);
    scale_ = highest > lowest ? highest - lowest : std::max(std::abs(shift_), 1.0);
    for (TrendPoint& point : points_) {
        point.y = (point.y - shift_) / scale_;
        point.u /= scale_;
    }
    middle_ = 0.5 * (first + last);
    width_ = last > first ? last - first : 1.0;
    least_half_ = first / half_beyond;
    most_half_ = last * half_beyond;
}

double TrendLikelihood::basis(double x, double half_x) const {
    switch (form_) {
    case TrendForm::straight:
        return (x - middle_) / width_;
    case TrendForm::logarithmic:
        return (std::log(x) - middle_) / width_;
    case TrendForm::saturating:
        return x / (x + half_x);
    }
    return 0.0;
}

// Least squares through the measured points, and the scatter that it leaves: the likelihood is climbed from there with
// a variance that is too large rather than too small, since from far below it there is no slope to follow.
TrendLikelihood::State TrendLikelihood::startAt(double half_x, const TrendHeld& held) const {
    State state;
    std::vector<double> rows;
    std::vector<double> y;
    for (const TrendPoint& point : points_) {
        if (!point.at_least) {
            rows.push_back(1.0);
            rows.push_back(basis(point.x, half_x));
            y.push_back(point.y);
        }
    }
    if (const auto fit = linearFit(rows, 2, y)) {
        state.at[at_a] = fit->parameters[0];
        state.at[at_b] = fit->parameters[1];
    }
    state.at[at_half] = std::log(std::max(half_x, std::numeric_limits<double>::min()));
    if (held.through) {
        state.at[at_a] = (held.through->y - shift_) / scale_ - state.at[at_b] * basis(held.through->x, half_x);
    }
    return state;
}

// Log-likelihood at a state; with `slope` also its first and second derivatives. Where the trend is held to a point,
// `a` follows from the others.
double TrendLikelihood::weigh(const State& state, const TrendHeld& held, State* slope) const {
    const double b = state.at[at_b];
    const double half = std::exp(state.at[at_half]);
    const double w = std::exp(state.at[at_variance]);
    const bool saturating = form_ == TrendForm::saturating;
    const auto bend = [&](double g) { return saturating ? -g * (1.0 - g) : 0.0; }; // dg / d ln half
    const auto bend_again = [&](double g) { return saturating ? g * (1.0 - g) * (1.0 - 2.0 * g) : 0.0; };
    const double g0 = held.through ? basis(held.through->x, half) : 0.0;
    const double a = held.through ? (held.through->y - shift_) / scale_ - b * g0 : state.at[at_a];
    double sum = 0.0;
    if (slope != nullptr) {
        slope->gradient = {};
        slope->curvature = {};
    }
    for (const TrendPoint& point : points_) {
        const double g = basis(point.x, half);
        const double f = a + b * g;
        const double v = point.u * point.u + w;
        const Likely likely = point.at_least ? atLeast(point.y, f, v) : measured(point.y, f, v);
        sum += likely.value;
        if (slope == nullptr) {
            continue;
        }
        const double g_half = held.through ? bend(g) - bend(g0) : bend(g);
        const double g_half_half = held.through ? bend_again(g) - bend_again(g0) : bend_again(g);
        const std::array<double, most_parameters> f_by{held.through ? 0.0 : 1.0, held.through ? g - g0 : g, 0.0,
                                                       b * g_half};
        for (const std::size_t i : {at_a, at_b, at_half}) {
            slope->gradient[i] += likely.f * f_by[i];
            for (const std::size_t j : {at_a, at_b, at_half}) {
                slope->curvature[i][j] += likely.ff * f_by[i] * f_by[j];
            }
            slope->curvature[i][at_variance] += likely.fv * w * f_by[i];
            slope->curvature[at_variance][i] += likely.fv * w * f_by[i];
        }
        slope->curvature[at_b][at_half] += likely.f * g_half;
        slope->curvature[at_half][at_b] += likely.f * g_half;
        slope->curvature[at_half][at_half] += likely.f * b * g_half_half;
        slope->gradient[at_variance] += likely.v * w;
        slope->curvature[at_variance][at_variance] += likely.vv * w * w + likely.v * w;
    }
    return sum;
}

void TrendLikelihood::climb(State& state, const TrendHeld& held) const {
    const std::array<double, most_parameters> low{-1e12, -1e12, least_log_variance,
                                                  least_half_ > 0.0 ? std::log(least_half_) : -700.0};
    const std::array<double, most_parameters> high{1e12, 1e12, most_log_variance,
                                                   most_half_ > 0.0 ? std::log(most_half_) : 700.0};
    double damping = 1e-3;
    State slope;
    double value = weigh(state, held, &slope);
    for (int step = 0; step < most_steps; ++step) {
        std::array<std::size_t, most_parameters> free{};
        std::size_t count = 0;
        for (std::size_t i = 0; i < most_parameters; ++i) {
            const bool fixed = (i == at_a && held.through) ||
                               (i == at_half && (held.half_x || form_ != TrendForm::saturating)) ||
                               (state.at[i] <= low[i] && slope.gradient[i] < 0.0) ||
                               (state.at[i] >= high[i] && slope.gradient[i] > 0.0);
            if (!fixed) {
                free[count++] = i;
            }
        }
        const auto n = static_cast<Eigen::Index>(count);
        Matrix curvature(n, n);
        Vector gradient(n);
        for (Eigen::Index i = 0; i < n; ++i) {
            gradient[i] = slope.gradient[free[static_cast<std::size_t>(i)]];
            for (Eigen::Index j = 0; j < n; ++j) {
                curvature(i, j) =
                    -slope.curvature[free[static_cast<std::size_t>(i)]][free[static_cast<std::size_t>(j)]];
            }
        }
        bool better = false;
        while (damping < 1e12) {
            Matrix damped = curvature;
            for (Eigen::Index i = 0; i < n; ++i) {
                damped(i, i) += damping * (std::abs(curvature(i, i)) + 1e-12);
            }
            const Eigen::LLT<Matrix> factor(damped);
            if (factor.info() != Eigen::Success) {
                damping = std::max(10.0 * damping, 1e-6);
                continue;
            }
            const Vector way = factor.solve(gradient);
            const bool last = !(gradient.dot(way) > arrived);
            State next = state;
            for (Eigen::Index i = 0; i < n; ++i) {
                const std::size_t k = free[static_cast<std::size_t>(i)];
                next.at[k] = std::clamp(next.at[k] + way[i], low[k], high[k]);
            }
            State next_slope;
            const double next_value = weigh(next, held, last ? nullptr : &next_slope);
            if (last) {
                state = next_value >= value ? next : state;
                return;
            }
            if (next_value > value) {
                state = next;
                slope = next_slope;
                value = next_value;
                damping = damping < 1e-9 ? 0.0 : 0.1 * damping;
                better = true;
                break;
            }
            damping = std::max(10.0 * damping, 1e-9);
        }
        if (!better) {
            return;
        }
    }
}

TrendParameters TrendLikelihood::greatest(const TrendHeld& held, const TrendParameters* near) const {
    std::vector<double> halves;
    if (held.half_x) {
        halves = {*held.half_x};
    } else if (form_ != TrendForm::saturating) {
        halves = {1.0};
    } else if (near != nullptr) {
        halves = {near->half_x};
    } else {
        constexpr int starts = 6;
        for (int i = 0; i < starts; ++i) {
            halves.push_back(least_half_ * 10.0 * std::pow(most_half_ / least_half_ / 100.0, i / (starts - 1.0)));
        }
    }
    std::size_t counted = 0;
    for (const TrendPoint& point : points_) {
        counted += point.at_least ? 0 : 1;
    }
    TrendParameters best{.log_likelihood = -std::numeric_limits<double>::infinity()};
    for (const double half_x : halves) {
        State state;
        if (near == nullptr || held.half_x) {
            state = startAt(half_x, held);
        } else {
            state.at[at_half] = std::log(half_x);
            state.at[at_b] = near->b / scale_ * (form_ == TrendForm::saturating ? 1.0 : width_);
            state.at[at_a] =
                (near->a - shift_) / scale_ + (form_ == TrendForm::saturating ? 0.0 : near->b / scale_ * middle_);
        }
        const double g0 = held.through ? basis(held.through->x, half_x) : 0.0;
        double squares = 0.0;
        for (const TrendPoint& point : points_) {
            const double a = held.through ? (held.through->y - shift_) / scale_ - state.at[at_b] * g0 : state.at[at_a];
            const double r = point.y - a - state.at[at_b] * basis(point.x, half_x);
            squares += point.at_least && r < 0.0 ? 0.0 : r * r;
        }
        state.at[at_variance] =
            std::clamp(std::log(squares / static_cast<double>(counted) + 1e-13), least_log_variance, most_log_variance);
        climb(state, held);
        const double value = weigh(state, held, nullptr);
        if (value > best.log_likelihood) {
            const double half = std::exp(state.at[at_half]);
            const double b = state.at[at_b];
            const double a =
                held.through ? (held.through->y - shift_) / scale_ - b * basis(held.through->x, half) : state.at[at_a];
            best.log_likelihood = value;
            best.half_x = half;
            best.between_variance = std::exp(state.at[at_variance]) * scale_ * scale_;
            if (form_ == TrendForm::saturating) {
                best.a = shift_ + scale_ * a;
                best.b = scale_ * b;
            } else {
                best.b = scale_ * b / width_;
                best.a = shift_ + scale_ * a - best.b * middle_;
            }
        }
    }
    // The constants that were left out: every point's, and the measured ones' scale.
    constexpr double half_log_two_pi = 0.91893853320467274178;
    best.log_likelihood -=
        half_log_two_pi * static_cast<double>(points_.size()) + std::log(scale_) * static_cast<double>(counted);
    return best;
}

double likelihoodFall95(double measured, double degrees) {
    const double t = boost::math::quantile(boost::math::students_t(degrees), 0.975);
    return measured * std::log1p(t * t / degrees);
}

} // namespace potwatch::compare
