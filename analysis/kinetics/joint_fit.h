// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/vessel.h"
#include "analysis/kinetics/pot_residuals.h"
#include "analysis/kinetics/pot_run.h"
#include "analysis/kinetics/start_values.h"
#include "analysis/values/fault.h"

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <vector>

namespace potwatch::kinetics {

// Where an unknown of the joint fit comes from.
struct Unknown {
    PotParameter kind = log_k1;
    std::string of; // vessel, channel or run; empty = common to all runs
    double start = 0.0;
    double lower = 0.0;
    double upper = 0.0;
    std::optional<heat::Prior> known; // what is known of it beforehand
};

// All unknowns of all runs, and which of them each run hangs on.
struct Layout {
    std::vector<Unknown> unknowns;
    std::vector<std::array<std::ptrdiff_t, pot_parameter_count>> of_run; // index of an unknown, or -1: held
    std::array<double, pot_parameter_count> held{};                      // values of what no run leaves free
};

struct JointSettings {
    PotSettings pot;
    std::optional<double> order; // held; nothing: found
    std::stop_token stop;
};

// Sets the unknowns out. A vessel with blanks starts from what they know.
[[nodiscard]] Layout layoutOf(std::span<const PotRun> runs, const JointSettings& settings,
                              std::span<const std::optional<findings::CommonLoss>> blanks);

struct JointFit {
    Layout layout;
    PotSettings settings;
    std::vector<double> values;                  // of the unknowns
    std::vector<std::vector<double>> covariance; // of the unknowns, noise counted as it is
    std::vector<std::vector<double>> residuals;  // a run, a bin
    double chi_square = 0.0;                     // of the bins
    double sum_of_squares = 0.0;                 // with what was known beforehand
    int iterations = 0;
    // How far the next step would lead from here, in standard uncertainties along it; 0 of a rough fit.
    double from_minimum = 0.0;
    // Behind the covariance; none of a rough fit. What the noise of each run counts for, and, weighed with it,
    // residuals and Jacobian [row by row] of all bins and of what was known beforehand.
    std::vector<double> weights;
    std::vector<double> weighed_residuals;
    std::vector<double> weighed_jacobian;

    [[nodiscard]] std::array<double, pot_parameter_count> parametersOf(std::size_t run) const;
    // Index of an unknown by kind and owner; nothing where it is held.
    [[nodiscard]] std::optional<std::size_t> find(PotParameter kind, const std::string& of = {}) const;
    [[nodiscard]] bool atBound(std::size_t unknown) const;
};

// Fits all runs at once from rough starting values of the law, to come near: with the measured temperatures driving the
// cure that is nearly linear. Where it runs out of steps it counts as it stands. No covariance. Errors: notConverged,
// cancelled.
[[nodiscard]] Result<JointFit> roughly(std::span<const PotRun> runs, const Layout& layout,
                                       const JointSettings& settings, const std::vector<double>& law_start);

// From there, with the model's own temperatures. Errors: notConverged, missing (no covariance), cancelled.
[[nodiscard]] Result<JointFit> finely(std::span<const PotRun> runs, const JointFit& near,
                                      const JointSettings& settings);

// Where the model misses the runs beyond their noise, what was stated must not be bent to mend that: the runs' noise is
// raised to how far they are missed.
void inflate(std::span<PotRun> runs, const JointFit& fit);

} // namespace potwatch::kinetics
