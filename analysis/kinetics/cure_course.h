// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::findings {
struct RunStudy;
}

namespace potwatch::kinetics {

// The cure of one run as kinetics sees it.
// Shape: all of time_s's length (catalyst_g_per_g may be empty: none counts), time_s strictly ascending, evenly or not;
// NaN in degree or rate where nothing is known.
struct CureCourse {
    std::string run;
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    std::vector<double> degree;
    std::vector<double> rate_per_s;       // of the degree
    std::vector<double> catalyst_g_per_g; // of resin

    bool operator==(const CureCourse&) const = default;
};

// A moment of it.
struct CureMoment {
    double time_s = 0.0;
    double temperature_c = 0.0;
    double degree = 0.0;
    double rate_per_s = 0.0;
    double catalyst_g_per_g = 0.0;
};

// The degrees of cure at which model-free methods are usually asked.
inline constexpr std::array<double, 9> nine_degrees{0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9};

// What is wrong with the shape of a course; nothing if it can be used.
[[nodiscard]] std::optional<Fault> faultIn(const CureCourse& course);

// When the cure first passes a degree, and the state then: cubic in time through the four rows around. Nothing where it
// does not pass it, or does so in a gap.
[[nodiscard]] std::optional<CureMoment> passing(const CureCourse& course, double degree);

// When it cures fastest: the top of a quartic through the rows that reach nine tenths of the highest rate (at least
// five rows). Nothing where the highest rate is the first or the last one known.
[[nodiscard]] std::optional<CureMoment> fastest(const CureCourse& course);

// Whether the catalyst changes by more than a hundredth while the degree goes from `from` to `to`.
[[nodiscard]] bool dosedBetween(const CureCourse& course, double from, double to);

// The cure of a run from its heat balance. What boiled is left out; where the water was not weighed, all after it too.
// Errors: missing (masses, surroundings, heat loss, heat of reaction or exotherm are not known).
[[nodiscard]] Result<CureCourse> cureCourseOf(const findings::RunStudy& study);

} // namespace potwatch::kinetics
