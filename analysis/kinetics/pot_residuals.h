// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/pot_run.h"

#include <cstddef>
#include <span>
#include <vector>

namespace potwatch::kinetics {

// What the readings of one run hang on. The first seven are the cure law's and common to all runs.
enum PotParameter : std::size_t {
    log_k1,        // ln of k1 at the reference temperature [1/s]
    e1,            // [kJ/mol]
    log_k2,        // as log_k1
    e2,            // [kJ/mol]
    power_m,       // m
    power_n,       // n
    order,         // of the catalyst, p
    log_heat,      // ln(heat of reaction / as stated)
    log_charge,    // ln(heat capacity of the charge / as stated)
    log_loss,      // ln of the loss coefficient [W/K], the vessel's
    loss_exponent, // x, the vessel's
    log_vessel,    // ln(heat capacity of the vessel / as stated)
    lag,           // [s], the probe's
    shift,         // of the surroundings [K], the run's
    start,         // temperature at the start [°C], the run's
    log_dose,      // ln(specific heat of the dose / as stated)
    steam,         // water that left while it boiled [g], the run's
    skipped,       // ln((1 - degree) after boiling / as integrated), the run's
    pot_parameter_count
};

struct PotSettings {
    double reference_k = 330.0; // of k1 and k2
    bool autocatalytic = true;  // false: k2 = 0
    bool driven = false;        // the measured temperature drives the cure everywhere, not the model's own
};

// Residuals of one run's bins, (model - reading) / (u x inflation), and their derivatives by the parameters [bins x
// pot_parameter_count, row by row] where `jacobian` is not empty. False where the model has no answer.
// The model: cure law and loss integrated by classical Runge-Kutta of order 4 over PotRun::steps; the temperature from
// the balance C (T - T0) = m H (degree - start) - loss + heater + dose - steam; the probe follows by the exact answer
// of its lag to a parabola through the temperatures of a step. Derivatives by dual numbers. Source: W. Kutta,
// Z. Math. Phys. 46 (1901) 435; the balance as in analysis/heat/balance.h; the law as in analysis/forecast/cure_law.h.
[[nodiscard]] bool potResiduals(const PotRun& run, std::span<const double> parameters, const PotSettings& settings,
                                std::span<double> residuals, std::span<double> jacobian);

// How far each step of a run is off [K], in the temperature or in the reading, whichever is more: against the same step
// in two halves. `halved` is the run with all steps cut in two. Empty where the model has no answer.
[[nodiscard]] std::vector<double> stepErrors(const PotRun& run, const PotRun& halved,
                                             std::span<const double> parameters, const PotSettings& settings);

// Degree of cure of the model, and of the balance of the same readings, at the run's bins.
struct DegreeCourse {
    std::vector<double> time_s;
    std::vector<double> temperature_c; // of the model
    std::vector<double> modelled;
    std::vector<double> measured; // modelled + residual in kelvin times heat capacity per heat of the whole cure
    std::vector<double> reading_difference_k;
};
[[nodiscard]] DegreeCourse degreeCourse(const PotRun& run, std::span<const double> parameters,
                                        const PotSettings& settings);

} // namespace potwatch::kinetics
