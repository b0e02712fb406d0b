// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/formula.h"
#include "tests/io/csv/reading.h"

#include <gmock/gmock.h>

namespace potwatch::csv::testing {
namespace {

using ::testing::ElementsAre;

TEST(CsvFormula, isMarkedAsAText) {
    EXPECT_EQ(cellOfText("=cmd|' /C calc'!A0"), "'=cmd|' /C calc'!A0");
    EXPECT_EQ(cellOfText("@SUM(A1:A9)"), "'@SUM(A1:A9)");
    EXPECT_EQ(cellOfText("+1+1"), "'+1+1");
    EXPECT_EQ(cellOfText("-2"), "'-2");
    EXPECT_EQ(cellOfText("\t=1"), "\"'\t=1\"");
    EXPECT_EQ(cellOfText("=A1,B1"), "\"'=A1,B1\"");
}

TEST(CsvFormula, otherTextsStayAsTheyAre) {
    for (const char* text : {"rod 03", "T1 (°C)", "a-b", "5 % = much", "'quoted'", ""}) {
        EXPECT_EQ(cellOfText(text), text);
    }
    EXPECT_EQ(cellOfText("a;=1"), "\"a;=1\"");
}

TEST(CsvFormula, isReadBackAsItWas) {
    const std::vector<std::string> names{"=cmd|' /C calc'!A0", "@SUM(A1,A2)", "'=1", "''-x", "' +y", "'plain", "-"};
    std::string text = "time_s";
    for (const std::string& name : names) {
        EXPECT_EQ(withoutTextMark(cellOfText("x" + name)), cellOfText("x" + name));
        text += "," + cellOfText(name);
    }
    text += "\ns,degC,degC,degC,degC,degC,degC,degC\n";
    for (int row = 0; row < 6; ++row) {
        text += std::to_string(row) + ",20,21,22,23,24,25,26\n";
    }
    EXPECT_EQ(namesOf(tableOf(text)), names);
}

} // namespace
} // namespace potwatch::csv::testing
