// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/batch/batch_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::batch {
namespace {

using testing::HasSubstr;

TEST(BatchFaults, nameFileLineColumnAndTheNearestRightKey) {
    EXPECT_EQ(faultOf("format = 1\n[charge]\nresin_gg = 80.0\n"),
              "rod.batch.toml:3:1: unknown key \"resin_gg\" in [charge]; did you mean resin_g?");
}

TEST(BatchFaults, nameTheKeyWhoseUnitWasLeftOff) {
    EXPECT_THAT(faultOf("[vessel]\nheat_capacity = 25\n"), HasSubstr("did you mean heat_capacity_j_per_k?"));
}

TEST(BatchFaults, nameTheTableThatAKeyBelongsTo) {
    EXPECT_THAT(faultOf("[vessel]\nresin_g = 80\n"), HasSubstr("resin_g belongs to [charge]"));
    EXPECT_THAT(faultOf("[weighed]\nlag_s = 4\n"), HasSubstr("lag_s belongs to [sensor], [[probe]] or [uncertainty]"));
    EXPECT_THAT(faultOf("[vessel]\nheat_of_reacton_j_per_g = 4\n"),
                HasSubstr("did you mean heat_of_reaction_j_per_g of [cure]?"));
}

TEST(BatchFaults, nameTheKeysOfATableWhereNoneIsNear) {
    EXPECT_THAT(faultOf("[heater]\ncolour = \"red\"\n"), HasSubstr("[heater] takes power_w, channel"));
}

TEST(BatchFaults, nameTheNearestTable) {
    EXPECT_THAT(faultOf("[vesel]\nname = \"beaker\"\n"), HasSubstr("unknown table \"vesel\" in the top of the file"));
    EXPECT_THAT(faultOf("[vesel]\nname = \"beaker\"\n"), HasSubstr("did you mean vessel?"));
    EXPECT_THAT(faultOf("[step]\ntime_s = 1\n"), HasSubstr("write [[dose.step]]"));
}

TEST(BatchFaults, sayWhatWasExpectedAndWhatWasFound) {
    EXPECT_EQ(faultOf("[charge]\nresin_g = \"80 g\"\n"),
              "rod.batch.toml:2:11: resin_g in [charge] is a text (\"80 g\"), a number is expected; "
              "write it without quotes and without a unit, as in resin_g = 80.5");
    EXPECT_THAT(faultOf("[batch]\nname = 3\n"), HasSubstr("name in [batch] is a number (3), a text is expected"));
    EXPECT_THAT(faultOf("[batch]\nblank = \"yes\"\n"), HasSubstr("true or false is expected"));
    EXPECT_THAT(faultOf("[batch]\nstarted = 2026-03-14\n"), HasSubstr("a date with time is expected"));
    EXPECT_THAT(faultOf("[batch]\nstarted = \"2026-03-14T10:05:00\"\n"), HasSubstr("write it without quotes"));
    EXPECT_THAT(faultOf("format = \"1\"\n"), HasSubstr("format is a text (\"1\"), a whole number is expected"));
    EXPECT_THAT(faultOf("[charge]\nresin_g = [80]\n"), HasSubstr("is a list, a number is expected"));
}

TEST(BatchFaults, tellATableFromAListOfTables) {
    EXPECT_THAT(faultOf("[[charge]]\nresin_g = 80\n"), HasSubstr("write it once, with the header [charge]"));
    EXPECT_THAT(faultOf("[ingredient]\nsubstance = \"phenol\"\nmass_g = 2\n"),
                HasSubstr("write each with the header [[ingredient]]"));
    EXPECT_THAT(faultOf("event = [3]\n"), HasSubstr("write each with the header [[event]]"));
    EXPECT_THAT(faultOf("charge = 3\n"), HasSubstr("a table is expected"));
}

TEST(BatchFaults, nameTheWordsOfAChoice) {
    EXPECT_THAT(faultOf("[dose]\nrole = \"catalist\"\n"), HasSubstr("did you mean \"catalyst\"?"));
    EXPECT_EQ(faultOf("[[dose.step]]\ntime_s = 0\namount = 1\nunit = \"kg\"\n"),
              "rod.batch.toml:4:8: unit in [[dose.step]] is \"kg\", \"g\", \"ml\" or \"drop\" is expected; "
              "did you mean \"g\"?");
    EXPECT_THAT(faultOf("[outcome]\nfoam = 3\n"), HasSubstr("\"none\", \"edge\" or \"through\" is expected"));
}

TEST(BatchFaults, nameWhatAListElementLacks) {
    EXPECT_EQ(faultOf("[[ingredient]]\nsubstance = \"phenol\"\n"),
              "rod.batch.toml:1:1: [[ingredient]] has no mass_g; state mass_g, or take this [[ingredient]] out");
    EXPECT_THAT(faultOf("[[event]]\ntime_s = 3\nkind = \"\"\n"), HasSubstr("kind in [[event]] is empty"));
    EXPECT_EQ(faultsOf("[[probe]]\n[[dose.step]]\n").size(), 3U);
}

struct Impossible {
    const char* text;
    const char* message;
};

class BatchRange : public testing::TestWithParam<Impossible> {};

TEST_P(BatchRange, refusesAnImpossibleValue) {
    const Faults faults = faultsOf(GetParam().text);
    ASSERT_EQ(faults.size(), 1U) << GetParam().text;
    EXPECT_EQ(faults[0].kind, FaultKind::range);
    EXPECT_TRUE(faults[0].where.line.has_value());
    EXPECT_THAT(describe(faults[0]), HasSubstr(GetParam().message));
}

INSTANTIATE_TEST_SUITE_P(
    Values, BatchRange,
    testing::Values(Impossible{"[charge]\nresin_g = -80\n", "resin_g in [charge] is -80; it has to be more than 0"},
                    Impossible{"[charge]\nresin_g = 0\n", "it has to be more than 0"},
                    Impossible{"[charge]\nspecific_heat_j_per_g_k = -2\n", "it has to be more than 0"},
                    Impossible{"[charge]\nboiling_c = -300\n", "it has to be -273.15 or more"},
                    Impossible{"[[ingredient]]\nsubstance = \"p\"\nmass_g = -1\n", "it has to be 0 or more"},
                    Impossible{"[[ingredient]]\nsubstance = \"p\"\nmass_g = 1\nmass_fraction = 37\n", "from 0 to 1"},
                    Impossible{"[vessel]\nheat_capacity_j_per_k = -1\n", "it has to be 0 or more"},
                    Impossible{"[vessel]\nloss_coefficient_w_per_k = -0.1\n", "it has to be 0 or more"},
                    Impossible{"[vessel]\nloss_exponent = 1.5\n", "from 0 to 1"},
                    Impossible{"[surroundings]\ntemperature_c = -273.2\n", "it has to be -273.15 or more"},
                    Impossible{"[surroundings]\npressure_kpa = 0\n", "it has to be more than 0"},
                    Impossible{"[dose]\ntotal_g = -1\n", "it has to be 0 or more"},
                    Impossible{"[dose]\nrate_g_per_min = 0\n", "it has to be more than 0"},
                    Impossible{"[dose]\ndensity_g_per_ml = 0\n", "it has to be more than 0"},
                    Impossible{"[dose]\ntemperature_c = -1000\n", "it has to be -273.15 or more"},
                    Impossible{"[[dose.step]]\ntime_s = 0\namount = -1\n", "amount in [[dose.step]] is -1"},
                    Impossible{"[heater]\npower_w = -5\n", "it has to be 0 or more"},
                    Impossible{"[cure]\nheat_of_reaction_j_per_g = 0\n", "it has to be more than 0"},
                    Impossible{"[cure]\nstart_degree = 1.01\n", "from 0 to 1"},
                    Impossible{"[cure]\ngel_degree = 0.5\nc_stage_degree = 0.4\n",
                               "c_stage_degree 0.4 is below gel_degree 0.5"},
                    Impossible{"[weighed]\nloss_g = -0.5\n", "it has to be 0 or more"},
                    Impossible{"[sensor]\nlag_s = -4\n", "it has to be 0 or more"},
                    Impossible{"[[probe]]\nchannel = \"a\"\nlag_s = -4\n", "it has to be 0 or more"},
                    Impossible{"[uncertainty]\nsurroundings_k = -0.5\n", "it has to be 0 or more"},
                    Impossible{"[outcome]\nvoid_percent = 101\n", "from 0 to 100"},
                    Impossible{"[outcome]\ndensity_g_per_ml = -1\n", "it has to be more than 0"},
                    Impossible{"[outcome]\nweighed_dry_g = 1\nweighed_in_water_g = 2\n", "are the two swapped?"},
                    Impossible{"[charge]\nresin_g = nan\n", "resin_g in [charge] is nan, a finite number is expected"},
                    Impossible{"[dose]\nstart_s = inf\n", "start_s in [dose] is inf, a finite number is expected"},
                    Impossible{"[[event]]\ntime_s = -inf\nkind = \"note\"\n", "a finite number is expected"},
                    Impossible{"format = 0\n", "there is no format 0"},
                    Impossible{"[charge]\nresin_g = 80\nwater_g = 80\n", "[charge] states both resin_g and water_g"},
                    Impossible{"[batch]\nblank = true\n[charge]\nresin_g = 80\n", "a blank has no resin"},
                    Impossible{"[charge]\nwater_g = 80\n", "water_g is for a blank"},
                    Impossible{"[surroundings]\ntemperature_c = 22\nchannel = \"air_c\"\n",
                               "states both temperature_c and channel"},
                    Impossible{"[heater]\npower_w = 5\nchannel = \"w\"\n", "states both power_w and channel"},
                    Impossible{"[[probe]]\nchannel = \"a\"\n[[probe]]\nchannel = \"a\"\n", "has a [[probe]] already"}));

TEST(BatchFaults, areAllReportedInOneGoInTheOrderOfTheFile) {
    const Faults faults = faultsOf("[vessel]\nname = 3\n[charge]\nresin_g = -1\nboil = 3\n[sensor]\nlag_s = nan\n");
    ASSERT_EQ(faults.size(), 4U);
    EXPECT_EQ(faults[0].where.line, 2);
    EXPECT_EQ(faults[1].where.line, 4);
    EXPECT_EQ(faults[2].where.line, 5);
    EXPECT_EQ(faults[3].where.line, 7);
}

TEST(BatchFaults, areCountedWhereThereAreVeryMany) {
    std::string text;
    for (int i = 0; i < 250; ++i) {
        text += "key" + std::to_string(i) + " = 1\n";
    }
    const Faults faults = faultsOf(text);
    ASSERT_EQ(faults.size(), 101U);
    EXPECT_THAT(faults.back().what, HasSubstr("150 more faults"));
}

TEST(BatchFaults, stayOnOneLineWhateverTheKey) {
    const std::string line = faultOf("\"\\u001B[31m\\nkey\\u009B\" = 1\n");
    EXPECT_EQ(line.find('\n'), std::string::npos);
    EXPECT_EQ(line.find('\x1B'), std::string::npos);
    EXPECT_THAT(line, HasSubstr("\\u001B[31m\\u000Akey\\u009B"));
    EXPECT_LT(faultOf("[heater]\n" + std::string(5000, 'k') + " = 1\n").size(), 200U);
}

TEST(BatchFaults, nameTheLineThatIsNotToml) {
    EXPECT_THAT(faultOf("[charge]\nresin_g = 80,5\n"), HasSubstr("rod.batch.toml:2:"));
    EXPECT_THAT(faultOf("[charge]\nresin_g = 80,5\n"), HasSubstr("write numbers with a decimal point, as in 80.5"));
    EXPECT_THAT(faultOf("[batch]\nname = rod 03\n"), HasSubstr("a text stands in double quotes"));
    EXPECT_THAT(faultOf("[charge]\nresin_g = 80 g\n"), HasSubstr("a number stands alone"));
    EXPECT_THAT(faultOf("[charge]\ngröße = 80\n"), HasSubstr("rod.batch.toml:2:"));
    EXPECT_THAT(faultOf("[charge]\nresin_g = 80 °\n"), HasSubstr("rod.batch.toml:2:"));
    EXPECT_THAT(faultOf("[charge\n"), HasSubstr("a line is key = value, [table], or # and a remark"));
    EXPECT_THAT(faultOf("[charge]\nresin_g = 80\nresin_g = 81\n"), HasSubstr("rod.batch.toml:3:"));
    EXPECT_THAT(faultOf("[charge]\nresin_g = 1e999\n"), HasSubstr("rod.batch.toml:2:"));
}

TEST(BatchFaults, refuseNestingWithoutEnd) {
    EXPECT_THAT(faultOf("a = " + std::string(100'000, '[')), HasSubstr("rod.batch.toml:1:"));
    std::string parts = "a";
    for (int i = 0; i < 20'000; ++i) {
        parts += ".a";
    }
    for (const std::string& text : {"[" + parts + "]\n", "[[" + parts + "]]\n", parts + " = 1\n",
                                    "x = 1\n\n[batch]\nnotes = { " + parts + " = 1 }\n"}) {
        EXPECT_THAT(faultOf(text), HasSubstr("nests deeper than 32 levels"));
    }
    EXPECT_THAT(faultOf("x = 1\n\n[" + parts + "]\n"), HasSubstr("rod.batch.toml:3:"));
}

TEST(BatchFaults, takeNoDotsAndBracketsInTextsForNesting) {
    const std::string dots(200, '.');
    const std::string brackets(200, '[');
    EXPECT_TRUE(faultsOf("# " + dots + brackets + "\n[batch]\nnotes = \"" + dots + brackets + "\\\"" + dots +
                         "\"\nname = '" + brackets + "'\n")
                    .empty());
    EXPECT_TRUE(faultsOf("[batch]\nnotes = \"\"\"\n" + dots + "\n\"quoted\" " + brackets + "\n\"\"\"\n").empty());
}

} // namespace
} // namespace potwatch::batch
