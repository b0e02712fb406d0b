// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/trend_likelihood.h"

#include <functional>
#include <optional>

namespace potwatch::compare {

// The likelihood of a fitted trend away from its greatest: what is still within the 95 % interval.
class TrendProfile {
public:
    explicit TrendProfile(const Trend& trend);

    // Root of twice the fall of the log-likelihood when the trend is held to something, over the root of the fall at
    // the end of the 95 % interval: 0 at the fit, 1 at the end. `near` is where the search starts and is left where
    // it ended, so that the next one, close by, is short.
    [[nodiscard]] double away(const TrendHeld& held, TrendParameters& near) const;

    // The same fall as Student's t, with the trend's degrees of freedom.
    [[nodiscard]] double studentAway(const TrendHeld& held, TrendParameters& near) const;

    [[nodiscard]] const TrendLikelihood& likelihood() const { return likelihood_; }
    [[nodiscard]] const TrendParameters& best() const { return best_; }

private:
    TrendLikelihood likelihood_;
    TrendParameters best_;
    double fall95_ = 0.0;
    double measured_ = 0.0;
    double degrees_ = 0.0;
};

// The first step from 0 at which `rises` comes to 1, looked for in growing steps from `guess` on; empty where it does
// not within `most`. To `tolerance` of itself.
[[nodiscard]] std::optional<double> stepToOne(const std::function<double(double)>& rises, double guess, double most,
                                              double tolerance = 1e-6);

// Half width of the 95 % band for one more run beyond that of the trend itself.
[[nodiscard]] double oneRunHalfWidth(const Trend& trend);

// 97.5 % quantile of Student's t with the trend's degrees of freedom. Assumes: degrees > 0.
[[nodiscard]] double quantile95(const Trend& trend);

} // namespace potwatch::compare
