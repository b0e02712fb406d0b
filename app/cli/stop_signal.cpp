// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/stop_signal.h"

#include "app/cli/exit_code.h"

#include <algorithm>
#include <pthread.h>
#include <signal.h>
#include <time.h>
#include <unistd.h>

namespace potwatch::cli {
namespace {

constexpr int wake_signal = SIGUSR2; // ends the wait when the work is over
// A terminal that closes sends more than one signal at a time.
constexpr std::chrono::milliseconds one_wish{500};

sigset_t stoppingSignals() {
    sigset_t set;
    sigemptyset(&set);
    for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
        struct sigaction before {};
        if (sigaction(number, nullptr, &before) == 0 && before.sa_handler != SIG_IGN) {
            sigaddset(&set, number);
        }
    }
    sigaddset(&set, wake_signal);
    return set;
}

} // namespace

StopSignal::StopSignal(std::chrono::seconds grace) {
    const sigset_t signals = stoppingSignals();
    pthread_sigmask(SIG_BLOCK, &signals, nullptr);
    waiter_ = std::thread([this, signals, grace] {
        int number = 0;
        sigwait(&signals, &number);
        if (over_) {
            return;
        }
        interrupt_ = number == SIGINT;
        source_.request_stop();
        const auto asked = std::chrono::steady_clock::now();
        const timespec wait{.tv_sec = grace.count(), .tv_nsec = 0};
        while (sigtimedwait(&signals, nullptr, &wait) > 0 && !over_ &&
               std::chrono::steady_clock::now() - asked < one_wish) {
        }
        if (!over_) {
            ::_exit(static_cast<int>(ExitCode::stopped));
        }
    });
}

StopSignal::~StopSignal() {
    over_ = true;
    pthread_kill(waiter_.native_handle(), wake_signal);
    waiter_.join();
    const sigset_t signals = stoppingSignals();
    pthread_sigmask(SIG_UNBLOCK, &signals, nullptr);
}

void addStopped(std::vector<Fault>& faults, const std::stop_token& stop) {
    const bool said = std::any_of(faults.begin(), faults.end(),
                                  [](const Fault& fault) { return fault.kind == FaultKind::cancelled; });
    if (stop.stop_requested() && !said) {
        faults.push_back({.kind = FaultKind::cancelled, .what = "stopped before everything was done"});
    }
}

} // namespace potwatch::cli
