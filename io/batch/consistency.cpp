// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/consistency.h"

#include "io/batch/wording.h"

#include <fmt/format.h>

namespace potwatch::batch {

namespace {

// A fault at the key of this place. Every rule below is about keys that the file states.
void contradiction(Reading& reading, const std::string& place, std::string what, std::string remedy) {
    reading.fault(FaultKind::range, reading.positionOf(place).value_or(Position{}), std::move(what), std::move(remedy));
}

void checkSources(const Batch& batch, Reading& reading) {
    if (batch.surroundings.temperature_c && !batch.surroundings.channel.empty()) {
        contradiction(reading, "surroundings.channel", "[surroundings] states both temperature_c and channel",
                      "keep the one that holds for this run");
    }
    if (batch.heater.power_w && !batch.heater.channel.empty()) {
        contradiction(reading, "heater.channel", "[heater] states both power_w and channel",
                      "keep the one that holds for this run");
    }
}

void checkCharge(const Batch& batch, Reading& reading) {
    if (batch.charge.resin_g && batch.charge.water_g) {
        contradiction(reading, "charge.water_g", "[charge] states both resin_g and water_g",
                      "resin_g for a cure, water_g for a blank");
    } else if (batch.charge.resin_g && batch.blank) {
        contradiction(reading, "charge.resin_g", "a blank has no resin", "state water_g, or take blank = true out");
    } else if (batch.charge.water_g && !batch.blank) {
        contradiction(reading, "charge.water_g", "water_g is for a blank",
                      "state blank = true under [batch], or resin_g here");
    }
}

void checkStages(const Batch& batch, Reading& reading) {
    const CureReference& cure = batch.cure;
    if (cure.gel_degree && cure.c_stage_degree && *cure.c_stage_degree < *cure.gel_degree) {
        contradiction(reading, "cure.c_stage_degree",
                      fmt::format("c_stage_degree {} is below gel_degree {}", *cure.c_stage_degree, *cure.gel_degree),
                      "stage C comes after gel: let c_stage_degree be the larger");
    }
}

void checkWeighing(const Batch& batch, Reading& reading) {
    const Outcome& outcome = batch.outcome;
    if (outcome.weighed_dry_g && outcome.weighed_in_water_g && *outcome.weighed_in_water_g >= *outcome.weighed_dry_g) {
        contradiction(reading, "outcome.weighed_in_water_g",
                      fmt::format("weighed_in_water_g {} is not below weighed_dry_g {}", *outcome.weighed_in_water_g,
                                  *outcome.weighed_dry_g),
                      "water carries part of the weight: are the two swapped?");
    }
}

void checkProbes(const Batch& batch, Reading& reading) {
    for (std::size_t i = 0; i < batch.probes.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            if (!batch.probes[i].channel.empty() && batch.probes[i].channel == batch.probes[j].channel) {
                contradiction(reading, fmt::format("probe.{}.channel", i + 1),
                              fmt::format("channel {} has a [[probe]] already", inQuotes(batch.probes[i].channel)),
                              "keep one [[probe]] a channel");
                break;
            }
        }
        if (const auto& calibration = batch.probes[i].calibration;
            calibration && calibration->boiling_reading_c && !calibration->boiling_pressure_kpa) {
            contradiction(reading, fmt::format("probe.{}.calibration.boiling_reading_c", i + 1),
                          "boiling_reading_c is stated without boiling_pressure_kpa",
                          "state the air's pressure then: the boiling point goes by it");
        }
    }
}

} // namespace

void checkConsistency(const Batch& batch, Reading& reading) {
    checkSources(batch, reading);
    checkCharge(batch, reading);
    checkStages(batch, reading);
    checkWeighing(batch, reading);
    checkProbes(batch, reading);
}

} // namespace potwatch::batch
