// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/forecast/cure_law.h"
#include "analysis/values/fault.h"
#include "analysis/values/mould.h"
#include "analysis/values/programme.h"

#include <cstddef>
#include <optional>
#include <stop_token>
#include <vector>

namespace potwatch::forecast {

// A casting that cures in an oven. The catalyst stands at the law's reference.
struct MouldProblem {
    Mould mould;
    CureLaw law;
    double heat_of_reaction_j_per_g = 0.0; // J per g of resin
    TemperatureCourse air;
    std::optional<TemperatureCourse> other_air; // on the other side of a slab, where it is another one
    double until_s = 0.0;                       // the forecast runs from 0 to here
};

// One place of the casting.
struct MouldPoint {
    double peak_temperature_c = 0.0;
    double peak_time_s = 0.0;
    double degree_final = 0.0;

    bool operator==(const MouldPoint&) const = default;
};

// Heat of the whole mould with its walls [J per m2 of a slab's face, per m of a cylinder over 2 pi, of a sphere over 4
// pi].
struct MouldEnergy {
    double released_j = 0.0;
    double stored_j = 0.0;
    double lost_j = 0.0; // to the air; negative where the oven heated the mould

    bool operator==(const MouldEnergy&) const = default;
};

// Temperature and degree of cure through the casting, against time.
// Shape: temperature_c and degree hold one row a time, one value a position in each. position_mm is the distance from
// the middle of a slab (negative towards its other side), else the radius; it includes the centre and the surfaces.
struct MouldCourse {
    std::vector<double> time_s;
    std::vector<double> position_mm;
    std::vector<std::vector<double>> temperature_c;
    std::vector<std::vector<double>> degree;
};

struct MouldForecast {
    MouldPoint core; // the middle; of a slab with another side too
    MouldPoint skin; // where the resin ends, on the first side
    std::optional<MouldPoint> other_skin;
    MouldPoint hottest; // the hottest place and moment of all; degree_final is that of this place
    double hottest_position_mm = 0.0;
    double least_degree = 0.0;         // of all places, at the end
    double largest_difference_k = 0.0; // of the core over the skin
    MouldEnergy energy;
    MouldCourse course;
    std::size_t cells = 0;      // of the resin, in the grid that was used
    double grid_change_k = 0.0; // of the core's and the hottest peak, from a grid half as fine
};

// Conducts and cures: rho c dT/dt = r^-s d/dr(r^s lambda dT/dr) + rho H d(degree)/dt with s = 0, 1, 2 for slab,
// cylinder and sphere, no flux through the centre (a slab with an other side is solved from face to face), h (T_air -
// T) at the outside, walls as layers with a heat capacity of their own. Finite volumes; the grid is refined until the
// peaks move by less than grid_tolerance_k; time by CVODES (BDF, banded Jacobian). Errors: range (a thickness,
// conductivity, density or heat that cannot be; an air course that is empty or not ascending), notConverged (the
// integrator gave up), cancelled. Source: H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. (1959); A.
// C. Hindmarsh and others, ACM Trans. Math. Softw. 31 (2005) 363 (SUNDIALS).
inline constexpr double grid_tolerance_k = 0.02;
[[nodiscard]] Result<MouldForecast> forecastMould(const MouldProblem& problem, std::stop_token stop = {});

// The same on one grid of this many cells of resin to each half, without refinement.
[[nodiscard]] Result<MouldForecast> forecastMouldOn(std::size_t cells, const MouldProblem& problem,
                                                    std::stop_token stop = {});

// When the least cured place of a forecast comes to a degree of cure [s]; nothing where it does not.
[[nodiscard]] std::optional<double> timeToDegreeS(const MouldForecast& forecast, double degree);

// Where the water in the resin would boil: saturation pressure over the pressure on the resin.
struct FoamRisk {
    bool foams = false;
    std::optional<double> first_s;     // the first such moment,
    std::optional<double> first_mm;    // its place,
    std::optional<double> degree;      // and the degree of cure there and then
    double holding_pressure_kpa = 0.0; // absolute, that would hold the water at the hottest moment: a lower bound
};
// Source: saturation pressure of IAPWS-IF97; water activity 1, which is the safe side; air and formaldehyde that are
// trapped come on top.
[[nodiscard]] FoamRisk foamRiskOf(const MouldForecast& forecast, double pressure_kpa);

} // namespace potwatch::forecast
