// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/file_name.h"

#include <gtest/gtest.h>

#include <string>

namespace potwatch::session {
namespace {

TEST(FileName, ofARunHasDashesForWhatDoesNotBelongThere) {
    EXPECT_EQ(asFileName("rod 03, again"), "rod-03-again");
    EXPECT_EQ(asFileName("../.."), "..-..");
    EXPECT_EQ(asFileName(" / "), "run");
}

TEST(FileName, ofALongNameIsCutBetweenLettersAndStaysItsOwn) {
    std::string name;
    for (int i = 0; i < 150; ++i) {
        name += "\xC3\xA4"; // an a with two dots
    }
    const std::string one = asFileName(name + "1");
    const std::string two = asFileName(name + "2");
    EXPECT_LE(one.size(), 130U);
    EXPECT_NE(one, two);
    const std::string beginning = one.substr(0, one.rfind('-'));
    EXPECT_EQ(beginning.size() % 2, 0U);
    EXPECT_EQ(name.rfind(beginning, 0), 0U);
}

} // namespace
} // namespace potwatch::session
