// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/device_file.h"
#include "io/serial/line_decoder.h"
#include "tests/document.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <filesystem>

namespace potwatch::serial {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

namespace fs = std::filesystem;

const std::string examples = POTWATCH_SOURCE_DIR "/io/serial/examples";

Device exampleOf(const std::string& name) {
    tl::expected<Device, Faults> device = readDeviceFile(examples + "/" + name + ".device.toml");
    if (!device) {
        ADD_FAILURE() << name << ": " << describe(device.error().front());
        std::abort();
    }
    return std::move(*device);
}

struct Example {
    std::string name;
    std::string line;
    std::vector<double> values;
};

TEST(DeviceFile, examplesReadTheLinesThatTheyShow) {
    const std::vector<Example> all{
        {"commas", "23.45,24.10", {23.45, 24.10}},
        {"decimal-commas", "17;23,4;24,1;25,0", {23.4, 24.1, 25.0}},
        {"names", "T1=74.1 T2=75.3 batt=3.91", {74.1, 75.3}},
        {"json", R"({"ms": 1200, "probe": {"core": 23.41, "skin": 22.9}, "ok": true})", {23.41, 22.9}},
        {"pattern", "N01 +0023.4C  N02 -0004.1C", {23.4, -4.1}},
        {"millivolts", "0.954 23.1", {0.954, 23.1}}};
    for (const Example& example : all) {
        const Device device = exampleOf(example.name);
        ASSERT_TRUE(device.lines) << example.name;
        ASSERT_TRUE(device.port.baud) << example.name;
        const Result<LineDecoder> decoder = LineDecoder::make(*device.lines);
        ASSERT_TRUE(decoder) << example.name;
        const DecodedLine line = decoder->decode(example.line);
        EXPECT_EQ(line.kind, DecodedLine::Kind::values) << example.name << ": " << line.reason;
        EXPECT_EQ(line.values, example.values) << example.name;
    }
    const auto files = std::distance(fs::directory_iterator(examples), fs::directory_iterator());
    EXPECT_EQ(static_cast<std::size_t>(files), all.size()) << "each example is tried here";
}

TEST(DeviceFile, readsTheExampleOfItsFormatPage) {
    const tl::expected<Device, Faults> device = parseDevice(test::tomlExampleOf("io/serial/FORMAT.md"), "FORMAT.md");
    ASSERT_TRUE(device) << describe(device.error().front());
    EXPECT_EQ(device->port, exampleOf("commas").port);
    ASSERT_TRUE(device->lines);
    EXPECT_EQ(device->lines->columns, exampleOf("commas").lines->columns);
}

TEST(DeviceFile, keepsEveryKey) {
    const Device device = exampleOf("decimal-commas");
    EXPECT_EQ(device.name, "three probes, decimal commas");
    EXPECT_EQ(device.port, (PortSettings{.baud = 19200, .data_bits = 7, .parity = Parity::even, .stop_bits = 1}));
    EXPECT_EQ(device.lines->separator, ';');
    EXPECT_EQ(device.lines->decimal, ',');
    EXPECT_EQ(device.lines->fields, 4U);
    EXPECT_THAT(device.lines->open_words, ElementsAre("OL"));
    EXPECT_EQ(device.lines->columns[1], (LineColumn{.field = 3, .name = "skin_c", .unit = "degC"}));
    const Device millivolts = exampleOf("millivolts");
    EXPECT_EQ(millivolts.thermocouple, "K");
    EXPECT_EQ(millivolts.cold_junction, "terminals_c");
}

TEST(DeviceFile, statesAsLittleAsOneLikes) {
    const tl::expected<Device, Faults> device = parseDevice("format = 1\n[port]\nbaud = 4800\n", "d.toml");
    ASSERT_TRUE(device);
    EXPECT_FALSE(device->lines) << "found by looking";
    EXPECT_EQ(device->port.baud, 4800);
}

TEST(DeviceFile, namesWhatIsWrong) {
    const auto faultOf = [](std::string_view text) {
        const tl::expected<Device, Faults> device = parseDevice(text, "d.toml");
        return device ? std::string("none") : describe(device.error().front());
    };
    EXPECT_THAT(faultOf("format = 1\n[port]\nbuad = 9600\n"), HasSubstr("baud"));
    EXPECT_THAT(faultOf("format = 9\n"), HasSubstr("d.toml"));
    EXPECT_THAT(faultOf("format = 1\n[lines]\nstyle = \"felder\"\n"), HasSubstr("fields"));
    EXPECT_THAT(faultOf("format = 1\n[port]\nbaud = 9600.5\n"), HasSubstr("whole number"));
    EXPECT_THAT(faultOf("format = 1\n[lines]\nstyle = \"fields\"\n"), HasSubstr("column"));
    EXPECT_THAT(
        faultOf("format = 1\n[lines]\nstyle = \"fields\"\nseparator = \",\"\ndecimal = \",\"\n[[column]]\nfield = "
                "1\nname = \"a\"\n"),
        HasSubstr("comma"));
    EXPECT_THAT(faultOf("format = 1\n[lines]\nstyle = \"pattern\"\npattern = \"(\"\n[[column]]\nfield = 1\nname = "
                        "\"a\"\n"),
                HasSubstr("regular expression"));
    EXPECT_THAT(faultOf("format = 1\n[[column]]\nfield = 1\nname = \"a\"\n"), HasSubstr("[lines]"));
}

} // namespace
} // namespace potwatch::serial
