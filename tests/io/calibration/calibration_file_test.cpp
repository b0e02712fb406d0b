// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/calibration/calibration_file.h"
#include "tests/document.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace potwatch::calibration_file {
namespace {

using ::testing::HasSubstr;

Faults faultsOf(const std::string& text) {
    const auto read = readText(text, "calibration.toml");
    EXPECT_FALSE(read) << text;
    return read ? Faults() : read.error();
}

const WallTime spring{.utc_us = 1'772'352'000'000'000, .offset_s = 3600};

TEST(CalibrationFile, readsBackWhatItWrites) {
    const std::vector<KnownProbe> probes{
        {.device = "usb 1a86:7523 A10K",
         .probe = {.channel = "core_c",
                   .lag_s = 4.1,
                   .lag_u_s = 0.1 + 0.2, // no short decimal
                   .lag_done = spring,
                   .calibration = ProbeCalibration{.ice_reading_c = 0.42,
                                                   .ice_u_k = 0.06,
                                                   .ice_done = spring,
                                                   .boiling_reading_c = 99.61,
                                                   .boiling_u_k = 0.14,
                                                   .boiling_pressure_kpa = 98.2,
                                                   .boiling_done = spring}}},
        {.device = "",
         .probe = {.channel = "skin \"left\"", .calibration = ProbeCalibration{.ice_reading_c = -1.0 / 3.0}}}};
    const std::string text = write(probes);
    EXPECT_THAT(text, HasSubstr("format = 1\n"));
    const auto again = readText(text, "calibration.toml");
    ASSERT_TRUE(again) << describe(again.error().front());
    EXPECT_EQ(*again, probes);
    EXPECT_EQ(write(*again), text);
    EXPECT_TRUE(readText(write({}), "calibration.toml")->empty());
}

TEST(CalibrationFile, ofANewerFormatIsAFaultOfItsOwn) {
    const Faults faults = faultsOf("format = 2\nnonsense = true\n");
    ASSERT_EQ(faults.size(), 1U);
    EXPECT_EQ(faults[0].kind, FaultKind::unsupported);
}

TEST(CalibrationFile, namesWhatItDoesNotKnow) {
    const Faults faults = faultsOf("format = 1\n[[probe]]\nchannel = \"a\"\n[probe.calibration]\nice_reading = 0.4\n");
    ASSERT_EQ(faults.size(), 1U);
    EXPECT_EQ(faults[0].where.line, 5);
    EXPECT_THAT(faults[0].remedy, HasSubstr("ice_reading_c"));
}

TEST(CalibrationFile, refusesWhatContradictsItself) {
    EXPECT_THAT(faultsOf("[[probe]]\nlag_s = 4.0\n").front().what, HasSubstr("channel"));
    EXPECT_THAT(faultsOf("[[probe]]\nchannel = \"a\"\nlag_s = -4.0\n").front().what, HasSubstr("lag_s"));
    EXPECT_THAT(faultsOf("[[probe]]\nchannel = \"a\"\n[[probe]]\nchannel = \"a\"\n").front().what,
                HasSubstr("already"));
    EXPECT_TRUE(readText("[[probe]]\nchannel = \"a\"\n[[probe]]\ndevice = \"b\"\nchannel = \"a\"\n", "c"));
    EXPECT_THAT(faultsOf("[[probe]]\nchannel = \"a\"\n[probe.calibration]\nboiling_reading_c = 99.0\n").front().remedy,
                HasSubstr("pressure"));
    EXPECT_EQ(faultsOf("format = \n").front().kind, FaultKind::input);
    EXPECT_EQ(readFile("/nowhere/calibration.toml").error().front().kind, FaultKind::storage);
}

TEST(CalibrationFile, readsTheExampleOfItsFormatPage) {
    const auto read = readText(test::tomlExampleOf("io/calibration/FORMAT.md"), "FORMAT.md");
    ASSERT_TRUE(read) << describe(read.error().front());
    ASSERT_EQ(read->size(), 1U);
    EXPECT_EQ(read->front().probe.calibration->boiling_pressure_kpa, 98.2);
}

} // namespace
} // namespace potwatch::calibration_file
