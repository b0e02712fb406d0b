// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/signal/local_polynomial.h"
#include "analysis/values/trace.h"

#include <span>
#include <vector>

namespace potwatch::signal {

// Which quantity the window is chosen for.
enum class Aim {
    level, // reading + lag d(reading)/dt: the temperature behind a lagging probe
    rate   // its first derivative
};

struct Smoothing {
    Aim aim = Aim::level;
    double lag_s = 0.0;    // first-order lag of the probe
    double noise = 0.0;    // standard deviation of the white noise on the readings
    double widest_s = 0.0; // half width never beyond this; 0 = a quarter of the trace
};

// So many usual intervals without a sample are a gap: twice the narrowest half width, beyond which a window may hold
// samples on one side alone.
inline constexpr double gap_intervals = 10.0;

// A trace smoothed by local polynomials whose window follows the noise and the local shape: as wide as the estimates of
// all narrower windows still agree with within their noise (intersection of confidence intervals). A gap is crossed by
// a monotone cubic: the curve shows no rise or fall of which there is no sample. Shape: all of one length, knots
// strictly ascending, closer together where the window is narrow; all finite. First knot is the first sample, last knot
// the last one. Source: A. Goldenshluger, A. Nemirovski, Math. Methods Statist. 6 (1997) 135; V. Katkovnik, IEEE Trans.
// Signal Process. 47 (1999) 2567 (the rule; from memory).
struct SmoothCurve {
    Aim aim = Aim::level;
    std::vector<double> time_s;
    std::vector<double> half_width_s;
    LocalFit fit; // of the reading, at the knots

    bool operator==(const SmoothCurve&) const = default;
};

// Smooths a trace for one aim. Order 3 for the level, 4 for the rate: the lowest that do not flatten a peak or a flank
// of the aim's own order. Shape: time_s strictly ascending; NaN passed over; at least 16 finite values. Cost: O(n) with
// a few hundred operations a sample, whatever the windows (wide windows read a trace averaged in bins).
[[nodiscard]] SmoothCurve smooth(TraceView trace, const Smoothing& smoothing);

// The aim at every knot for a given lag: level [unit of the reading] or rate [unit/s]. The windows stay as they were
// chosen.
[[nodiscard]] std::vector<double> atKnots(const SmoothCurve& curve, double lag_s);

// How much narrower the window of uncertaintyAtKnots is.
[[nodiscard]] constexpr double undersmoothingOf(Aim aim) {
    return aim == Aim::level ? 1.4 : 1.2;
}

// Standard uncertainty of atKnots from noise and smoothing: the noise of a window narrower by undersmoothingOf(aim),
// whose bias is small against its noise by the rule that chose the window. The second form names another narrowing; 1
// is the noise alone.
[[nodiscard]] std::vector<double> uncertaintyAtKnots(const SmoothCurve& curve, double lag_s, double noise);
[[nodiscard]] std::vector<double> uncertaintyAtKnots(const SmoothCurve& curve, double lag_s, double noise,
                                                     double narrower);
// The first form at one knot. Cost: O(1).
[[nodiscard]] double uncertaintyAtKnot(const SmoothCurve& curve, std::size_t knot, double lag_s, double noise);

// Slope of the level at every knot [1/s]. Assumes: Aim::level.
[[nodiscard]] std::vector<double> levelSlopeAtKnots(const SmoothCurve& curve, double lag_s);

// Standard uncertainty of levelSlopeAtKnots from noise and smoothing, as that of a window narrower by 1.4.
[[nodiscard]] std::vector<double> slopeUncertaintyAtKnots(const SmoothCurve& curve, double lag_s, double noise);

// Cubic Hermite interpolation through knots with known slopes; constant slope beyond the ends.
[[nodiscard]] double hermite(std::span<const double> time_s, std::span<const double> value,
                             std::span<const double> slope, double at_s);
[[nodiscard]] std::vector<double> hermite(std::span<const double> time_s, std::span<const double> value,
                                          std::span<const double> slope, std::span<const double> at_s);

// Straight lines between knots, constant beyond the ends.
[[nodiscard]] double linear(std::span<const double> time_s, std::span<const double> value, double at_s);
[[nodiscard]] std::vector<double> linear(std::span<const double> time_s, std::span<const double> value,
                                         std::span<const double> at_s);

} // namespace potwatch::signal
