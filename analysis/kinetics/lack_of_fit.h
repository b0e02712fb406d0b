// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/joint_fit.h"

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::kinetics {

// In what a real pot leaves the balance of the fit most often, and how far it does in units of `usual_size`.
enum Departure : std::size_t {
    warming_charge, // the charge's specific heat changes with its temperature
    curing_charge,  // and with the degree of cure
    lagging_vessel, // the vessel is warmed through a resistance, and most of the heat is lost through it
    departure_count
};
constexpr double warming_share_per_k = 0.0015; // of the specific heat
constexpr double curing_share = 0.06;          // from fresh to cured
constexpr double vessel_resistance = 0.1;      // of contents and vessel to that of the loss
constexpr double share_through_vessel = 0.7;   // of the loss

// What the fit would come to if the departures were unknowns of it, each known to be 0 +- 1 beforehand.
// Shape: the unknowns of the fit, then the departures.
struct LackOfFit {
    std::vector<double> move;                    // away from the fit
    std::vector<std::vector<double>> covariance; // there
    std::array<double, departure_count> sigma{}; // of each departure, from what noise alone would make of it
    double middle_c = 0.0;                       // at which the specific heat is as the fit has it

    // The one that stands out of the noise most; nothing where none does.
    [[nodiscard]] std::optional<Departure> found() const;
};

// From the residuals of a fit that follows its runs: what each departure would change in the readings is found by
// putting the heat that it takes or gives into the pot as a heater's, and its size by one step of Gauss and Newton.
// Nothing where the data leave the fit without covariance. Source: C. R. Rao, Proc. Camb. Phil. Soc. 44 (1948) 50, the
// score test (from memory); usual sizes from common practice, no source.
[[nodiscard]] std::optional<LackOfFit> lackOfFit(const JointFit& fit, std::span<const PotRun> runs);

// The covariance of a fit's unknowns that holds the departures and how far they would move it.
[[nodiscard]] std::vector<std::vector<double>> widened(const LackOfFit& lack, std::size_t unknowns);

// What is to be said of it.
[[nodiscard]] std::string wordsFor(Departure departure);

} // namespace potwatch::kinetics
