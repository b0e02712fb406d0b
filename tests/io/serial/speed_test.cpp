// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/baud.h"

#include <gtest/gtest.h>

#include <random>
#include <string>

namespace potwatch::serial {
namespace {

TEST(Speed, isRightWhereLinesCome) {
    EXPECT_EQ(judgeSpeed("23.4,24.1\n23.5,24.2\n"), Listened::text);
    EXPECT_EQ(judgeSpeed("23.4\r\n23.5\r\n"), Listened::text);
}

TEST(Speed, isNotKnownFromALineOrTwo) {
    EXPECT_EQ(judgeSpeed(""), Listened::too_little);
    EXPECT_EQ(judgeSpeed("23.4,24"), Listened::too_little);
}

TEST(Speed, isWrongWhereNoiseComes) {
    std::mt19937 chance(1);
    std::string noise;
    for (int i = 0; i < 200; ++i) {
        noise += static_cast<char>(0x80U | (chance() & 0x7FU));
    }
    EXPECT_EQ(judgeSpeed(noise), Listened::noise);
}

} // namespace
} // namespace potwatch::serial
