// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/findings.h"

#include <optional>

namespace potwatch::forecast {

// Heat that a run had accumulated, told from its own balance: no law of cure is needed.

// Thermal inertia phi [1] of the pot at the end of the run: pot and contents over the contents. Nothing where masses or
// the vessel are not stated, or the vessel takes up all of it.
[[nodiscard]] std::optional<Estimate> thermalInertiaOf(const Findings& findings);

// The highest temperature that the pot could have reached, had dosing and cooling failed at the worst moment of the run
// and nothing boiled. Nothing where no catalyst or reactant is dosed, or the batch does not state dose, masses and
// heat of reaction, or the degree of cure is not known. Up to the boil plateau where there is one: what boils off takes
// its heat along. Of a reactant the whole dose is what the whole cure needs. Heat of reaction and heat capacity count
// with their uncertainty; what has cured by then is known from the balance in kelvin of the pot.
// Source: mtsrC in analysis/forecast/adiabatic.h; JCGM 100:2008, 5.1.2.
[[nodiscard]] std::optional<Mtsr> mtsrOf(const Analysis& analysis, const Batch& batch);

} // namespace potwatch::forecast
