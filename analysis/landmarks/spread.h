// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/landmarks/exotherm.h"
#include "analysis/values/findings.h"

#include <cstdint>
#include <stop_token>

namespace potwatch::landmarks {

struct LagKnowledge {
    double lag_s = 0.0;
    double u_s = 0.0;
};

struct Draws {
    int count = 0; // 0: the lag's part by central difference alone
    std::uint64_t seed = 1;
    std::stop_token stop;
};

// The landmarks of a rise with their uncertainty.
struct RiseLandmarks {
    Landmark first_deviation;
    Landmark onset;
    Steepest steepest;
    Peak peak;
};

// How much higher than the curve the top of a rise may be where readings are too far apart to show it [K]; 0 where they
// are not.
[[nodiscard]] double unseenTop(const Rise& rise, const Course& course, const Curves& curves);

// Uncertainty of the landmarks of a rise: the noise part from the gains of the local fits, the lag's part, which is not
// linear at a sharp peak, by Monte Carlo draws of the lag (rectangular, never negative) with everything located anew,
// and, where it is stated, the thermocouple's own standard uncertainty on every temperature. What was put by hand
// (Rise::by_hand) has an exact time. Assumes: rise was found on these curves with lag.lag_s. Source: JCGM
// 100:2008, 5.1; JCGM 101:2008, 5.9.
[[nodiscard]] RiseLandmarks withUncertainty(const Rise& rise, const Curves& curves, const LagKnowledge& lag,
                                            double thermocouple_u_k, const Draws& draws);

} // namespace potwatch::landmarks
