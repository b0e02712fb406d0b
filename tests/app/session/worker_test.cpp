// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/worker.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <future>
#include <mutex>
#include <new>
#include <string>
#include <vector>

namespace potwatch::session {
namespace {

using testing::ElementsAre;

// A job that ends when it is let go, or when it is told to stop.
class Gate {
public:
    Worker::Job job(std::vector<std::string>& log) {
        return [this, &log](const std::stop_token& stop) {
            begun_.set_value();
            const std::stop_callback told(stop, [this] { open(); });
            opened_.get_future().wait();
            log.emplace_back(stop.stop_requested() ? "stopped" : "let go");
        };
    }
    void waitUntilBegun() { begun_.get_future().wait(); }
    void open() {
        std::call_once(once_, [this] { opened_.set_value(); });
    }

private:
    std::promise<void> begun_;
    std::promise<void> opened_;
    std::once_flag once_;
};

TEST(Worker, doesJobsInTheOrderTheyWerePosted) {
    std::vector<int> done;
    {
        Worker worker;
        for (int i = 0; i < 100; ++i) {
            worker.post([&done, i](const std::stop_token&) { done.push_back(i); });
        }
    }
    EXPECT_EQ(done.size(), 100U);
    EXPECT_TRUE(std::is_sorted(done.begin(), done.end()));
}

TEST(Worker, jobThatRunsOutOfMemoryIsToldAndTheNextIsDone) {
    std::vector<std::string> log;
    {
        Worker worker;
        worker.tellGivenUp([&log] { log.emplace_back("given up"); });
        worker.post([](const std::stop_token&) { throw std::bad_alloc(); });
        worker.post([&log](const std::stop_token&) { log.emplace_back("next"); });
    }
    EXPECT_THAT(log, ElementsAre("given up", "next"));
}

TEST(Worker, losesNoJobThatMustBeDoneWhenItEnds) {
    std::vector<std::string> log;
    Gate gate;
    {
        Worker worker;
        worker.post(gate.job(log));
        gate.waitUntilBegun();
        worker.post([&log](const std::stop_token&) { log.emplace_back("saved"); });
        worker.postLatest("view", [&log](const std::stop_token&) { log.emplace_back("viewed"); });
        gate.open();
    }
    EXPECT_THAT(log, testing::Contains("saved"));
    EXPECT_EQ(log.front(), "let go");
}

TEST(Worker, letsTheLatestOfAKeyWin) {
    std::vector<std::string> log;
    Gate gate;
    {
        Worker worker;
        worker.post(gate.job(log));
        gate.waitUntilBegun();
        worker.postLatest("view", [&log](const std::stop_token&) { log.emplace_back("first"); });
        std::promise<void> done;
        worker.postLatest("view", [&](const std::stop_token&) {
            log.emplace_back("second");
            done.set_value();
        });
        gate.open();
        done.get_future().wait();
    }
    EXPECT_THAT(log, ElementsAre("let go", "second"));
}

TEST(Worker, stopsAJobThatIsOvertaken) {
    std::vector<std::string> log;
    Gate gate;
    Worker worker;
    worker.postLatest("view", gate.job(log));
    gate.waitUntilBegun();
    std::promise<void> done;
    worker.postLatest("view", [&](const std::stop_token&) { done.set_value(); });
    done.get_future().wait();
    EXPECT_THAT(log, ElementsAre("stopped"));
}

TEST(Worker, tellsAJobToStopThatMustBeDone) {
    std::vector<std::string> log;
    Gate gate;
    {
        Worker worker;
        worker.post(gate.job(log), "import");
        gate.waitUntilBegun();
        worker.cancel("other");
        worker.cancel("import");
    }
    EXPECT_THAT(log, ElementsAre("stopped"));
}

TEST(Worker, takesNothingAfterItsEnd) {
    Worker worker;
    worker.end();
    worker.postLatest("view", [](const std::stop_token&) { FAIL() << "the thread has ended"; });
    EXPECT_EQ(worker.pending(), 0U);
}

TEST(Worker, doesItsIdleTaskWhenNothingElseIsToDo) {
    std::promise<void> idle;
    std::once_flag once;
    Worker worker([&](const std::stop_token&) { std::call_once(once, [&] { idle.set_value(); }); },
                  std::chrono::milliseconds(1));
    idle.get_future().wait();
    EXPECT_EQ(worker.pending(), 0U);
}

} // namespace
} // namespace potwatch::session
