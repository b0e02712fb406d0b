// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/findings_json.h"
#include "app/format/wall_time.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <string>
#include <vector>

namespace potwatch::format {
namespace {

using Json = nlohmann::ordered_json;

std::vector<std::string> keysOf(const Json& object) {
    std::vector<std::string> keys;
    for (const auto& item : object.items()) {
        keys.push_back(item.key());
    }
    return keys;
}

TEST(FindingsJson, keysAreThoseOfTheContractInTheirOrder) {
    const Json run = findingsJson({});
    EXPECT_EQ(keysOf(run), (std::vector<std::string>{"run", "file", "channel", "samples", "landmarks", "by_hand",
                                                     "exotherms", "highest_reading", "heat", "cure", "events", "inputs",
                                                     "warnings", "analysis_version"}));
    EXPECT_EQ(keysOf(run["samples"]), (std::vector<std::string>{"kept", "refused", "span_s", "median_interval_s"}));
    EXPECT_EQ(keysOf(run["landmarks"]),
              (std::vector<std::string>{"onset", "first_deviation", "steepest", "peak", "end", "boil_plateau"}));
    EXPECT_EQ(keysOf(run["heat"]),
              (std::vector<std::string>{"released_j", "per_gram_j", "heat_capacity_j_per_k", "loss_coefficient_w_per_k",
                                        "loss_exponent", "surroundings_c", "loss_from", "evaporated_g",
                                        "adiabatic_rise_k", "lower_bound", "thermal_inertia", "mtsr"}));
    EXPECT_EQ(keysOf(run["cure"]),
              (std::vector<std::string>{"final", "reference_j_per_g", "reference_from", "at", "stage", "gel_time_s",
                                        "equivalent", "second_heating_of"}));
}

TEST(FindingsJson, whatIsNotKnownIsNull) {
    const Json run = findingsJson({});
    EXPECT_TRUE(run["landmarks"]["onset"].is_null());
    EXPECT_TRUE(run["heat"]["released_j"].is_null());
    EXPECT_TRUE(run["heat"]["loss_from"].is_null());
    EXPECT_TRUE(run["cure"]["stage"].is_null());
}

TEST(FindingsJson, figuresKeepEveryDigitAndTheirInterval) {
    Analysis analysis;
    const Estimate third{.value = 100.0 / 3.0, .u = 0.1, .low = 33.0, .high = 33.5};
    analysis.findings.landmarks.peak = Peak{.time_s = third, .temperature_c = third, .reading_c = 33.25};
    analysis.findings.cure.at = {{.time_s = 300.0, .degree = third}};
    const Json run = Json::parse(findingsJson(analysis).dump());
    EXPECT_EQ(run["landmarks"]["peak"]["temperature_c"]["value"], 100.0 / 3.0);
    EXPECT_EQ(run["landmarks"]["peak"]["reading_c"], 33.25);
    EXPECT_EQ(run["cure"]["at"][0]["time_s"], 300.0);
    EXPECT_EQ(keysOf(run["cure"]["at"][0]["degree"]), (std::vector<std::string>{"value", "u", "low", "high"}));
}

TEST(FindingsJson, boilPlateauAndExothermsHaveTheirOwnKeys) {
    Analysis analysis;
    analysis.findings.landmarks.boil_plateau = BoilPlateau{.start_s = 1.0, .end_s = 2.0, .temperature_c = 100.5};
    analysis.findings.exotherms.resize(1);
    const Json run = findingsJson(analysis);
    EXPECT_EQ(keysOf(run["landmarks"]["boil_plateau"]),
              (std::vector<std::string>{"start_s", "end_s", "temperature_c"}));
    EXPECT_EQ(keysOf(run["exotherms"][0]), (std::vector<std::string>{"onset", "peak", "end"}));
}

TEST(WallTime, isIso8601WithTheOffsetItWasReadWith) {
    // 2026-03-14T10:05:00+01:00 is 09:05:00 in UTC. Source: `date -u -d 2026-03-14T09:05:00Z +%s`.
    EXPECT_EQ(wallTimeText({.utc_us = 1773479100000000, .offset_s = 3600}), "2026-03-14T10:05:00+01:00");
    EXPECT_EQ(wallTimeText({.utc_us = 1773479100000000, .offset_s = {}}), "2026-03-14T09:05:00");
    EXPECT_EQ(wallTimeText({.utc_us = -500000, .offset_s = -12600}), "1969-12-31T20:29:59.500000-03:30");
}

} // namespace
} // namespace potwatch::format
