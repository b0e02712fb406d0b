// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/bench_device.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>

namespace potwatch::test {

using session::PretendTerminal;

BenchDevice::BenchDevice(const std::string& link, std::size_t channels, double rate_hz)
    : channels_(channels)
    , rate_hz_(rate_hz)
    , terminal_(PretendTerminal::open(link).value())
    , thread_([this](const std::stop_token& stop) { play(stop); }) {}

BenchDevice::~BenchDevice() {
    thread_.request_stop();
    thread_.join();
}

void BenchDevice::play(const std::stop_token& stop) {
    const auto begun = std::chrono::steady_clock::now();
    for (std::size_t number = 0; !stop.stop_requested(); ++number) {
        const auto due = begun + std::chrono::duration_cast<std::chrono::steady_clock::duration>(
                                     std::chrono::duration<double>(static_cast<double>(number) / rate_hz_));
        std::this_thread::sleep_until(due);
        std::vector<double> values;
        std::string line;
        for (std::size_t i = 0; i < channels_; ++i) {
            // Hundredths, counted as whole numbers: what is read back is the same double.
            const auto hundredths = static_cast<long>(2000 + (i == 0 ? number : 100 * i + number % 50));
            values.push_back(static_cast<double>(hundredths) / 100.0);
            line += fmt::format("{}{}.{:02}", i == 0 ? "" : ",", hundredths / 100, hundredths % 100);
        }
        const std::lock_guard lock(mutex_);
        if (is_there_) {
            terminal_.write(line + "\n");
            sent_.push_back({.at = std::chrono::steady_clock::now(), .values = std::move(values)});
        }
    }
}

void BenchDevice::hangUp() {
    const std::lock_guard lock(mutex_);
    is_there_ = false;
    terminal_.hangUp();
}

void BenchDevice::comeBack() {
    const std::lock_guard lock(mutex_);
    EXPECT_TRUE(terminal_.comeBack());
    is_there_ = true;
}

std::vector<BenchDevice::Sent> BenchDevice::sent() const {
    const std::lock_guard lock(mutex_);
    return sent_;
}

RecordedRun onlyRunOf(const std::string& path) {
    Result<book::Opened> opened = book::Book::open(path, book::Access::write);
    if (!opened) {
        ADD_FAILURE() << describe(opened.error());
        return {};
    }
    const std::vector<std::string> faults = *opened->book.check();
    EXPECT_TRUE(faults.empty()) << (faults.empty() ? "" : faults.front());
    const std::vector<book::RunRow> rows = *opened->book.list();
    if (rows.size() != 1) {
        ADD_FAILURE() << rows.size() << " runs in " << path;
        return {};
    }
    return {.run = opened->book.read(rows.front().id)->run,
            .state = rows.front().state,
            .notices = std::move(opened->notices)};
}

std::vector<std::size_t> linesOf(const potwatch::Run& run, const std::vector<BenchDevice::Sent>& sent) {
    std::vector<std::size_t> lines;
    std::size_t at = 0;
    for (std::size_t scan = 0; scan < run.time_s.size(); ++scan) {
        std::vector<double> values;
        for (const Channel& channel : run.channels) {
            values.push_back(channel.values[scan]);
        }
        while (at < sent.size() && sent[at].values != values) {
            ++at;
        }
        if (at == sent.size()) {
            ADD_FAILURE() << "scan " << scan
                          << " is no line that was sent, or comes twice: " << testing::PrintToString(values);
            return lines;
        }
        lines.push_back(at);
        ++at;
    }
    return lines;
}

} // namespace potwatch::test
