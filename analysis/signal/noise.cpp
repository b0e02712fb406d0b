// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/noise.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <numeric>
#include <vector>

namespace potwatch::signal {

namespace {

// From the median absolute deviation to the standard deviation of a normal distribution: 1 / quantile(0.75).
constexpr double deviation_of_median = 1.482602218505602;
// Deviations beyond this many standard deviations are not noise.
constexpr double clip_sigma = 4.0;
// Steps finer than this part of the values cannot be told from the rounding of doubles.
constexpr double finest_step = 1e-8;
constexpr double step_tolerance = 1e-10;
// A difference between samples belongs to the step's multiples when it turns up in this share of all changes ...
constexpr double common_share = 0.005;
// ... and there is a step when those make up at least this share.
constexpr double stepped_share = 0.9;
// Differences looked at: enough for a share of 0.005, quick for a trace of millions.
constexpr std::size_t most_differences = 20000;
// The autocorrelation is summed up to this many times its own sum.
constexpr double autocorrelation_window = 5.0;

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

// Distance of every inner sample to the line through its neighbours, scaled to the noise's own standard deviation.
std::vector<double> distancesToNeighbours(TraceView trace) {
    std::vector<double> result;
    result.reserve(trace.size());
    std::size_t before = 0;
    std::size_t here = 0;
    std::size_t seen = 0;
    for (std::size_t next = 0; next < trace.size(); ++next) {
        if (!std::isfinite(trace.value[next])) {
            continue;
        }
        if (seen >= 2) {
            const double part =
                (trace.time_s[here] - trace.time_s[before]) / (trace.time_s[next] - trace.time_s[before]);
            const double line = (1.0 - part) * trace.value[before] + part * trace.value[next];
            const double gain = std::sqrt(1.0 + (1.0 - part) * (1.0 - part) + part * part);
            result.push_back(std::abs(trace.value[here] - line) / gain);
        }
        before = here;
        here = next;
        ++seen;
    }
    return result;
}

// Greatest common divisor of two reals within a tolerance.
double commonDivisor(double a, double b, double tolerance) {
    while (b > tolerance) {
        const double rest = std::fmod(a, b);
        a = b;
        b = std::min(rest, b - rest);
    }
    return a;
}

} // namespace

double noiseStandardDeviation(TraceView trace) {
    const std::vector<double> distances = distancesToNeighbours(trace);
    if (distances.empty()) {
        return 0.0;
    }
    // The median alone would jump from step to step on rounded readings; it only says where the outliers begin.
    double sigma = deviation_of_median * median(distances);
    if (sigma == 0.0) {
        const double step = quantisationStep(trace.value);
        sigma = step > 0.0 ? 0.5 * step : 0.0;
    }
    if (sigma == 0.0) {
        return 0.0;
    }
    double square_sum = 0.0;
    std::size_t count = 0;
    for (const double distance : distances) {
        if (distance <= clip_sigma * sigma) {
            square_sum += distance * distance;
            ++count;
        }
    }
    return std::sqrt(square_sum / static_cast<double>(count));
}

double quantisationStep(std::span<const double> values) {
    std::vector<double> differences;
    const std::size_t stride = 1 + values.size() / most_differences;
    double largest = 0.0;
    for (std::size_t i = 0; i + 1 < values.size(); i += stride) {
        if (std::isfinite(values[i]) && std::isfinite(values[i + 1])) {
            largest = std::max({largest, std::abs(values[i]), std::abs(values[i + 1])});
            differences.push_back(std::abs(values[i + 1] - values[i]));
        }
    }
    const double tolerance = step_tolerance * largest;
    std::erase_if(differences, [&](double difference) { return difference <= finest_step * largest; });
    std::sort(differences.begin(), differences.end());
    const auto total = static_cast<double>(differences.size());
    const double common = std::max(2.0, common_share * total);
    double step = 0.0;
    double stepped = 0.0;
    for (std::size_t i = 0; i < differences.size();) {
        std::size_t next = i + 1;
        while (next < differences.size() && differences[next] - differences[i] <= tolerance) {
            ++next;
        }
        const auto alike = static_cast<double>(next - i);
        if (alike >= common) {
            stepped += alike;
            step = step == 0.0 ? differences[i] : commonDivisor(differences[i], step, tolerance);
        }
        i = next;
    }
    return stepped >= stepped_share * total && step > finest_step * largest ? step : 0.0;
}

double autocorrelationFactor(std::span<const double> residuals) {
    std::vector<double> centred;
    centred.reserve(residuals.size());
    double sum = 0.0;
    double known = 0.0;
    for (const double residual : residuals) {
        if (std::isfinite(residual)) {
            sum += residual;
            known += 1.0;
        }
    }
    if (known < 8.0) {
        return 1.0;
    }
    for (const double residual : residuals) {
        centred.push_back(residual - sum / known);
    }
    const auto meanProduct = [&](std::size_t lag) {
        double products = 0.0;
        double pairs = 0.0;
        for (std::size_t i = 0; i + lag < centred.size(); ++i) {
            const double product = centred[i] * centred[i + lag];
            if (std::isfinite(product)) {
                products += product;
                pairs += 1.0;
            }
        }
        return pairs > 0.0 ? products / pairs : 0.0;
    };
    const double variance = meanProduct(0);
    if (!(variance > 0.0)) {
        return 1.0;
    }
    double factor = 1.0;
    for (std::size_t lag = 1; lag < centred.size() / 2; ++lag) {
        factor += 2.0 * meanProduct(lag) / variance;
        if (static_cast<double>(lag) >= autocorrelation_window * factor) {
            break;
        }
    }
    return std::max(1.0, factor);
}

double roundingUncertainty(double step, double noise) {
    if (!(step > 0.0)) {
        return 0.0;
    }
    const double dither = std::max(0.0, noise * noise - step * step / 12.0) / (step * step);
    const double amplitude = step / std::numbers::pi * std::exp(-2.0 * std::numbers::pi * std::numbers::pi * dither);
    return amplitude / std::numbers::sqrt2;
}

} // namespace potwatch::signal
