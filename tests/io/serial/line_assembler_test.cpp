// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/line_assembler.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <iterator>

namespace potwatch::serial {
namespace {

using namespace std::chrono_literals;
using testing::ElementsAre;
using testing::IsEmpty;

constexpr Moment start{};

std::vector<std::string> textsOf(const std::vector<Line>& lines) {
    std::vector<std::string> texts;
    std::transform(lines.begin(), lines.end(), std::back_inserter(texts), [](const Line& line) { return line.text; });
    return texts;
}

TEST(LineAssembler, cutsAtEveryKindOfEnd) {
    LineAssembler assembler;
    EXPECT_THAT(textsOf(assembler.take("a\nb\r\nc\rd\r", start)), ElementsAre("a", "b", "c", "d"));
    EXPECT_THAT(textsOf(assembler.take("\ne\n\n\r\nf\n", start)), ElementsAre("e", "f"));
}

TEST(LineAssembler, joinsAByteAtATime) {
    LineAssembler assembler;
    std::vector<std::string> lines;
    for (const char byte : std::string("23.4,24.1\r\n23.5,24.2\r\n")) {
        for (const Line& line : assembler.take(std::string_view(&byte, 1), start)) {
            lines.push_back(line.text);
        }
    }
    EXPECT_THAT(lines, ElementsAre("23.4,24.1", "23.5,24.2"));
}

TEST(LineAssembler, dropsTheRestOfALineAfterAConnection) {
    LineAssembler assembler;
    (void)assembler.take("23.", start);
    assembler.restart(true);
    EXPECT_THAT(textsOf(assembler.take("4,24.1\n23.5,24.2\n", start)), ElementsAre("23.5,24.2"));
    assembler.restart(false);
    EXPECT_THAT(textsOf(assembler.take("23.6,24.3\n", start)), ElementsAre("23.6,24.3"));
}

TEST(LineAssembler, capsALineAndSaysSo) {
    LineAssembler assembler;
    (void)assembler.take(std::string(3 * longest_line, '1'), start);
    const std::vector<Line> lines = assembler.take("\n2\n", start);
    ASSERT_EQ(lines.size(), 2U);
    EXPECT_TRUE(lines[0].is_too_long);
    EXPECT_EQ(lines[0].text.size(), longest_line);
    EXPECT_FALSE(lines[1].is_too_long);
}

TEST(LineAssembler, knowsTheLongestSilenceWithinALine) {
    LineAssembler assembler;
    (void)assembler.take("23", start);
    (void)assembler.take(".4", start + 300ms);
    const std::vector<Line> lines = assembler.take("5\n6\n", start + 350ms);
    ASSERT_EQ(lines.size(), 2U);
    EXPECT_EQ(lines[0].pause, 300ms);
    EXPECT_EQ(lines[0].came, start + 350ms);
    EXPECT_EQ(lines[1].pause, 0ms);
}

TEST(LineAssembler, marksARestWithoutAnEnd) {
    LineAssembler assembler;
    EXPECT_THAT(textsOf(assembler.take("1\n2", start)), ElementsAre("1"));
    const std::vector<Line> rest = assembler.rest();
    ASSERT_EQ(rest.size(), 1U);
    EXPECT_FALSE(rest[0].has_end);
    EXPECT_THAT(assembler.rest(), IsEmpty());
}

} // namespace
} // namespace potwatch::serial
