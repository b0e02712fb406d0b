// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/local_polynomial.h"

#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <unordered_map>

namespace potwatch::signal {

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

// Times are decimals rounded to binary: a sample belongs to the window when it lies within this part of the half width
// of it.
constexpr double edge_tolerance = 1e-6;
// Intervals that differ by less than this part are one interval: the slope is then right to the same part.
constexpr double even_tolerance = 1e-6;
// Below this a pivot of the scaled normal equations says that the abscissae do not fix the polynomial.
constexpr double smallest_pivot = 1e-11;
// A tricube window that had to widen reaches beyond its last sample by this factor, or that sample would weigh nothing.
constexpr double widening_margin = 1.2;
constexpr int steps_before_searching = 8;
// Weights kept for reuse: more than adaptive windows need, little memory.
constexpr std::size_t most_kept_weights = 2048;

template<std::size_t terms>
using Terms = std::array<double, terms>;

// Weights of the samples for value, slope and curvature, and the gains.
struct Weights {
    std::vector<double> value;
    std::vector<double> slope;
    std::vector<double> curvature;
    double value_gain = 0.0;
    double slope_gain = 0.0;
    double curvature_gain = 0.0;
    double value_slope_covariance = 0.0;
    double slope_curvature_covariance = 0.0;
};

// Samples first ... last - 1, weighted about the place by a kernel that ends at distance reach_s.
struct Window {
    std::size_t first = 0;
    std::size_t last = 0;
    double reach_s = 0.0;

    [[nodiscard]] std::size_t count() const { return last - first; }
};

double kernelWeight(Kernel kernel, double distance) {
    if (kernel == Kernel::uniform) {
        return 1.0;
    }
    const double u = std::min(std::abs(distance), 1.0);
    const double rest = 1.0 - u * u * u;
    return rest * rest * rest;
}

// Cholesky factor of the normal matrix m[j][k] = moments[j + k], in place of a library: 2 to 5 rows, 10^4 times.
template<std::size_t terms>
struct Factor {
    std::array<Terms<terms>, terms> lower{};

    [[nodiscard]] bool decompose(const std::array<double, 2 * terms - 1>& moments) {
        for (std::size_t i = 0; i < terms; ++i) {
            for (std::size_t j = 0; j <= i; ++j) {
                double rest = moments[i + j];
                for (std::size_t k = 0; k < j; ++k) {
                    rest -= lower[i][k] * lower[j][k];
                }
                if (i == j) {
                    if (!(rest > smallest_pivot * moments[0])) {
                        return false;
                    }
                    lower[i][i] = std::sqrt(rest);
                } else {
                    lower[i][j] = rest / lower[j][j];
                }
            }
        }
        return true;
    }

    [[nodiscard]] Terms<terms> solve(Terms<terms> right) const {
        for (std::size_t i = 0; i < terms; ++i) {
            for (std::size_t k = 0; k < i; ++k) {
                right[i] -= lower[i][k] * right[k];
            }
            right[i] /= lower[i][i];
        }
        for (std::size_t i = terms; i-- > 0;) {
            for (std::size_t k = i + 1; k < terms; ++k) {
                right[i] -= lower[k][i] * right[k];
            }
            right[i] /= lower[i][i];
        }
        return right;
    }
};

template<std::size_t terms>
double polynomial(const Terms<terms>& coefficients, double u) {
    double sum = 0.0;
    for (std::size_t k = terms; k-- > 0;) {
        sum = sum * u + coefficients[k];
    }
    return sum;
}

// Fits at many places of one trace; keeps the trace without its missing values, and the weights that recur.
class Fitter {
public:
    Fitter(TraceView trace, int order, Kernel kernel)
        : terms_(static_cast<std::size_t>(order) + 1)
        , kernel_(kernel) {
        time_s_.reserve(trace.size());
        value_.reserve(trace.size());
        for (std::size_t i = 0; i < trace.size(); ++i) {
            if (std::isfinite(trace.value[i]) && std::isfinite(trace.time_s[i])) {
                time_s_.push_back(trace.time_s[i]);
                // About the first value, so that a large offset does not cost digits.
                offset_ = value_.empty() ? trace.value[i] : offset_;
                value_.push_back(trace.value[i] - offset_);
            }
        }
        findEvenStretches();
    }

    void fit(double at_s, double half_width_s, std::size_t place, LocalFit& result) {
        if (time_s_.size() <= terms_ || !std::isfinite(half_width_s) || !std::isfinite(at_s) || half_width_s < 0.0 ||
            at_s < time_s_.front() - edge_tolerance * interval_s_ ||
            at_s > time_s_.back() + edge_tolerance * interval_s_) {
            return;
        }
        Window window = windowAt(at_s, half_width_s, last_window_);
        last_window_ = window;
        const Weights* weights = weightsFor(at_s, window);
        while (weights == nullptr && window.count() < time_s_.size()) {
            // Repeated times can leave a window that does not fix the polynomial: take in more.
            window = nearest(at_s, std::min(time_s_.size(), window.count() + terms_));
            weights = weightsFor(at_s, window);
        }
        if (weights == nullptr) {
            return;
        }
        const auto count = static_cast<Eigen::Index>(window.count());
        const Eigen::Map<const Eigen::VectorXd> y(value_.data() + window.first, count);
        const auto sum = [&](const std::vector<double>& weight) {
            return Eigen::Map<const Eigen::VectorXd>(weight.data(), count).dot(y);
        };
        result.value[place] = offset_ + sum(weights->value);
        result.slope_per_s[place] = sum(weights->slope);
        result.curvature_per_s2[place] = sum(weights->curvature);
        result.value_gain[place] = weights->value_gain;
        result.slope_gain[place] = weights->slope_gain;
        result.curvature_gain[place] = weights->curvature_gain;
        result.value_slope_covariance[place] = weights->value_slope_covariance;
        result.slope_curvature_covariance[place] = weights->slope_curvature_covariance;
    }

private:
    void findEvenStretches() {
        if (time_s_.size() < 2) {
            return;
        }
        std::vector<double> intervals(time_s_.size() - 1);
        for (std::size_t i = 0; i + 1 < time_s_.size(); ++i) {
            intervals[i] = time_s_[i + 1] - time_s_[i];
        }
        std::vector<double> sorted = intervals;
        const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
        std::nth_element(sorted.begin(), middle, sorted.end());
        interval_s_ = *middle;
        uneven_before_.assign(time_s_.size(), 0);
        for (std::size_t i = 0; i < intervals.size(); ++i) {
            const bool even = std::abs(intervals[i] - interval_s_) <= even_tolerance * interval_s_;
            uneven_before_[i + 1] = uneven_before_[i] + (even ? 0U : 1U);
        }
    }

    // Places mostly follow each other: a step or two from the last answer, and only then a search.
    [[nodiscard]] std::size_t firstNotBefore(double time_s, std::size_t guess) const {
        for (int step = 0; step < steps_before_searching; ++step) {
            if (guess > 0 && time_s_[guess - 1] >= time_s) {
                --guess;
            } else if (guess < time_s_.size() && time_s_[guess] < time_s) {
                ++guess;
            } else {
                return guess;
            }
        }
        return static_cast<std::size_t>(std::lower_bound(time_s_.begin(), time_s_.end(), time_s) - time_s_.begin());
    }

    [[nodiscard]] Window windowAt(double at_s, double half_width_s, const Window& guess) const {
        // Moved inward at the ends, as wide as before.
        const double width_s = std::min(2.0 * half_width_s, time_s_.back() - time_s_.front());
        const double from_s = std::max(time_s_.front(), std::min(at_s - half_width_s, time_s_.back() - width_s));
        const double to_s = from_s + width_s;
        const double slack_s = edge_tolerance * half_width_s;
        Window window{.first = firstNotBefore(from_s - slack_s, guess.first),
                      .last = firstNotBefore(to_s + slack_s, guess.last),
                      .reach_s = std::max(at_s - from_s, to_s - at_s)};
        std::size_t counting = window.count();
        if (kernel_ == Kernel::tricube) {
            counting = 0;
            for (std::size_t i = window.first; i < window.last && counting <= terms_; ++i) {
                counting += std::abs(time_s_[i] - at_s) < (1.0 - 1e-3) * window.reach_s ? 1U : 0U;
            }
        }
        return counting > terms_ ? window : nearest(at_s, terms_ + 1);
    }

    // The `count` samples nearest to a time.
    [[nodiscard]] Window nearest(double at_s, std::size_t count) const {
        std::size_t first = firstNotBefore(at_s, 0);
        std::size_t last = first;
        while (last - first < count) {
            const bool can_left = first > 0;
            const bool can_right = last < time_s_.size();
            if (can_left && (!can_right || at_s - time_s_[first - 1] <= time_s_[last] - at_s)) {
                --first;
            } else if (can_right) {
                ++last;
            } else {
                break;
            }
        }
        const double reach_s = std::max(at_s - time_s_[first], time_s_[last - 1] - at_s);
        return {.first = first, .last = last, .reach_s = widening_margin * reach_s};
    }

    // The weights of a window; nullptr when its samples do not fix the polynomial.
    [[nodiscard]] const Weights* weightsFor(double at_s, const Window& window) {
        const double steps = (at_s - time_s_[window.first]) / interval_s_;
        const auto whole = static_cast<std::uint64_t>(std::max(0.0, std::round(steps)));
        const bool even = uneven_before_[window.last - 1] == uneven_before_[window.first] &&
                          std::abs(steps - static_cast<double>(whole)) <= even_tolerance;
        const std::uint64_t key = whole << 32U | static_cast<std::uint64_t>(window.count());
        if (!even || kernel_ == Kernel::tricube) {
            // The tricube's reach need not be whole intervals, so only the last weights can serve again.
            const bool again =
                even && key == fresh_key_ &&
                std::abs(window.reach_s - fresh_reach_s_) <= edge_tolerance * edge_tolerance * window.reach_s;
            fresh_key_ = even ? key : 0;
            fresh_reach_s_ = window.reach_s;
            if (!again && !compute(at_s, window, fresh_)) {
                fresh_key_ = 0;
                return nullptr;
            }
            return &fresh_;
        }
        const auto found = kept_.find(key);
        if (found != kept_.end()) {
            return &found->second;
        }
        if (kept_.size() >= most_kept_weights) {
            kept_.clear();
        }
        Weights& slot = kept_[key];
        if (!compute(at_s, window, slot)) {
            kept_.erase(key);
            return nullptr;
        }
        return &slot;
    }

    [[nodiscard]] bool compute(double at_s, const Window& window, Weights& weights) {
        // The number of terms as a constant lets the compiler unroll the inner loops.
        switch (terms_) {
        case 2:
            return computeTerms<2>(at_s, window, weights);
        case 3:
            return computeTerms<3>(at_s, window, weights);
        case 4:
            return computeTerms<4>(at_s, window, weights);
        default:
            return computeTerms<5>(at_s, window, weights);
        }
    }

    template<std::size_t terms>
    [[nodiscard]] bool computeTerms(double at_s, const Window& window, Weights& weights) {
        // Centred and scaled to [-1, 1], so that the normal equations of order 4 stay well conditioned.
        const std::size_t count = window.count();
        const double centre_s = 0.5 * (time_s_[window.first] + time_s_[window.last - 1]);
        const double scale_s = 0.5 * (time_s_[window.last - 1] - time_s_[window.first]);
        if (!(scale_s > 0.0)) {
            return false;
        }
        u_.resize(count);
        kernel_weight_.resize(count);
        std::array<double, 2 * terms - 1> moments{};
        for (std::size_t i = 0; i < count; ++i) {
            const double time_s = time_s_[window.first + i];
            u_[i] = (time_s - centre_s) / scale_s;
            kernel_weight_[i] = kernelWeight(kernel_, (time_s - at_s) / window.reach_s);
            double power = kernel_weight_[i];
            for (std::size_t k = 0; k < 2 * terms - 1; ++k) {
                moments[k] += power;
                power *= u_[i];
            }
        }
        Factor<terms> factor;
        if (!factor.decompose(moments)) {
            return false;
        }
        const double u_at = (at_s - centre_s) / scale_s;
        Terms<terms> value{};
        Terms<terms> slope{};
        Terms<terms> curvature{};
        double power = 1.0;
        for (std::size_t k = 0; k < terms; ++k) {
            const double degree = static_cast<double>(k);
            value[k] = power;
            if (k + 1 < terms) {
                slope[k + 1] = (degree + 1.0) * power / scale_s;
            }
            if (k + 2 < terms) {
                curvature[k + 2] = (degree + 1.0) * (degree + 2.0) * power / (scale_s * scale_s);
            }
            power *= u_at;
        }
        value = factor.solve(value);
        slope = factor.solve(slope);
        curvature = factor.solve(curvature);
        weights.value.resize(count);
        weights.slope.resize(count);
        weights.curvature.resize(count);
        double value_square = 0.0;
        double slope_square = 0.0;
        double curvature_square = 0.0;
        double value_slope = 0.0;
        double slope_curvature = 0.0;
        for (std::size_t i = 0; i < count; ++i) {
            weights.value[i] = kernel_weight_[i] * polynomial(value, u_[i]);
            weights.slope[i] = kernel_weight_[i] * polynomial(slope, u_[i]);
            weights.curvature[i] = kernel_weight_[i] * polynomial(curvature, u_[i]);
            value_square += weights.value[i] * weights.value[i];
            slope_square += weights.slope[i] * weights.slope[i];
            curvature_square += weights.curvature[i] * weights.curvature[i];
            value_slope += weights.value[i] * weights.slope[i];
            slope_curvature += weights.slope[i] * weights.curvature[i];
        }
        weights.value_gain = std::sqrt(value_square);
        weights.slope_gain = std::sqrt(slope_square);
        weights.curvature_gain = std::sqrt(curvature_square);
        weights.value_slope_covariance = value_slope;
        weights.slope_curvature_covariance = slope_curvature;
        return true;
    }

    std::size_t terms_;
    Kernel kernel_;
    std::vector<double> time_s_;
    std::vector<double> value_; // less offset_
    double offset_ = 0.0;
    std::vector<std::size_t> uneven_before_; // intervals that differ from interval_s_, before each sample
    double interval_s_ = 0.0;                // the median
    std::unordered_map<std::uint64_t, Weights> kept_;
    Window last_window_;
    Weights fresh_;
    std::uint64_t fresh_key_ = 0;
    double fresh_reach_s_ = 0.0;
    std::vector<double> u_;
    std::vector<double> kernel_weight_;
};

} // namespace

LocalFit localPolynomialAt(TraceView trace, std::span<const double> at_s, std::span<const double> half_width_s,
                           int order, Kernel kernel) {
    assert(order >= 1 && order <= highest_order);
    assert(trace.value.size() == trace.time_s.size() && half_width_s.size() == at_s.size());
    const std::vector<double> unknown(at_s.size(), not_a_number);
    LocalFit result{.value = unknown,
                    .slope_per_s = unknown,
                    .curvature_per_s2 = unknown,
                    .value_gain = unknown,
                    .slope_gain = unknown,
                    .curvature_gain = unknown,
                    .value_slope_covariance = unknown,
                    .slope_curvature_covariance = unknown};
    Fitter fitter(trace, order, kernel);
    for (std::size_t i = 0; i < at_s.size(); ++i) {
        fitter.fit(at_s[i], half_width_s[i], i, result);
    }
    return result;
}

LocalFit localPolynomial(TraceView trace, std::span<const double> half_width_s, int order, Kernel kernel) {
    return localPolynomialAt(trace, trace.time_s, half_width_s, order, kernel);
}

} // namespace potwatch::signal
