// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/number.h"

#include <gtest/gtest.h>

#include <charconv>
#include <random>
#include <string>

namespace potwatch::csv {
namespace {

TEST(CsvNumber, isTheNearestDoubleWhicheverWayItIsRead) {
    std::mt19937_64 random(20240229);
    std::size_t plain = 0;
    for (int i = 0; i < 200'000; ++i) {
        std::string text = random() % 3 == 0 ? "-" : "";
        const auto digits = [&](std::uint64_t most) {
            for (std::uint64_t n = random() % most; n > 0; --n) {
                text += static_cast<char>('0' + random() % 10);
            }
        };
        digits(12);
        text += '.';
        digits(12);
        double expected = 0.0;
        const bool is_number =
            std::from_chars(text.data(), text.data() + text.size(), expected).ptr == text.data() + text.size();
        const std::string cell = text + ",x";
        const PlainNumber fast = readPlainNumber(cell.data(), '.');
        const auto slow = readNumber(text, '.');
        ASSERT_EQ(slow.has_value(), is_number) << text;
        if (fast.end != nullptr) {
            ++plain;
            ASSERT_EQ(fast.end, cell.data() + text.size()) << text;
            ASSERT_EQ(fast.value, expected) << text;
        }
        if (slow) {
            ASSERT_EQ(*slow, expected) << text;
        }
    }
    EXPECT_GT(plain, 100'000U);
}

TEST(CsvNumber, isReadToItsEndOrNotAtAll) {
    for (const char* text : {"", "-", "+", ".", "1.2.3", "1e", "1e5x", "--1", "+-1", "nan", "inf", "-inf", "0x10",
                             "1 2", "1e999", "1,5"}) {
        EXPECT_EQ(readNumber(text, '.'), std::nullopt) << text;
    }
    EXPECT_EQ(readNumber("1,5e2", ','), 150.0);
    EXPECT_EQ(readNumber("+.5", '.'), 0.5);
    EXPECT_EQ(readNumber("5.", '.'), 5.0);
    EXPECT_EQ(readNumber("1e-400", '.').value_or(0.0), 0.0);
}

TEST(CsvNumber, knowsTheMarksForNothing) {
    for (const char* text : {"", "nan", "NaN", "N/A", "null", "---", "-", "****", "#N/A"}) {
        EXPECT_TRUE(isMissingMark(text)) << text;
    }
    for (const char* text : {"OL", "0", "-1", "open", "nano"}) {
        EXPECT_FALSE(isMissingMark(text)) << text;
    }
}

} // namespace
} // namespace potwatch::csv
