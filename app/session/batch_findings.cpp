// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/batch_findings.h"

#include "analysis/forecast/accumulation.h"

namespace potwatch::session {

void addBatchFindings(Analysis& analysis, const Batch& batch) {
    analysis.findings.heat.thermal_inertia = forecast::thermalInertiaOf(analysis.findings);
    analysis.findings.heat.mtsr = forecast::mtsrOf(analysis, batch);
    analysis.findings.cure.second_heating_of = batch.second_heating_of;
}

} // namespace potwatch::session
