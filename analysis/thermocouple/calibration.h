// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/trace.h"

namespace potwatch::thermocouple {

// What a probe read at two temperatures that need no other thermometer.
struct FixedPoints {
    double ice_c = 0.0;            // reading in melting ice, stirred
    double boiling_c = 0.0;        // reading in boiling water
    double pressure_kpa = 101.325; // of the air on that day and at that place, not reduced to sea level
};

// temperature = scale * reading + offset_k.
struct Correction {
    double scale = 1.0;
    double offset_k = 0.0;

    [[nodiscard]] double at(double reading_c) const { return scale * reading_c + offset_k; }
    bool operator==(const Correction&) const = default;
};

// The straight line through both points: ice melts at 0 °C (at the air's pressure to within 0.01 K), water boils at
// chemistry::saturationTemperatureC.
// Errors: range (a pressure that no air on land has, 40 to 110 kPa; a reading more than 10 K from its point: then the
// probe is broken, or ice and boiling water are mixed up).
[[nodiscard]] Result<Correction> correctionFrom(const FixedPoints& points);

// How slowly a probe follows, and how surely that is known.
struct PlungeLag {
    double lag_s = 0.0;
    double u_s = 0.0;    // standard uncertainty, from the scatter about the fit
    double from_s = 0.0; // where the fit begins
};

// First-order time constant of a probe that was put from one temperature into another and left there: end + step
// exp(-t / lag), fitted by least squares from where a fifth of the change is done, so that the way from one to the
// other does not count. It holds for the medium that it was measured in: in stirred resin a probe follows more slowly
// than in stirred water. Shape: readings of the plunge alone, from before it until it has settled. Errors: range (it
// changed by less than 10 K), missing (fewer than 8 readings from there on, or it was not left there for three time
// constants).
[[nodiscard]] Result<PlungeLag> lagFromPlunge(TraceView readings);

} // namespace potwatch::thermocouple
