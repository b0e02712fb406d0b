// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/kinetics/kinetics_file.h"
#include "tests/document.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

namespace potwatch::kinetics_file {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

Kinetics example() {
    return {.kind = RateModel::autocatalytic,
            .heat_of_reaction_j_per_g = 270.0,
            .a1_per_s = 1.4123456789e7,
            .e1_kj_per_mol = 60.0,
            .a2_per_s = 9.0e5,
            .e2_kj_per_mol = 48.0,
            .m = 0.55,
            .n = 1.4,
            .catalyst_order = 1.0,
            .catalyst_reference_g_per_g = 0.05,
            .fit = KineticsFit{.parameters = {"ln_a1_per_s", "m"},
                               .covariance = {{0.04, -0.01}, {-0.01, 0.02}},
                               .t_min_c = 21.5,
                               .t_max_c = 98.0,
                               .degree_range = {0.0, 0.99},
                               .catalyst_range_g_per_g = {0.0, 0.05}}};
}

Kinetics read(const std::string& text) {
    auto kinetics = readText(text, "rods.toml");
    if (!kinetics) {
        for (const Fault& fault : kinetics.error()) {
            ADD_FAILURE() << describe(fault);
        }
        return {};
    }
    return *kinetics;
}

std::string faultOf(const std::string& text) {
    const auto kinetics = readText(text, "rods.toml");
    if (kinetics || kinetics.error().size() != 1) {
        ADD_FAILURE() << "not one fault";
        return {};
    }
    return describe(kinetics.error().front());
}

constexpr const char* nth_order = "format = 1\n[model]\nkind = \"nth-order\"\nheat_of_reaction_j_per_g = 270.0\n"
                                  "a1_per_s = 2.0e6\ne1_kj_per_mol = 55.0\nn = 1.2\n";

TEST(KineticsFile, readsBackWhatItWrote) {
    Kinetics kinetics = example();
    const std::string text = write(kinetics);
    EXPECT_THAT(text, HasSubstr("format = 1\n"));
    kinetics.file = "rods.toml";
    EXPECT_EQ(read(text), kinetics);
}

TEST(KineticsFile, writesNoSecondPathOfAnNthOrderLaw) {
    Kinetics kinetics = example();
    kinetics.kind = RateModel::nth_order;
    kinetics.a2_per_s = 0.0;
    kinetics.e2_kj_per_mol = 0.0;
    kinetics.m = 1.0;
    const std::string text = write(kinetics);
    EXPECT_THAT(text, Not(HasSubstr("a2_per_s")));
    EXPECT_THAT(text, Not(HasSubstr("\nm = ")));
    kinetics.file = "rods.toml";
    EXPECT_EQ(read(text), kinetics);
}

TEST(KineticsFile, needsNoFitWhereItWasMadeByHand) {
    const Kinetics kinetics = read(nth_order);
    EXPECT_EQ(kinetics.kind, RateModel::nth_order);
    EXPECT_EQ(kinetics.catalyst_order, 0.0);
    EXPECT_FALSE(kinetics.fit);
}

TEST(KineticsFile, namesTheNearestKeyOfAnUnknownOne) {
    EXPECT_THAT(faultOf(std::string(nth_order) + "catalyst_ordr = 1.0\ncatalyst_reference_g_per_g = 0.05\n"),
                AllOf(HasSubstr("rods.toml:8"), HasSubstr("catalyst_order")));
}

TEST(KineticsFile, saysWhichKeyAnAutocatalyticLawLacks) {
    std::string text = nth_order;
    text.replace(text.find("nth-order"), 9, "autocatalytic");
    const auto kinetics = readText(text + "a2_per_s = 1.0\ne2_kj_per_mol = 50.0\n", "rods.toml");
    ASSERT_FALSE(kinetics);
    EXPECT_THAT(describe(kinetics.error().front()), HasSubstr("m is missing"));
}

TEST(KineticsFile, readsTheExampleOfItsFormatPage) {
    const Kinetics kinetics = read(test::tomlExampleOf("io/kinetics/FORMAT.md"));
    EXPECT_EQ(kinetics.kind, RateModel::autocatalytic);
    EXPECT_EQ(kinetics.e2_kj_per_mol, 48.0);
    ASSERT_TRUE(kinetics.fit);
    EXPECT_EQ(kinetics.fit->covariance.size(), kinetics.fit->parameters.size());
}

TEST(KineticsFile, refusesANewerFormat) {
    EXPECT_THAT(faultOf("format = 2\n[model]\nnew = true\n"), HasSubstr("format 2 is newer"));
}

TEST(KineticsFile, refusesACovarianceThatDoesNotFitItsParameters) {
    EXPECT_THAT(faultOf(std::string(nth_order) + "[fit]\nparameters = [\"n\"]\ncovariance = [[0.1, 0.2]]\n"),
                HasSubstr("a row and a column for each of the 1 parameters"));
}

TEST(KineticsFile, refusesAnOrderWithoutItsReference) {
    EXPECT_THAT(faultOf(std::string(nth_order) + "catalyst_order = 1.0\n"),
                HasSubstr("without catalyst_reference_g_per_g"));
}

TEST(KineticsFile, refusesWhatIsNoKineticsFile) {
    EXPECT_THAT(faultOf("format = 1\n"), HasSubstr("there is no [model]"));
    EXPECT_THAT(faultOf(std::string("a\0b", 3)), HasSubstr("not a kinetics file"));
}

} // namespace
} // namespace potwatch::kinetics_file
