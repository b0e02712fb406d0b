// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <functional>
#include <memory>
#include <span>
#include <vector>

namespace potwatch::forecast {

// A stiff system of ordinary differential equations whose Jacobian is a band: no state depends on one more than
// `half_band` places away.
struct BandedSystem {
    std::vector<double> start;
    std::vector<double> absolute_tolerance; // one a state
    double relative_tolerance = 1e-6;
    int half_band = 1;
    // Fills `change` with the derivatives of `state` at a time.
    std::function<void(double time_s, std::span<const double> state, std::span<double> change)> derivatives;
};

// Follows a system from 0 s on by SUNDIALS' CVODES (backward differentiation, Newton with a banded Jacobian).
class StiffIntegrator {
public:
    // Errors: notConverged (the integrator cannot be set up).
    [[nodiscard]] static Result<StiffIntegrator> of(BandedSystem system);

    StiffIntegrator(StiffIntegrator&&) noexcept;
    StiffIntegrator& operator=(StiffIntegrator&&) noexcept;
    ~StiffIntegrator();

    // Moves on to a later time; never steps over `kink_s`, where the derivatives break off (pass a time before
    // `time_s` where there is none). Errors: notConverged.
    [[nodiscard]] Result<void> advance(double time_s, double kink_s);

    [[nodiscard]] std::span<const double> state() const;

private:
    struct Parts;
    explicit StiffIntegrator(std::unique_ptr<Parts> parts);
    std::unique_ptr<Parts> parts_;
};

} // namespace potwatch::forecast
