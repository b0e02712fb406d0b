// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/fixed_point.h"

#include "analysis/signal/noise.h"
#include "analysis/thermocouple/calibration.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::thermocouple {

namespace {

constexpr double most_drift_k = 0.2; // within shortest_steady_s
constexpr double most_scatter_k = 1.0;
constexpr double farthest_k = 5.0;
constexpr std::size_t fewest_readings = 8;
constexpr std::size_t most_parts = 12;

constexpr double ice_bath_u_k = 0.05;
constexpr double boiling_bath_u_k = 0.1;
constexpr double pressure_u_kpa = 0.3;

// Readings first to last, both inside.
struct Stretch {
    std::size_t first = 0;
    std::size_t last = 0;
};

// The readings that there are.
struct Kept {
    std::vector<double> time_s;
    std::vector<double> value_c;

    [[nodiscard]] double meanOf(Stretch stretch) const {
        double sum = 0.0;
        for (std::size_t i = stretch.first; i <= stretch.last; ++i) {
            sum += value_c[i];
        }
        return sum / static_cast<double>(stretch.last - stretch.first + 1);
    }
    [[nodiscard]] double spanOf(Stretch stretch) const { return time_s[stretch.last] - time_s[stretch.first]; }
};

Kept keptOf(TraceView readings) {
    Kept kept;
    for (std::size_t i = 0; i < readings.size(); ++i) {
        if (std::isfinite(readings.value[i])) {
            kept.time_s.push_back(readings.time_s[i]);
            kept.value_c.push_back(readings.value[i]);
        }
    }
    return kept;
}

// Sums over the readings up to each, from which a straight line through any stretch follows at once.
class Lines {
public:
    explicit Lines(const Kept& kept)
        : sums_(kept.time_s.size() + 1) {
        for (std::size_t i = 0; i < kept.time_s.size(); ++i) {
            const double t = kept.time_s[i] - kept.time_s.front();
            const double v = kept.value_c[i] - kept.value_c.front();
            const Sums& before = sums_[i];
            sums_[i + 1] = {before.t + t, before.v + v, before.tt + t * t, before.tv + t * v, before.vv + v * v};
        }
    }

    // Steady: what drift there is could be that of the scatter alone, or is small.
    [[nodiscard]] bool isSteady(Stretch stretch) const {
        const auto n = static_cast<double>(stretch.last - stretch.first + 1);
        const Sums& a = sums_[stretch.first];
        const Sums& b = sums_[stretch.last + 1];
        const double t = (b.t - a.t) / n;
        const double v = (b.v - a.v) / n;
        const double stt = b.tt - a.tt - n * t * t;
        const double stv = b.tv - a.tv - n * t * v;
        const double svv = b.vv - a.vv - n * v * v;
        if (!(stt > 0.0)) {
            return false;
        }
        const double slope = stv / stt;
        const double scatter_k = std::sqrt(std::max(0.0, svv - slope * stv) / (n - 2.0));
        const double slope_u = scatter_k / std::sqrt(stt);
        return scatter_k <= most_scatter_k &&
               std::abs(slope) * shortest_steady_s <= most_drift_k + 2.0 * slope_u * shortest_steady_s;
    }

private:
    struct Sums {
        double t = 0.0;
        double v = 0.0;
        double tt = 0.0;
        double tv = 0.0;
        double vv = 0.0;
    };
    std::vector<Sums> sums_;
};

// Windows of the shortest length that are steady, joined where they overlap and read the same.
std::vector<Stretch> steadyStretches(const Kept& kept) {
    std::vector<Stretch> stretches;
    const Lines lines(kept);
    std::size_t last = 0;
    for (std::size_t first = 0; first < kept.time_s.size(); ++first) {
        while (last + 1 < kept.time_s.size() && kept.time_s[last] - kept.time_s[first] < shortest_steady_s) {
            ++last;
        }
        const Stretch window{.first = first, .last = last};
        if (kept.spanOf(window) < shortest_steady_s) {
            break;
        }
        if (last - first + 1 < fewest_readings || !lines.isSteady(window)) {
            continue;
        }
        if (!stretches.empty() && first <= stretches.back().last) {
            stretches.back().last = last;
        } else {
            stretches.push_back(window);
        }
    }
    return stretches;
}

// Standard uncertainty of a mean whose readings are not independent: from the means of equal parts.
double meanUncertainty(const Kept& kept, Stretch stretch) {
    const std::size_t count = stretch.last - stretch.first + 1;
    const std::size_t parts = std::min(most_parts, count / 2);
    std::vector<double> means;
    for (std::size_t i = 0; i < parts; ++i) {
        means.push_back(kept.meanOf(
            {.first = stretch.first + i * count / parts, .last = stretch.first + (i + 1) * count / parts - 1}));
    }
    double mean = 0.0;
    for (const double one : means) {
        mean += one / static_cast<double>(parts);
    }
    double sum = 0.0;
    for (const double one : means) {
        sum += (one - mean) * (one - mean);
    }
    return std::sqrt(sum / static_cast<double>(parts * (parts - 1)));
}

// The step in which the readings come, also where they rest on one: the least that two of them differ by.
double stepOf(std::vector<double> value_c) {
    const double seen_k = signal::quantisationStep(value_c);
    std::sort(value_c.begin(), value_c.end());
    double least_k = 0.0;
    for (std::size_t i = 1; i < value_c.size(); ++i) {
        const double gap_k = value_c[i] - value_c[i - 1];
        least_k = gap_k > 0.0 && (least_k == 0.0 || gap_k < least_k) ? gap_k : least_k;
    }
    return std::max(seen_k, least_k);
}

struct Bath {
    const char* name;
    double true_c = 0.0;
    double u_k = 0.0;
};

Result<FixedPoint> fixedPoint(TraceView readings, const Bath& bath) {
    const Kept kept = keptOf(readings);
    const std::vector<Stretch> stretches = steadyStretches(kept);
    std::optional<Stretch> best;
    std::optional<double> nearest_c;
    for (const Stretch& stretch : stretches) {
        const double mean_c = kept.meanOf(stretch);
        if (!nearest_c || std::abs(mean_c - bath.true_c) < std::abs(*nearest_c - bath.true_c)) {
            nearest_c = mean_c;
        }
        if (std::abs(mean_c - bath.true_c) <= farthest_k && (!best || kept.spanOf(stretch) > kept.spanOf(*best))) {
            best = stretch;
        }
    }
    if (!nearest_c) {
        const double span_s = kept.time_s.empty() ? 0.0 : kept.time_s.back() - kept.time_s.front();
        return tl::unexpected(
            Fault{.kind = FaultKind::missing,
                  .what = span_s < shortest_steady_s
                              ? fmt::format("the recording is {:.0f} s long, and a minute is needed", span_s)
                              : "the reading is not steady for a minute anywhere",
                  .where = {},
                  .remedy = fmt::format("leave the probe in {} for three minutes, stirred", bath.name)});
    }
    if (!best) {
        return tl::unexpected(
            Fault{.kind = FaultKind::range,
                  .what = fmt::format("where the reading is steady it is {:.1f} °C, more than {:.0f} K from the {:.1f} "
                                      "°C of {}",
                                      *nearest_c, farthest_k, bath.true_c, bath.name),
                  .where = {},
                  .remedy = "check that the probe was in it, the right channel, and the probe's type"});
    }
    const double step_k = stepOf(kept.value_c);
    const double read_u_k = std::hypot(meanUncertainty(kept, *best), step_k / std::sqrt(12.0));
    return FixedPoint{.reading_c = kept.meanOf(*best),
                      .u_k = std::hypot(read_u_k, bath.u_k),
                      .true_c = bath.true_c,
                      .from_s = kept.time_s[best->first],
                      .to_s = kept.time_s[best->last],
                      .readings = best->last - best->first + 1};
}

} // namespace

Result<FixedPoint> icePoint(TraceView readings) {
    return fixedPoint(readings, {.name = "melting ice", .true_c = 0.0, .u_k = ice_bath_u_k});
}

Result<FixedPoint> boilingPoint(TraceView readings, double air_kpa) {
    const Result<double> boils_c = boilingPointC(air_kpa);
    if (!boils_c) {
        return tl::unexpected(boils_c.error());
    }
    constexpr double step_kpa = 0.5;
    const Result<double> above_c = boilingPointC(air_kpa - step_kpa); // one of both is air's, wherever in the range
    const Result<double> below_c = boilingPointC(air_kpa + step_kpa);
    const double slope = above_c ? (*boils_c - *above_c) / step_kpa : (*below_c - *boils_c) / step_kpa;
    return fixedPoint(
        readings,
        {.name = "boiling water", .true_c = *boils_c, .u_k = std::hypot(boiling_bath_u_k, slope * pressure_u_kpa)});
}

} // namespace potwatch::thermocouple
