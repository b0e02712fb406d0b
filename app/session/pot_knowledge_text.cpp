// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/pot_knowledge_text.h"

#include "app/format/number.h"
#include "io/batch/batch_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace potwatch::session {
namespace {

using format::Quantity;

constexpr double least_exponent_u = 0.002; // no pot keeps to its law more closely

// No more digits than the uncertainty allows, two of it.
double rounded(double value, double u) {
    if (!(u > 0.0)) {
        return value;
    }
    const double step = std::pow(10.0, std::floor(std::log10(u)) - 1.0);
    return std::strtod(fmt::format("{:.9g}", std::round(value / step) * step).c_str(), nullptr);
}

void state(Batch& batch, const PotKnowledge& known) {
    if (const auto& vessel = known.vessel_j_per_k) {
        batch.vessel.heat_capacity_j_per_k = rounded(vessel->value, vessel->u);
        batch.uncertainty.vessel_j_per_k = rounded(vessel->u, vessel->u);
    }
    if (const auto& loss = known.loss_coefficient_w_per_k) {
        batch.vessel.loss_coefficient_w_per_k = rounded(loss->value, loss->u);
        if (const auto& exponent = known.loss_exponent) {
            batch.vessel.loss_exponent =
                std::max(0.0, rounded(exponent->value, std::max(exponent->u, least_exponent_u)));
        }
    }
}

} // namespace

std::string vesselToml(const PotKnowledge& known, const std::string& vessel) {
    Batch batch;
    state(batch, known);
    if (batch == Batch()) {
        return {};
    }
    batch.vessel.name = vessel;
    return batch::write(batch);
}

std::vector<KnowledgeRow> knowledgeRows(const PotKnowledge& known) {
    std::vector<KnowledgeRow> rows;
    const auto row = [&](const char* name, const std::string& figure) {
        rows.push_back({.name = name, .figure = figure});
    };
    if (known.poured_s) {
        row("poured", "at " + format::valueText(*known.poured_s, Quantity::time));
    }
    if (known.mixed_c) {
        row("after pouring", format::estimateText(*known.mixed_c, Quantity::temperature));
    }
    row("vessel", known.vessel_j_per_k ? format::estimateText(*known.vessel_j_per_k, Quantity::heat_capacity)
                                       : "unknown: " + known.why_no_vessel);
    row("loss coefficient",
        known.loss_coefficient_w_per_k
            ? fmt::format("{}  from the cooling {:.0f} to {:.0f} s",
                          format::estimateText(*known.loss_coefficient_w_per_k, Quantity::loss_coefficient),
                          known.cooling_from_s, known.cooling_to_s)
            : "unknown: " + known.why_no_loss);
    if (known.loss_exponent) {
        row("loss exponent", format::estimateText(*known.loss_exponent, Quantity::loss_exponent));
    }
    if (known.evaporated_share) {
        row("left as vapour", fmt::format("{:.0f} % of the heat", 100.0 * *known.evaporated_share));
    }
    return rows;
}

std::string knowledgeText(const PotKnowledge& known) {
    std::string text;
    for (const KnowledgeRow& row : knowledgeRows(known)) {
        text += fmt::format("  {:<18}{}\n", row.name, row.figure);
    }
    return text;
}

Batch batchWithKnowledge(Batch batch, const PotKnowledge& known, double water_g) {
    batch.blank = true;
    batch.charge = {.water_g = water_g};
    if (const auto& vessel = known.vessel_j_per_k) {
        batch.vessel.heat_capacity_j_per_k = rounded(vessel->value, vessel->u);
        batch.uncertainty.vessel_j_per_k = rounded(vessel->u, vessel->u);
    }
    return batch;
}

} // namespace potwatch::session
