// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/line_reader.h"
#include "app/session/pretend.h"
#include "app/session/pretend_terminal.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>

#include <array>
#include <cmath>
#include <fcntl.h>
#include <thread>
#include <unistd.h>

namespace potwatch::session {
namespace {

using namespace std::chrono_literals;
using testing::HasSubstr;
using testing::SizeIs;

using Pretend = TemporaryFolder;

TEST_F(Pretend, everyStyleIsFoundByLooking) {
    for (const std::string& word : pretendStyleWords()) {
        Result<PretendDevice> device = PretendDevice::make({.channels = 3, .style = *pretendStyleOf(word)});
        ASSERT_TRUE(device);
        LineReader reader{serial::Device{}};
        reader.connected(false);
        std::size_t scans = 0;
        for (int i = 0; i < 20; ++i) {
            const PretendDevice::Step step = device->next();
            const ReadLines lines = reader.take(step.bytes, serial::Moment{} + std::chrono::seconds(i));
            for (const ReadScan& scan : lines.scans) {
                ++scans;
                EXPECT_THAT(scan.values, SizeIs(3)) << word;
            }
        }
        EXPECT_EQ(scans, 20U) << word;
    }
}

TEST_F(Pretend, cooksTheModelCure) {
    PretendDevice device = *PretendDevice::make({.rate_hz = 1.0, .channels = 2, .speed = 10.0});
    LineReader reader{serial::Device{}};
    reader.connected(false);
    double greatest = 0.0;
    double first = 0.0;
    for (int i = 0; i < 400; ++i) {
        for (const ReadScan& scan :
             reader.take(device.next().bytes, serial::Moment{} + std::chrono::seconds(i)).scans) {
            first = first == 0.0 ? scan.values[0] : first;
            greatest = std::max(greatest, scan.values[0]);
        }
    }
    EXPECT_LT(first, 60.0);
    EXPECT_GT(greatest, first + 20.0) << "it warms";
    EXPECT_LT(greatest, 100.0) << "and does not boil";
}

TEST_F(Pretend, equalWishesGiveEqualBytes) {
    const PretendWanted wanted{.faults = {PretendFault::garbage, PretendFault::spikes}};
    PretendDevice a = *PretendDevice::make(wanted);
    PretendDevice b = *PretendDevice::make(wanted);
    for (int i = 0; i < 200; ++i) {
        EXPECT_EQ(a.next().bytes, b.next().bytes);
    }
}

TEST_F(Pretend, playsATable) {
    const std::string table = file("t.csv", "time_s,pot_c\n0,20\n1,21.5\n2,23\n3,24.5\n4,26\n5,27.5\n");
    PretendDevice device = *PretendDevice::make({.rate_hz = 1.0, .csv = table});
    EXPECT_EQ(device.next().line, "20.00");
    EXPECT_EQ(device.next().line, "21.50");
    for (int i = 0; i < 10; ++i) {
        (void)device.next();
    }
    EXPECT_EQ(device.next().line, "27.50") << "past its end the last row again";
    EXPECT_FALSE(PretendDevice::make({.csv = path("no.csv")}));
}

TEST_F(Pretend, refusesWhatCannotBe) {
    EXPECT_FALSE(PretendDevice::make({.rate_hz = 0.0}));
    EXPECT_FALSE(PretendDevice::make({.channels = 0}));
    EXPECT_FALSE(PretendDevice::make({.speed = -1.0}));
}

TEST_F(Pretend, faultsComeWhenTheyAreAskedFor) {
    const auto stepsOf = [](PretendFault fault) {
        PretendDevice device = *PretendDevice::make({.rate_hz = 10.0, .faults = {fault}});
        std::vector<PretendDevice::Step> steps;
        for (int i = 0; i < 500; ++i) {
            steps.push_back(device.next());
        }
        return steps;
    };
    const auto count = [](const auto& steps, const auto& holds) {
        return std::count_if(steps.begin(), steps.end(), holds);
    };
    using Step = PretendDevice::Step;
    EXPECT_EQ(count(stepsOf(PretendFault::silence), [](const Step& s) { return s.bytes.empty(); }), 100);
    EXPECT_EQ(count(stepsOf(PretendFault::hang_up), [](const Step& s) { return s.is_hung_up; }), 60);
    EXPECT_EQ(count(stepsOf(PretendFault::open_sensor), [](const Step& s) { return s.line.ends_with("OPEN"); }), 100);
    EXPECT_GT(count(stepsOf(PretendFault::half_lines), [](const Step& s) { return s.bytes.back() != '\n'; }), 5);
    EXPECT_GT(count(stepsOf(PretendFault::garbage), [](const Step& s) { return s.bytes != s.line + "\n"; }), 20);
    EXPECT_GT(count(stepsOf(PretendFault::spikes), [](const Step& s) { return s.line.size() > 11; }), 1);
    const std::vector<Step> bursts = stepsOf(PretendFault::bursts);
    EXPECT_EQ(bursts[0].at_s, bursts[9].at_s);
    EXPECT_LT(bursts[9].at_s, bursts[10].at_s);
}

// Reads what is there within a moment.
std::string readFrom(int descriptor) {
    std::string text;
    std::array<char, 4096> buffer{};
    for (int i = 0; i < 20 && text.empty(); ++i) {
        const ssize_t count = ::read(descriptor, buffer.data(), buffer.size());
        text.append(buffer.data(), static_cast<std::size_t>(std::max<ssize_t>(count, 0)));
        std::this_thread::sleep_for(5ms);
    }
    return text;
}

TEST_F(Pretend, terminalIsThereUnderItsLinkAgainAndAgain) {
    const std::string link = path("pot");
    {
        PretendTerminal terminal = *PretendTerminal::open(link);
        terminal.write("nobody hears this\n");
        int reader = ::open(link.c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK);
        ASSERT_GE(reader, 0);
        terminal.write("20.1\n");
        EXPECT_EQ(readFrom(reader), "20.1\n") << "not what was said before, and no echo";
        terminal.hangUp();
        EXPECT_FALSE(std::filesystem::exists(link));
        EXPECT_TRUE(terminal.path().empty());
        ::close(reader);
        ASSERT_TRUE(terminal.comeBack());
        reader = ::open(link.c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK);
        terminal.write("20.2\n");
        EXPECT_EQ(readFrom(reader), "20.2\n");
        ::close(reader);
    }
    EXPECT_FALSE(std::filesystem::is_symlink(link)) << "gone with it";
}

TEST_F(Pretend, terminalTakesNoOtherFilesPlace) {
    const std::string taken = file("notes.txt", "mine");
    const Result<PretendTerminal> terminal = PretendTerminal::open(taken);
    ASSERT_FALSE(terminal);
    EXPECT_THAT(terminal.error().what, HasSubstr("is there already"));
    EXPECT_EQ(contentOf("notes.txt"), "mine");
    std::filesystem::create_symlink(path("gone"), path("old"));
    EXPECT_TRUE(PretendTerminal::open(path("old"))) << "left by one that was killed";
}

TEST_F(Pretend, playsWithinTheProgram) {
    Result<std::unique_ptr<serial::ByteSource>> source = pretendSource({.rate_hz = 200.0});
    ASSERT_TRUE(source);
    std::mutex mutex;
    std::string bytes;
    bool is_connected = false;
    (*source)->start([&](serial::SourceNews news) {
        const std::lock_guard lock(mutex);
        is_connected = is_connected || std::holds_alternative<serial::Connected>(news.what);
        if (const auto* const came = std::get_if<serial::BytesCame>(&news.what)) {
            bytes += came->bytes;
        }
    });
    std::this_thread::sleep_for(300ms);
    source->reset();
    EXPECT_TRUE(is_connected);
    const auto lines = std::count(bytes.begin(), bytes.end(), '\n');
    EXPECT_GT(lines, 20);
    EXPECT_LT(lines, 100);
}

} // namespace
} // namespace potwatch::session
