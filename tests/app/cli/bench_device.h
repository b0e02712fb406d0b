// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/pretend_terminal.h"
#include "io/book/book.h"

#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

namespace potwatch::test {

// A device on a pseudo-terminal that remembers what it sent and when: no two of its lines have the same values, and the
// first value counts the lines (0.01 for each).
class BenchDevice {
public:
    BenchDevice(const std::string& link, std::size_t channels, double rate_hz);
    ~BenchDevice();
    BenchDevice(const BenchDevice&) = delete;
    BenchDevice& operator=(const BenchDevice&) = delete;

    void hangUp();
    void comeBack();

    struct Sent {
        std::chrono::steady_clock::time_point at;
        std::vector<double> values;
    };
    [[nodiscard]] std::vector<Sent> sent() const;

private:
    void play(const std::stop_token& stop);

    const std::size_t channels_;
    const double rate_hz_;
    mutable std::mutex mutex_;
    session::PretendTerminal terminal_;
    bool is_there_ = true;
    std::vector<Sent> sent_;
    std::jthread thread_; // last: it uses all of the above
};

// The only run of a book, which must be sound. `notices` of its opening: a run that was recovered.
struct RecordedRun {
    potwatch::Run run;
    book::RunState state = book::RunState::complete;
    std::vector<std::string> notices;
};
[[nodiscard]] RecordedRun onlyRunOf(const std::string& path);

// Which line of a bench device each scan is: their numbers. A value that no line had fails the test.
[[nodiscard]] std::vector<std::size_t> linesOf(const potwatch::Run& run, const std::vector<BenchDevice::Sent>& sent);

} // namespace potwatch::test
