// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/decimals_watch.h"
#include "io/serial/line_decoder.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <cmath>

namespace potwatch::serial {
namespace {

using namespace std::chrono_literals;
using testing::ElementsAre;
using testing::HasSubstr;
using Kind = DecodedLine::Kind;

LineFormat twoByCommas() {
    return {.separator = ',',
            .fields = 2,
            .columns = {{.field = 1, .name = "core", .unit = "degC", .decimals = 2},
                        {.field = 2, .name = "skin", .unit = "degC", .decimals = 2}}};
}

LineDecoder decoderOf(const LineFormat& format) {
    Result<LineDecoder> decoder = LineDecoder::make(format);
    if (!decoder) {
        ADD_FAILURE() << decoder.error().what;
        std::abort();
    }
    return std::move(*decoder);
}

TEST(LineDecoder, readsAllOrNothing) {
    const LineDecoder decoder = decoderOf(twoByCommas());
    EXPECT_THAT(decoder.decode("23.45,24.10").values, ElementsAre(23.45, 24.10));
    for (const char* const bad : {"23.45", "23.45,24.10,25.00", "23.45,", "23.45,24.1", "23.45,24.x0",
                                  "23.4523.45,24.10", "23.45,24.10 V", "23.45,24e10", "23.45,3999.00",
                                  "2\x01"
                                  "3.45,24.10",
                                  "\xFF"
                                  "23.45,24.10",
                                  ".45,24.10", "-.45,24.10", "0x17,24.10", "23..45,24.10", "+-23.45,24.10"}) {
        const DecodedLine line = decoder.decode(bad);
        const bool is_open = line.kind == Kind::values && std::isnan(line.values[1]);
        EXPECT_TRUE(line.kind == Kind::refused || (std::string_view(bad) == "23.45," && is_open)) << bad;
        EXPECT_EQ(line.reason.empty(), line.kind == Kind::values) << bad;
    }
}

TEST(LineDecoder, knowsWordsOfAnOpenSensor) {
    LineFormat format = twoByCommas();
    format.open_words = {"KAPUTT"};
    format.open_values = {-127.0};
    const LineDecoder decoder = decoderOf(format);
    for (const char* const word : {"OPEN", "nan", "---", "O.L", "kaputt", "-127"}) {
        const DecodedLine line = decoder.decode(fmt::format("23.45,{}", word));
        ASSERT_EQ(line.kind, Kind::values) << word << ": " << line.reason;
        EXPECT_EQ(line.values[0], 23.45);
        EXPECT_TRUE(std::isnan(line.values[1])) << word;
        EXPECT_FALSE(line.open[1].empty()) << word;
        EXPECT_TRUE(line.open[0].empty()) << word;
    }
}

TEST(LineDecoder, takesANumberForOpenOnlyWhereStated) {
    const DecodedLine line = decoderOf({.columns = {{.field = 1, .name = "t", .unit = "degC"}}}).decode("-127");
    ASSERT_EQ(line.kind, Kind::values);
    EXPECT_EQ(line.values[0], -127.0);
}

TEST(LineDecoder, holdsAChecksumAgainstTheLine) {
    LineFormat format = twoByCommas();
    format.checksum = true;
    const LineDecoder decoder = decoderOf(format);
    const std::string line = "23.45,24.10";
    unsigned sum = 0;
    for (const char byte : line) {
        sum ^= static_cast<unsigned char>(byte);
    }
    EXPECT_EQ(decoder.decode(fmt::format("{}*{:02X}", line, sum)).kind, Kind::values);
    EXPECT_EQ(decoder.decode(fmt::format("{}*{:02X}", line, sum ^ 1U)).kind, Kind::refused);
    EXPECT_EQ(decoder.decode(line).kind, Kind::refused);
    EXPECT_EQ(decoder.decode(fmt::format("23.46,24.10*{:02X}", sum)).kind, Kind::refused) << "a digit went wrong";
}

TEST(LineDecoder, readsByAPattern) {
    const LineDecoder decoder = decoderOf(
        {.style = LineStyle::pattern,
         .pattern = R"(CH1\s+([-\d.]+)\s.*CH2\s+(\S+)\s*)",
         .columns = {{.field = 2, .name = "skin", .unit = "degC"}, {.field = 1, .name = "core", .unit = "degC"}}});
    EXPECT_THAT(decoder.decode("CH1 23.4 C / CH2 24.1").values, ElementsAre(24.1, 23.4));
    EXPECT_EQ(decoder.decode("CH1 23.4").kind, Kind::refused);
    EXPECT_FALSE(
        LineDecoder::make({.style = LineStyle::pattern, .pattern = "(", .columns = {{.field = 1, .name = "a"}}}));
    const Result<LineDecoder> too_few =
        LineDecoder::make({.style = LineStyle::pattern, .pattern = "(.*)", .columns = {{.field = 2, .name = "a"}}});
    ASSERT_FALSE(too_few);
    EXPECT_THAT(too_few.error().what, HasSubstr("has 1 groups"));
}

TEST(LineDecoder, readsJsonByNamesWhateverTheOrder) {
    const LineDecoder decoder = decoderOf({.style = LineStyle::json,
                                           .columns = {{.key = "probe.core", .name = "core", .unit = "degC"},
                                                       {.key = "t.2", .name = "second", .unit = "degC"}}});
    EXPECT_THAT(decoder.decode(R"({"t": [1, 2.5], "probe": {"core": 23.4}})").values, ElementsAre(23.4, 2.5));
    EXPECT_EQ(decoder.decode(R"({"t": [1, 2.5]})").kind, Kind::refused);
    EXPECT_EQ(decoder.decode(R"({"probe": {"core": 23.4, "core": 99}, "t": [1, 2]})").kind, Kind::refused)
        << "one name, two values";
    EXPECT_EQ(decoder.decode(R"({"probe": {"core": 23.4})").kind, Kind::refused) << "cut off";
    EXPECT_TRUE(std::isnan(decoder.decode(R"({"t": [1, null], "probe": {"core": 1}})").values[1]));
}

TEST(LineDecoder, passesOverTheHeaderOnceMore) {
    EXPECT_EQ(decoderOf(twoByCommas()).decode("core,skin").kind, Kind::passed_over);
}

TEST(LineDecoder, refusesWhatWasInterruptedOrCut) {
    const LineDecoder decoder = decoderOf(twoByCommas());
    const Line whole{.text = "23.45,24.10"};
    EXPECT_EQ(decoder.decode(whole, 100ms).kind, Kind::values);
    Line interrupted = whole;
    interrupted.pause = 300ms;
    EXPECT_EQ(decoder.decode(interrupted, 500ms).kind, Kind::refused);
    EXPECT_EQ(decoder.decode(interrupted, 1s).kind, Kind::values) << "a slow device pauses";
    interrupted.pause = 100ms;
    EXPECT_EQ(decoder.decode(interrupted, 10ms).kind, Kind::values) << "it may be this computer that was busy";
    Line cut = whole;
    cut.has_end = false;
    EXPECT_EQ(decoder.decode(cut, 100ms).kind, Kind::refused);
    Line long_one = whole;
    long_one.is_too_long = true;
    EXPECT_EQ(decoder.decode(long_one, 100ms).kind, Kind::refused);
}

TEST(LineDecoder, saysWhatAFormatLacks) {
    EXPECT_FALSE(LineDecoder::make({}));
    EXPECT_FALSE(LineDecoder::make({.columns = {{.name = "no place"}}}));
    EXPECT_FALSE(LineDecoder::make({.style = LineStyle::json, .columns = {{.field = 1, .name = "no key"}}}));
}

TEST(DecimalsWatch, isSureOfAFixedNumberByAZeroThatNobodyNeeds) {
    LineFormat format = twoByCommas();
    format.columns[0].decimals.reset();
    format.columns[1].decimals.reset();
    const LineDecoder decoder = decoderOf(format);
    DecimalsWatch watch;
    EXPECT_FALSE(watch.note(decoder.decode("23.45,1")));
    EXPECT_FALSE(watch.note(decoder.decode("23.46,2")));
    EXPECT_FALSE(watch.note(decoder.decode("23.47,OPEN")));
    EXPECT_TRUE(watch.note(decoder.decode("23.50,3")));
    EXPECT_FALSE(watch.note(decoder.decode("23.60,4"))) << "once";
    watch.apply(format);
    EXPECT_EQ(format.columns[0].decimals, 2);
    EXPECT_EQ(format.columns[1].decimals, 0);
}

TEST(DecimalsWatch, statesNothingOfAColumnThatVaries) {
    LineFormat format = twoByCommas();
    format.columns[0].decimals.reset();
    format.columns[1].decimals.reset();
    const LineDecoder decoder = decoderOf(format);
    DecimalsWatch watch;
    for (const char* const line : {"23.4,1.10", "23.45,1.20", "23,1.25", "23.1,1.30"}) {
        (void)watch.note(decoder.decode(line));
    }
    watch.apply(format);
    EXPECT_FALSE(format.columns[0].decimals);
    EXPECT_EQ(format.columns[1].decimals, 2);
}

} // namespace
} // namespace potwatch::serial
