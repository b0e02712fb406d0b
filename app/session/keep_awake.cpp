// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/keep_awake.h"

#include "app/session/child.h"

#include <array>
#include <cerrno>
#include <csignal>
#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>
#include <vector>

namespace potwatch::session {
namespace {

constexpr std::chrono::seconds time_to_refuse{1};

} // namespace

// systemd-inhibit holds the lock while the command given to it runs: here `cat`, which waits for the end of a pipe that
// only this process holds open. Source: systemd-inhibit(1).
KeepAwake::KeepAwake(const std::string& why)
    : begun_(std::chrono::steady_clock::now()) {
    std::array<int, 2> ends{-1, -1};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) {
        return;
    }
    const std::vector<std::string> words{"systemd-inhibit", "--what=sleep:idle:handle-lid-switch",
                                         "--who=Potwatch",  "--why=" + why,
                                         "--mode=block",    "cat"};
    child_ = startChild(words, ends[0]).value_or(-1);
    ::close(ends[0]);
    lifeline_ = ends[1];
}

KeepAwake::~KeepAwake() {
    if (lifeline_ >= 0) {
        ::close(lifeline_);
    }
    if (child_ > 0) {
        ::kill(child_, SIGTERM);
        while (::waitpid(child_, nullptr, 0) < 0 && errno == EINTR) {
        }
    }
}

std::optional<bool> KeepAwake::isKept() {
    if (child_ > 0 && ::waitpid(child_, nullptr, WNOHANG) != 0) {
        child_ = -1; // it was refused
    }
    if (child_ < 0) {
        return false;
    }
    const bool had_time = std::chrono::steady_clock::now() - begun_ >= time_to_refuse;
    return had_time ? std::optional(true) : std::nullopt;
}

} // namespace potwatch::session
