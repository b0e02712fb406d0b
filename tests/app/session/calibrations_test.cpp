// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/calibrations.h"
#include "app/session/celsius.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>

#include <cmath>

namespace potwatch::session {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

using KeptCalibrations = TemporaryFolder;

constexpr std::int64_t us_per_day = 86'400'000'000;
const WallTime spring{.utc_us = 1'772'352'000'000'000, .offset_s = 3600};

KnownProbe inIce(const std::string& device, const std::string& channel, double reading_c) {
    return {
        .device = device,
        .probe = {.channel = channel,
                  .calibration = ProbeCalibration{.ice_reading_c = reading_c, .ice_u_k = 0.06, .ice_done = spring}}};
}

KnownProbe inSteam(const std::string& device, const std::string& channel, double reading_c) {
    return {.device = device,
            .probe = {.channel = channel,
                      .calibration = ProbeCalibration{.boiling_reading_c = reading_c,
                                                      .boiling_u_k = 0.14,
                                                      .boiling_pressure_kpa = 101.325,
                                                      .boiling_done = spring}}};
}

TEST_F(KeptCalibrations, areKeptPointByPoint) {
    std::vector<KnownProbe> known;
    keep(known, inIce("a", "core_c", 0.5));
    keep(known, inSteam("a", "core_c", 99.0));
    keep(known, {.device = "a", .probe = {.channel = "core_c", .lag_s = 4.0, .lag_u_s = 0.4}});
    keep(known, inIce("b", "core_c", 0.1));
    keep(known, inIce("a", "core_c", 0.6));
    ASSERT_EQ(known.size(), 2U);
    EXPECT_EQ(known[0].probe.calibration->ice_reading_c, 0.6);
    EXPECT_EQ(known[0].probe.calibration->boiling_reading_c, 99.0);
    EXPECT_EQ(known[0].probe.lag_s, 4.0);

    EXPECT_TRUE(readCalibrations(path("settings"))->empty());
    ASSERT_TRUE(writeCalibrations(path("settings"), known));
    EXPECT_EQ(*readCalibrations(path("settings")), known);
    EXPECT_EQ(std::distance(std::filesystem::directory_iterator(path("settings")), {}), 1); // nothing half written
}

TEST_F(KeptCalibrations, folderThatCannotBeMadeIsAFault) {
    const std::string blocked = file("blocked", "a file");
    const Result<void> written = writeCalibrations(blocked + "/settings", {});
    ASSERT_FALSE(written);
    EXPECT_EQ(written.error().kind, FaultKind::storage);
}

TEST_F(KeptCalibrations, goWithTheDeviceAndElseWithAny) {
    const std::vector<KnownProbe> known{inIce("", "core_c", 0.1), inIce("", "skin_c", 0.2), inIce("a", "core_c", 0.3)};
    const std::vector<KnownProbe> of_a = calibrationsFor(known, "a");
    ASSERT_EQ(of_a.size(), 2U);
    EXPECT_EQ(of_a[0].probe.calibration->ice_reading_c, 0.3);
    EXPECT_EQ(of_a[1].probe.calibration->ice_reading_c, 0.2);
    EXPECT_EQ(calibrationsFor(known, "b").front().probe.calibration->ice_reading_c, 0.1);
    EXPECT_EQ(calibrationsFor(known, "").size(), 2U);
}

TEST_F(KeptCalibrations, areStatedInABatchThatSaysNothingOfThem) {
    Batch batch;
    batch.probes = {{.channel = "core_c", .role = ProbeRole::core, .lag_s = 7.0}};
    std::vector<KnownProbe> known{inIce("", "core_c", 0.1), inIce("", "air_c", 0.2), inIce("", "gone_c", 0.3)};
    known[0].probe.lag_s = 4.0;
    stateProbes(batch, known, {"core_c", "air_c"});
    ASSERT_EQ(batch.probes.size(), 2U);
    EXPECT_EQ(batch.probes[0].role, ProbeRole::core);
    EXPECT_EQ(batch.probes[0].lag_s, 7.0); // as stated
    EXPECT_EQ(batch.probes[0].calibration->ice_reading_c, 0.1);
    EXPECT_EQ(batch.probes[1].role, ProbeRole::other); // it makes no pot of it
    const Batch once = batch;
    known[0].probe.calibration->ice_reading_c = 0.9;
    stateProbes(batch, known, {"core_c", "air_c"});
    EXPECT_EQ(batch, once);
    known[0].probe.calibration->ice_done->utc_us += us_per_day; // measured anew: outdates an earlier run's copy
    stateProbes(batch, known, {"core_c", "air_c"});
    EXPECT_EQ(batch.probes[0].calibration->ice_reading_c, 0.9);
    EXPECT_EQ(batch.probes[0].lag_s, 7.0);
}

TEST_F(KeptCalibrations, correctReadingsByBothPoints) {
    potwatch::Run run{.name = "r", .file = "r.csv", .time_s = {0.0, 1.0, 2.0}};
    run.channels = {{"core_c", "degC", {0.5, 99.0, std::nan("")}}, {"skin_c", "degC", {0.5, 99.0, 50.0}}};
    std::vector<KnownProbe> known{inIce("", "core_c", 0.5)};
    keep(known, inSteam("", "core_c", 99.0));
    stateProbes(run.batch, known, {"core_c"});
    const auto corrected = correctReadings(run);
    ASSERT_TRUE(corrected);
    EXPECT_TRUE(corrected->empty());
    EXPECT_NEAR(run.channels[0].values[0], 0.0, 1e-12);
    EXPECT_NEAR(run.channels[0].values[1], 99.974, 0.001); // IAPWS-IF97 at 101.325 kPa
    EXPECT_TRUE(std::isnan(run.channels[0].values[2]));
    EXPECT_EQ(run.channels[1].values[0], 0.5);
}

TEST_F(KeptCalibrations, correctNothingWhereOneCannotBe) {
    potwatch::Run run{.name = "r", .file = "r.csv", .time_s = {0.0}};
    run.channels = {{"core_c", "degC", {0.5}}, {"skin_c", "degC", {0.5}}};
    stateProbes(run.batch, {inIce("", "core_c", 0.5), inIce("", "skin_c", 50.0)}, {"core_c", "skin_c"});
    const auto refused = correctReadings(run);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().where.channel, "skin_c");
    EXPECT_EQ(run.channels[0].values[0], 0.5);
    run.channels.pop_back();
    run.batch.probes.clear();
    stateProbes(run.batch, {inIce("", "skin_c", 0.5)}, {"skin_c"});
    const auto missing = correctReadings(run);
    ASSERT_TRUE(missing);
    ASSERT_EQ(missing->size(), 1U);
    EXPECT_THAT(missing->front(), HasSubstr("skin_c"));
}

TEST_F(KeptCalibrations, areToldWithTheirDates) {
    std::vector<KnownProbe> known{inIce("", "core_c", 0.42)};
    keep(known, inSteam("", "core_c", 99.61));
    keep(known, {.device = "", .probe = {.channel = "core_c", .lag_s = 4.1, .lag_u_s = 0.4, .lag_done = spring}});
    WallTime now = spring;
    now.utc_us += 364 * us_per_day;
    const std::string fresh = calibrationText(known[0].probe, now);
    EXPECT_THAT(fresh,
                HasSubstr("core_c is corrected by its calibration: \u22120.42 K at 0 °C (2026-03-01), +0.36 K at "
                          "boiling (2026-03-01). Its lag is 4.1 s (2026-03-01)."));
    EXPECT_THAT(fresh, Not(HasSubstr("year")));
    now.utc_us += 3 * us_per_day;
    EXPECT_THAT(calibrationText(known[0].probe, now), HasSubstr("more than a year old"));
    EXPECT_EQ(calibrationText({.channel = "core_c", .lag_s = 4.0}, now), ""); // as typed into the form
}

} // namespace
} // namespace potwatch::session
