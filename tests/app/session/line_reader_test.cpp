// SPDX-License-Identifier: GPL-3.0-or-later
// Whatever goes wrong on the line: no wrong number, every good line, and every other one counted.
#include "app/session/line_reader.h"
#include "app/session/pretend.h"

#include <gmock/gmock.h>

#include <charconv>
#include <map>
#include <set>

namespace potwatch::session {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

struct Case {
    std::string name;
    PretendStyle style = PretendStyle::comma;
    std::vector<PretendFault> faults;
    std::size_t channels = 8;
};

void PrintTo(const Case& of, std::ostream* out) {
    *out << of.name;
}

// The numbers that a line of plain fields says.
std::vector<double> numbersOf(const std::string& line) {
    std::vector<double> numbers;
    const char* at = line.data();
    const char* const end = at + line.size();
    while (at < end) {
        double number = 0.0;
        const auto read = std::from_chars(at, end, number);
        if (read.ec == std::errc()) {
            numbers.push_back(number);
            at = read.ptr;
        } else {
            ++at;
        }
    }
    return numbers;
}

class SpoiledLines : public testing::TestWithParam<Case> {};

TEST_P(SpoiledLines, giveNoWrongNumberAndLoseNoGoodLine) {
    const Case& wanted = GetParam();
    constexpr int steps = 20'000;
    Result<PretendDevice> device = PretendDevice::make({.rate_hz = 10.0,
                                                        .channels = wanted.channels,
                                                        .style = wanted.style,
                                                        .speed = 2.0,
                                                        .faults = wanted.faults,
                                                        .seed = 7});
    ASSERT_TRUE(device) << device.error().what;
    LineReader reader{serial::Device{}};
    reader.connected(false);
    std::set<std::vector<double>> sent;       // what any line said
    std::multiset<std::vector<double>> whole; // of these, the lines that came as they were meant
    std::multiset<std::vector<double>> got;
    std::size_t refused = 0;
    bool after_half = false;
    const serial::Moment start{};
    const auto take = [&](const ReadLines& lines) {
        for (const ReadScan& scan : lines.scans) {
            got.insert(scan.values);
        }
        refused += lines.refused.size();
    };
    for (int i = 0; i < steps; ++i) {
        const PretendDevice::Step step = device->next();
        const std::vector<double> numbers = numbersOf(step.line);
        sent.insert(numbers);
        const bool is_whole = step.bytes == step.line + "\n" || step.bytes == step.line + "\r\n";
        if (is_whole && !after_half) {
            whole.insert(numbers);
        }
        after_half = !step.bytes.empty() && step.bytes.back() != '\n';
        take(reader.take(step.bytes, start + std::chrono::duration_cast<std::chrono::nanoseconds>(
                                                 std::chrono::duration<double>(step.at_s))));
    }
    take(reader.end(start + std::chrono::hours(1)));
    ASSERT_GT(whole.size(), static_cast<std::size_t>(steps) / 20);
    for (const std::vector<double>& values : got) {
        ASSERT_TRUE(sent.contains(values)) << "no line said " << testing::PrintToString(values);
    }
    for (const std::vector<double>& values : whole) {
        ASSERT_GE(got.count(values), whole.count(values)) << testing::PrintToString(values) << " is missing";
    }
    const bool is_spoiled = !wanted.faults.empty() && wanted.faults.front() != PretendFault::bursts;
    EXPECT_EQ(refused > 0, is_spoiled) << refused;
}

INSTANTIATE_TEST_SUITE_P(
    cases, SpoiledLines,
    testing::Values(
        Case{"whole", PretendStyle::comma, {}}, Case{"bursts", PretendStyle::comma, {PretendFault::bursts}},
        Case{"garbage", PretendStyle::comma, {PretendFault::garbage}},
        Case{"garbage_one_value", PretendStyle::comma, {PretendFault::garbage}, 1},
        Case{"garbage_two_values", PretendStyle::blank, {PretendFault::garbage}, 2},
        Case{"garbage_tabs", PretendStyle::tab, {PretendFault::garbage}, 3},
        Case{"garbage_crlf", PretendStyle::crlf, {PretendFault::garbage}, 4},
        Case{"half_lines", PretendStyle::comma, {PretendFault::half_lines}},
        Case{"half_lines_one_value", PretendStyle::comma, {PretendFault::half_lines}, 1},
        Case{"half_lines_in_bursts", PretendStyle::comma, {PretendFault::half_lines, PretendFault::bursts}, 2},
        Case{"all", PretendStyle::comma, {PretendFault::garbage, PretendFault::half_lines, PretendFault::bursts}}),
    [](const auto& of) { return of.param.name; });

TEST(LineReader, takesTheLinesThatTheFormatWasFoundOn) {
    LineReader reader{serial::Device{}};
    reader.connected(false);
    const serial::Moment start{};
    EXPECT_FALSE(reader.take("20.0\n20.1\n", start).found);
    const ReadLines lines = reader.take("20.2\n", start + std::chrono::seconds(1));
    ASSERT_TRUE(lines.found);
    EXPECT_FALSE(lines.found->was_stated);
    EXPECT_THAT(lines.scans, SizeIs(3));
}

TEST(LineReader, makesDoWithOneLineOfASlowDevice) {
    LineReader reader{serial::Device{}};
    reader.connected(false);
    const serial::Moment start{};
    EXPECT_THAT(reader.take("20.00,21.00\n", start).scans, IsEmpty());
    EXPECT_THAT(reader.look(start + std::chrono::seconds(1)).scans, IsEmpty());
    EXPECT_THAT(reader.look(start + std::chrono::seconds(3)).scans, SizeIs(1));
}

TEST(LineReader, saysOnceThatItUnderstandsNothing) {
    LineReader reader{serial::Device{}};
    reader.connected(false);
    std::size_t complaints = 0;
    for (int i = 0; i < 40; ++i) {
        const ReadLines lines = reader.take("hello there\n", serial::Moment{} + std::chrono::seconds(i));
        complaints += lines.not_understood ? 1U : 0U;
        if (lines.not_understood) {
            EXPECT_THAT(lines.not_understood->what, HasSubstr("hello there"));
            EXPECT_FALSE(lines.not_understood->remedy.empty());
        }
    }
    EXPECT_EQ(complaints, 1U);
}

TEST(LineReader, givesLinesOfABurstTheirOwnTimes) {
    LineReader reader{serial::Device{}};
    reader.connected(false);
    const serial::Moment start{};
    std::vector<serial::Moment> times;
    for (int burst = 1; burst <= 5; ++burst) {
        std::string bytes;
        for (int i = 0; i < 10; ++i) {
            bytes += "20.5,21.5\n";
        }
        for (const ReadScan& scan : reader.take(bytes, start + std::chrono::seconds(burst)).scans) {
            times.push_back(scan.at);
        }
    }
    ASSERT_THAT(times, SizeIs(50));
    EXPECT_TRUE(std::is_sorted(times.begin(), times.end()));
    EXPECT_EQ(times[49], start + std::chrono::seconds(5));
    EXPECT_EQ(times[49] - times[48], std::chrono::milliseconds(100));
    EXPECT_EQ(times[40] - times[39], std::chrono::milliseconds(100));
}

TEST(LineReader, takesADoubtfulValueThatTheNextLinesBearOut) {
    LineReader reader{serial::Device{}};
    reader.connected(false);
    std::size_t at_s = 0;
    const auto take = [&](const std::string& line) {
        return reader.take(line + "\n", serial::Moment{} + std::chrono::seconds(++at_s));
    };
    (void)take("100.10");
    (void)take("100.20");
    EXPECT_THAT(take("100.10").scans, SizeIs(3));
    EXPECT_THAT(take("0.30").scans, IsEmpty()) << "from boiling water into ice, or a digit lost?";
    EXPECT_THAT(take("0.20").scans, IsEmpty());
    EXPECT_THAT(take("0.20").scans, IsEmpty());
    const ReadLines borne_out = take("0.10");
    ASSERT_THAT(borne_out.scans, SizeIs(4));
    EXPECT_EQ(borne_out.scans[0].values[0], 0.30);
    EXPECT_EQ(borne_out.scans[3].values[0], 0.10);
    EXPECT_THAT(take("20.20").scans, IsEmpty());
    EXPECT_THAT(take("20.10").scans, IsEmpty());
    const ReadLines back = take("0.20");
    EXPECT_THAT(back.scans, SizeIs(1));
    EXPECT_THAT(back.refused, SizeIs(2));
}

} // namespace
} // namespace potwatch::session
