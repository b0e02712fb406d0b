// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/event.h"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::heat {

// Mass added to the pot against time: straight between the points, constant beyond them.
struct DoseCourse {
    std::vector<double> time_s; // ascending; two points at one time are a mass added at once
    std::vector<double> dosed_g;

    [[nodiscard]] double dosedAt(double at_s) const;
    [[nodiscard]] double rateAt(double at_s) const; // [g/s]; of the stretch that starts at at_s
    [[nodiscard]] double totalG() const { return dosed_g.empty() ? 0.0 : dosed_g.back(); }
    [[nodiscard]] double startS() const { return time_s.front(); }
    [[nodiscard]] double endS() const { return time_s.back(); }
};

// The dose as it was given: events "dose start" and "dose end" outrank the steps done by hand, which outrank the
// constant rate. Nothing where no time of dosing is known; `missing` then says what to state. Steps in mL need the
// density, drops also drops_per_ml.
struct DoseAsGiven {
    std::optional<DoseCourse> course;
    std::string missing;
};
[[nodiscard]] DoseAsGiven doseAsGiven(const Dose& dose, std::span<const Event> events, double run_end_s);

// Of the dose as stated; unstated that of a watery solution, 3.0 J/(g K) (common practice, no source).
[[nodiscard]] double specificHeatJPerGK(const Dose& dose);

} // namespace potwatch::heat
