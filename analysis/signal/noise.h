// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/trace.h"

#include <span>

namespace potwatch::signal {

// Standard deviation of the white noise on a trace, in the trace's unit: from the distance of each sample to the line
// through its neighbours, so that a level or a slope adds nothing; spikes are kept out by the median absolute
// deviation. Rounding to a step counts as noise where the trace moves through the steps; where it rests on one step,
// nothing is seen. Shape: time_s strictly ascending, any spacing; NaN skipped. 0 for fewer than 3 values. Source:
// common practice, no source (for even spacing: J. von Neumann, Ann. Math. Stat. 12 (1941) 367, differences).
[[nodiscard]] double noiseStandardDeviation(TraceView trace);

// The step in which the values come (0.25 for readings such as 22.25, 22.50), or 0 when there is none to be seen.
// Shape: values in the order received; NaN skipped. A few values off the steps (spikes, averages) do not matter.
// Source: common practice, no source.
[[nodiscard]] double quantisationStep(std::span<const double> values);

// Standard uncertainty of a mean of many readings that were rounded to steps: what their noise does not even out.
// noise: standard deviation of the readings, rounding included. Half a step's worth without noise, next to nothing from
// half a step of noise on. Source: first term of the mean error of a dithered quantiser, (q / pi) exp(-2 pi^2 s^2 /
// q^2), as a sine: B. Widrow, I. Kollar, Quantization Noise (2008) (from memory).
[[nodiscard]] double roundingUncertainty(double step, double noise);

// Integrated autocorrelation of residuals, 1 + 2 (r1 + r2 + ...) >= 1: n residuals say as much on their mean as n /
// factor independent ones. The sum ends at five times its own value. Shape: evenly spaced, mean near 0 (it is taken
// off); NaN pairs skipped. 1 for fewer than 8 values or no variance. Source: A. Sokal, Monte Carlo methods in
// statistical mechanics (1989), windowing rule (from memory).
[[nodiscard]] double autocorrelationFactor(std::span<const double> residuals);

} // namespace potwatch::signal
