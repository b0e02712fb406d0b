// SPDX-License-Identifier: GPL-3.0-or-later
// Recording against what happens on a bench, often enough to believe it: the recorder is killed at 50 moments, the
// cable is pulled 20 times.
#include "tests/app/cli/bench_device.h"
#include "tests/app/cli/live_program.h"
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <csignal>
#include <mutex>
#include <random>
#include <thread>

namespace potwatch::test {
namespace {

using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;

using RecordSoak = CommandLine;

// One recorder, killed after a while; the seconds between its death and the oldest sample that is not in the book.
double killOnce(const std::string& folder, std::size_t trial, std::chrono::milliseconds after) {
    const std::string link = fmt::format("{}/pot-{}", folder, trial);
    const std::string book = fmt::format("{}/killed-{}.potbook", folder, trial);
    const BenchDevice device(link, 8, 10.0);
    LiveProgram recorder(folder, {"record", "--port", link, "--book", book});
    EXPECT_TRUE(recorder.hasSaid("Recording"));
    std::this_thread::sleep_for(after);
    recorder.signal(SIGKILL);
    const Clock::time_point killed = Clock::now();
    EXPECT_EQ(recorder.wait(), 1000 + SIGKILL);
    const std::vector<BenchDevice::Sent> sent = device.sent();
    const RecordedRun run = onlyRunOf(book);
    EXPECT_EQ(run.state, book::RunState::recovered);
    const std::vector<std::size_t> lines = linesOf(run.run, sent);
    for (std::size_t i = 1; i < lines.size(); ++i) {
        EXPECT_EQ(lines[i], lines[i - 1] + 1) << "a hole in trial " << trial;
    }
    if (lines.empty()) {
        ADD_FAILURE() << "nothing in the book after " << after.count() << " ms";
        return 0.0;
    }
    const std::size_t first_missing = lines.back() + 1;
    return first_missing < sent.size() && sent[first_missing].at < killed
               ? std::chrono::duration<double>(killed - sent[first_missing].at).count()
               : 0.0;
}

TEST_F(RecordSoak, losesNoSampleOlderThanASecondInFiftyDeaths) {
    constexpr std::size_t trials = 50;
    constexpr std::size_t at_once = 5;
    std::mt19937 chance(20);
    std::uniform_int_distribution<int> moment_ms(1100, 5000);
    std::vector<std::chrono::milliseconds> moments;
    for (std::size_t i = 0; i < trials; ++i) {
        moments.emplace_back(moment_ms(chance));
    }
    std::mutex mutex;
    double worst_s = 0.0;
    std::vector<std::thread> lanes;
    for (std::size_t lane = 0; lane < at_once; ++lane) {
        lanes.emplace_back([&, lane] {
            for (std::size_t trial = lane; trial < trials; trial += at_once) {
                const double oldest_s = killOnce(folder_.string(), trial, moments[trial]);
                const std::lock_guard lock(mutex);
                worst_s = std::max(worst_s, oldest_s);
                EXPECT_LT(oldest_s, 1.0) << "trial " << trial;
            }
        });
    }
    for (std::thread& lane : lanes) {
        lane.join();
    }
    fmt::print("the oldest sample lost in {} deaths was {:.2f} s old\n", trials, worst_s);
}

TEST_F(RecordSoak, goesOnThroughTwentyPullsOfTheCable) {
    constexpr int pulls = 20;
    constexpr double most_cpu = 0.10; // of a core, while away
    const std::string link = path("pot");
    const std::string book = path("pulled.potbook");
    BenchDevice device(link, 4, 20.0);
    LiveProgram recorder(folder_.string(), {"record", "--port", link, "--book", book});
    ASSERT_TRUE(recorder.hasSaid("Recording"));
    std::mt19937 chance(7);
    std::uniform_int_distribution<int> there_ms(800, 1600);
    std::uniform_int_distribution<int> away_ms(300, 2500);
    struct Stretch { // while it was there: the numbers of its lines
        std::size_t first = 0;
        std::size_t last = 0;
    };
    std::vector<Stretch> stretches;
    double worst_cpu = 0.0;
    std::size_t first = 0;
    for (int i = 0; i < pulls; ++i) {
        std::this_thread::sleep_for(std::chrono::milliseconds(there_ms(chance)));
        device.hangUp();
        stretches.push_back({.first = first, .last = device.sent().size() - 1});
        first = device.sent().size();
        const Clock::time_point gone = Clock::now();
        const double before_s = recorder.cpuSeconds();
        std::this_thread::sleep_for(std::chrono::milliseconds(away_ms(chance)));
        const double used_s = recorder.cpuSeconds() - before_s;
        const double away_s = std::chrono::duration<double>(Clock::now() - gone).count();
        // The clock of processors ticks a hundred times a second: a short absence tells little.
        if (away_s > 1.0) {
            worst_cpu = std::max(worst_cpu, used_s / away_s);
        }
        device.comeBack();
        std::this_thread::sleep_for(2s); // the longest wait between two looks
    }
    std::this_thread::sleep_for(500ms);
    stretches.push_back({.first = first, .last = device.sent().size() - 1});
    recorder.signal(SIGTERM);
    EXPECT_EQ(recorder.wait(), 130);
    const RecordedRun run = onlyRunOf(book);
    EXPECT_EQ(run.state, book::RunState::complete);
    const std::vector<std::size_t> lines = linesOf(run.run, device.sent()); // none twice, none that was not sent
    std::size_t at = 0;
    for (std::size_t i = 0; i < stretches.size(); ++i) {
        // From the first line that came through to the last: none is missing but those around the pull, of which the
        // kernel throws away what it had not handed over.
        while (at < lines.size() && lines[at] < stretches[i].first) {
            ++at;
        }
        const std::size_t begin = at;
        while (at < lines.size() && lines[at] <= stretches[i].last) {
            ++at;
        }
        ASSERT_GT(at - begin, 5U) << "hardly anything of stretch " << i;
        EXPECT_EQ(lines[at - 1] - lines[begin] + 1, at - begin) << "a hole in stretch " << i;
        if (i + 1 < stretches.size()) {
            EXPECT_LE(stretches[i].last - lines[at - 1], 1U) << "lost before pull " << i;
        }
    }
    const auto count = [&](const std::string& kind) {
        const auto& events = run.run.batch.events;
        return std::count_if(events.begin(), events.end(), [&](const Event& event) { return event.kind == kind; });
    };
    EXPECT_EQ(count("device lost"), pulls);
    EXPECT_EQ(count("device back"), pulls);
    EXPECT_LT(worst_cpu, most_cpu);
    fmt::print("at most {:.1f} % of a core while away\n", 100.0 * worst_cpu);
}

} // namespace
} // namespace potwatch::test
