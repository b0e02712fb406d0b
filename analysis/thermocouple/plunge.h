// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/trace.h"

namespace potwatch::thermocouple {

// How slowly a probe follows, and how surely that is known.
struct PlungeLag {
    double lag_s = 0.0;
    double u_s = 0.0;    // standard uncertainty
    double from_s = 0.0; // where the fit begins
};

// First-order time constant of a probe that was put from one temperature into another and left there: end + step
// exp(-t / lag), fitted by least squares from where a fifth of the change is done, so that the way from one to the
// other does not count. u_s is that of the scatter about the fit alone. Shape: readings of the plunge alone, from
// before it until it has settled. Errors: range (it changed by less than 10 K), missing (fewer than 8 readings from
// there on, or it was not left there for three time constants).
[[nodiscard]] Result<PlungeLag> lagFromPlunge(TraceView readings);

// The same for a whole recording: the plunge is the fastest change in it, and counts from before it until the probe is
// taken out again, or for ten time constants, so that a bath that slowly warms or cools hardly matters. u_s is that for
// resin: a tenth of the lag on top, since the probe does not follow in resin exactly as it does in stirred water
// (common practice, no source). Shape: time_s ascending; NaN = missing. Errors: as above.
[[nodiscard]] Result<PlungeLag> lagFromRecording(TraceView readings);

} // namespace potwatch::thermocouple
