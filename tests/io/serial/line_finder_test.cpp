// SPDX-License-Identifier: GPL-3.0-or-later
// How lines are built is found by looking, for every style that devices are known to write; and what is found reads
// the values that the lines say.
#include "io/serial/line_decoder.h"
#include "io/serial/line_finder.h"

#include <gmock/gmock.h>

#include <cmath>

namespace potwatch::serial {
namespace {

using testing::Each;
using testing::ElementsAre;
using testing::HasSubstr;

struct Style {
    std::string name;
    std::vector<std::string> lines;
    LineStyle style;
    std::vector<std::string> names;
    std::vector<std::string> units;
    std::vector<double> last; // values of the last line
};

void PrintTo(const Style& style, std::ostream* out) {
    *out << style.name;
}

const std::vector<Style> styles{
    {"commas",
     {"23.4,24.1", "23.5,24.2", "23.6,24.0"},
     LineStyle::fields,
     {"t1", "t2"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"one number", {"23.45", "23.50", "-3.55"}, LineStyle::fields, {"t1"}, {"degC"}, {-3.55}},
    {"whole numbers", {"23 24", "24 24", "25 26"}, LineStyle::fields, {"t1", "t2"}, {"degC", "degC"}, {25.0, 26.0}},
    {"decimal commas",
     {"23,4;24,1", "23,5;24,2", "23,6;24,0"},
     LineStyle::fields,
     {"t1", "t2"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"blanks",
     {"  23.4  24.1", " 23.5   24.2", " 123.6  24.0"},
     LineStyle::fields,
     {"t1", "t2"},
     {"degC", "degC"},
     {123.6, 24.0}},
    {"tabs",
     {"23.4\t24.1", "23.5\t24.2", "23.6\t24.0"},
     LineStyle::fields,
     {"t1", "t2"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"header line",
     {"core_c,skin_c", "23.4,24.1", "23.5,24.2", "23.6,24.0"},
     LineStyle::fields,
     {"core_c", "skin_c"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"units in the line",
     {"23.4 C, 75.1 F", "23.5 C, 75.2 F", "23.6 C, 75.0 F"},
     LineStyle::fields,
     {"t1", "t2"},
     {"degC", "degF"},
     {23.6, 75.0}},
    {"key=value",
     {"core=23.4 skin=24.1", "core=23.5 skin=24.2", "core=23.6 skin=24.0"},
     LineStyle::key_value,
     {"core", "skin"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"key: value with units",
     {"T1: 23.4 °C, T2: 24.1 °C", "T1: 23.5 °C, T2: 24.2 °C", "T1: 23.6 °C, T2: 24.0 °C"},
     LineStyle::key_value,
     {"T1", "T2"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"JSON lines",
     {R"({"core": 23.4, "skin": 24.1})", R"({"core": 23.5, "skin": 24.2})", R"({"core": 23.6, "skin": 24.0})"},
     LineStyle::json,
     {"core", "skin"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"open sensor",
     {"23.4,OPEN", "23.5,OPEN", "23.6,24.0"},
     LineStyle::fields,
     {"t1", "t2"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"checksums",
     {"23.4,24.1*2E", "23.5,24.2*2C", "23.6,24.0*2D"},
     LineStyle::fields,
     {"t1", "t2"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"greeting first",
     {"Thermometer ready", "23.4,24.1", "23.5,24.2", "23.6,24.0"},
     LineStyle::fields,
     {"t1", "t2"},
     {"degC", "degC"},
     {23.6, 24.0}},
    {"a clock of its own",
     {"12:00:01,23.4", "12:00:02,23.5", "12:00:03,23.6"},
     LineStyle::fields,
     {"t1"},
     {"degC"},
     {23.6}},
};

class LineFinder : public testing::TestWithParam<Style> {};

TEST_P(LineFinder, findsAndReads) {
    const Style& wanted = GetParam();
    const Result<FoundFormat> found = findFormat(wanted.lines, "degC", 3);
    ASSERT_TRUE(found) << found.error().what;
    EXPECT_EQ(found->format.style, wanted.style) << inWords(found->format);
    std::vector<std::string> names;
    std::vector<std::string> units;
    for (const LineColumn& column : found->format.columns) {
        names.push_back(column.name);
        units.push_back(column.unit);
    }
    EXPECT_EQ(names, wanted.names);
    EXPECT_EQ(units, wanted.units);
    const Result<LineDecoder> decoder = LineDecoder::make(found->format);
    ASSERT_TRUE(decoder);
    const DecodedLine last = decoder->decode(wanted.lines.back());
    EXPECT_EQ(last.kind, DecodedLine::Kind::values) << last.reason;
    EXPECT_EQ(last.values, wanted.last);
}

INSTANTIATE_TEST_SUITE_P(styles, LineFinder, testing::ValuesIn(styles), [](const auto& of) {
    std::string name = of.param.name;
    std::replace_if(
        name.begin(), name.end(), [](char c) { return std::isalnum(static_cast<unsigned char>(c)) == 0; }, '_');
    return name;
});

TEST(LineFinderOfDoubtfulLines, asksRatherThanGuessesACommaThatCanBeTwoThings) {
    const Result<FoundFormat> found = findFormat(std::vector<std::string>{"23,4", "23,5", "23,6"}, "degC", 3);
    ASSERT_FALSE(found);
    EXPECT_EQ(found.error().kind, FaultKind::input);
    EXPECT_THAT(found.error().remedy, HasSubstr("decimal"));
}

TEST(LineFinderOfDoubtfulLines, waitsWhereLinesAreTooFew) {
    const Result<FoundFormat> found = findFormat(std::vector<std::string>{"23.4,24.1"}, "degC", 3);
    ASSERT_FALSE(found);
    EXPECT_EQ(found.error().kind, FaultKind::missing);
}

TEST(LineFinderOfDoubtfulLines, findsNothingInProse) {
    EXPECT_FALSE(findFormat(std::vector<std::string>{"hello", "are you there", "no"}, "degC", 3));
    EXPECT_FALSE(findFormat(std::vector<std::string>{}, "degC", 1));
}

TEST(LineFinderOfDoubtfulLines, saysWhatItTookForGranted) {
    const Result<FoundFormat> found = findFormat(std::vector<std::string>{"75.1", "75.2", "75.0"}, "degF", 3);
    ASSERT_TRUE(found);
    EXPECT_EQ(found->format.columns[0].unit, "degF");
    EXPECT_THAT(found->remarks, ElementsAre(HasSubstr("no unit is stated")));
    EXPECT_THAT(inWords(found->format), HasSubstr("decimal point"));
}

} // namespace
} // namespace potwatch::serial
