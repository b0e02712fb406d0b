// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/cure_course.h"
#include "analysis/values/estimate.h"
#include "analysis/values/fault.h"
#include "analysis/values/model_free.h"

#include <optional>
#include <span>
#include <vector>

namespace potwatch::kinetics {

// What is done about the catalyst: it stays out (raw), its order is stated, or its order is found from the runs.
enum class CatalystOrder { none, stated, found };

struct FriedmanSettings {
    CatalystOrder order = CatalystOrder::found;
    Estimate stated{.value = 1.0, .u = 0.0, .low = 1.0, .high = 1.0};
    std::vector<double> degrees{nine_degrees.begin(), nine_degrees.end()}; // ascending
};

// Activation energy at equal degrees of cure, from how the rate there hangs on the temperature over several runs:
// ln[(d degree/dt) / c^p] against 1/T, c being the catalyst per gram of resin at that moment; one p for all degrees, by
// least squares over all of them. Needs no law of cure, and no particular course of temperature.
// The intervals come from how the runs scatter: by Student's t with a stated order; with a found one by leaving out
// each run in turn (a run that is off is off at all of its degrees). What is wrong in all runs alike (probe lag, heat
// capacity) does not show in them.
// Degrees that fewer than three runs pass (four where the order is found) are left out with a warning.
// Errors: missing: fewer than three runs (four), no degree that enough runs pass, the order cannot be told from
// temperature; and, for the raw method, a catalyst that is dosed during the cure or differs between the runs: the rate
// then rises for two reasons, and the energy reads 70 to 170 kJ/mol where 50 is true.
// Source: H. L. Friedman, J. Polym. Sci. C 6 (1964) 183, divided by the catalyst's power law; leaving one out: B.
// Efron, C. Stein, Ann. Stat. 9 (1981) 586.
[[nodiscard]] Result<ModelFree> friedman(std::span<const CureCourse> courses, const FriedmanSettings& settings = {});

} // namespace potwatch::kinetics
