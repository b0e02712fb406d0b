// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/mould/mould_file.h"
#include "tests/document.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>

namespace potwatch::mould_file {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

constexpr const char* sphere = "[mould]\nshape = \"sphere\"\nhalf_thickness_mm = 20.0\nconductivity_w_per_m_k = 0.22\n"
                               "density_kg_per_m3 = 1210.0\nspecific_heat_j_per_g_k = 1.8\n"
                               "surface_w_per_m2_k = 15.0\nstart_c = 21.0\n";

std::string faultOf(const std::string& text) {
    const auto mould = readText(text, "bar.mould.toml");
    if (mould || mould.error().size() != 1) {
        ADD_FAILURE() << "not one fault";
        return {};
    }
    return describe(mould.error().front());
}

TEST(MouldFile, readsBackWhatItWrote) {
    Mould mould{.file = "bar.mould.toml",
                .shape = MouldShape::slab,
                .half_thickness_mm = 12.0,
                .conductivity_w_per_m_k = 0.25,
                .density_kg_per_m3 = 1150.0,
                .specific_heat_j_per_g_k = 1.9,
                .resin_mass_fraction = 0.8,
                .surface_w_per_m2_k = std::numeric_limits<double>::infinity(),
                .start_c = 25.0,
                .start_degree = 0.1,
                .pressure_kpa = 300.0,
                .walls = {{"silicone", 5.0, 0.2, 1100.0, 1.3}, {"steel", 1.0, 50.0, 7800.0, 0.5}}};
    mould.other_side = OtherSide{.surface_w_per_m2_k = 0.0, .walls = {{"wood", 18.0, 0.15, 600.0, 1.6}}};
    const auto read = readText(write(mould), "bar.mould.toml");
    ASSERT_TRUE(read) << describe(read.error().front());
    EXPECT_EQ(*read, mould);
}

TEST(MouldFile, takesAtmosphericPressureAndAFreshResinWhereNothingIsStated) {
    const Mould mould = readText(sphere, "bar.mould.toml").value();
    EXPECT_EQ(mould.pressure_kpa, 101.325);
    EXPECT_EQ(mould.start_degree, 0.0);
    EXPECT_EQ(mould.shape, MouldShape::sphere);
}

TEST(MouldFile, namesWhatCannotBe) {
    std::string text = sphere;
    text.replace(text.find("20.0"), 4, "0.0 ");
    EXPECT_THAT(faultOf(text), AllOf(HasSubstr("bar.mould.toml:3"), HasSubstr("half_thickness_mm")));
    EXPECT_THAT(faultOf(std::string(sphere) + "half_thicknes_mm = 3.0\n"), HasSubstr("half_thickness_mm"));
    EXPECT_THAT(faultOf(std::string(sphere) + "[mould.other_side]\nsurface_w_per_m2_k = 5.0\n"),
                HasSubstr("only a slab"));
    text = sphere;
    text.replace(text.find("15.0"), 4, "0.0 ");
    EXPECT_THAT(faultOf(text), HasSubstr("no heat would pass"));
    EXPECT_THAT(faultOf("format = 1\n"), HasSubstr("no [mould]"));
    EXPECT_THAT(faultOf("format = 2\n[mould]\nnew = true\n"), HasSubstr("format 2 is newer"));
}

TEST(MouldFile, readsTheExampleOfItsFormatPage) {
    const auto mould = readText(test::tomlExampleOf("io/mould/FORMAT.md"), "bar.mould.toml");
    ASSERT_TRUE(mould) << describe(mould.error().front());
    ASSERT_EQ(mould->walls.size(), 1U);
    EXPECT_EQ(mould->walls.front().material, "silicone");
}

} // namespace
} // namespace potwatch::mould_file
