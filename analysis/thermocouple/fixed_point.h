// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/trace.h"

#include <cstddef>

namespace potwatch::thermocouple {

// What a probe read in a bath whose temperature is known.
struct FixedPoint {
    double reading_c = 0.0; // mean of the steady part
    double u_k = 0.0;       // standard uncertainty of reading - true_c: scatter and drift, rounding, and the bath's own
    double true_c = 0.0;    // of the bath
    double from_s = 0.0;    // the steady part
    double to_s = 0.0;
    std::size_t readings = 0; // in it
};

inline constexpr double shortest_steady_s = 60.0;

// The steady part of a recording of a probe in melting ice: the longest stretch in which the reading drifts by no more
// than 0.2 K a minute, scatters by no more than 1 K and lies within 5 K of 0 °C. Its uncertainty comes from the means
// of up to twelve equal parts of it (neighbouring readings are not independent), the rounding of the readings, and the
// bath: 0.05 K for crushed ice of tap water that is stirred (common practice, no source). Shape: time_s ascending; NaN
// = missing. Errors: missing (no stretch of a minute is steady: says so), range (the nearest steady stretch is more
// than 5 K off). Source: JCGM 100:2008, 4.2 and 4.3.
[[nodiscard]] Result<FixedPoint> icePoint(TraceView readings);

// The same in boiling water, at the air's pressure. Its bath's uncertainty: 0.1 K for where in the water the probe
// hangs and what is dissolved in it, and the pressure's 0.3 kPa (0.08 K), as a weather station's value is good for
// (common practice, no source). Errors: as icePoint(), and range (no air on land has that pressure).
[[nodiscard]] Result<FixedPoint> boilingPoint(TraceView readings, double air_kpa);

} // namespace potwatch::thermocouple
