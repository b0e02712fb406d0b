// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/keep_awake.h"

#include <array>
#include <cerrno>
#include <csignal>
#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

extern char** environ;

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
    std::array<std::string, 6> words{"systemd-inhibit", "--what=sleep:idle:handle-lid-switch",
                                     "--who=Potwatch",  "--why=" + why,
                                     "--mode=block",    "cat"};
    std::array<char*, 7> arguments{};
    for (std::size_t i = 0; i < words.size(); ++i) {
        arguments.at(i) = words.at(i).data();
    }
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, ends[0], STDIN_FILENO);
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawnattr_t attributes;
    posix_spawnattr_init(&attributes);
    // Its own group and no blocked signal: Ctrl-C in the terminal is for this process, which ends the run first.
    sigset_t none;
    sigemptyset(&none);
    posix_spawnattr_setsigmask(&attributes, &none);
    posix_spawnattr_setpgroup(&attributes, 0);
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETPGROUP | POSIX_SPAWN_SETSIGMASK);
    if (::posix_spawnp(&child_, words[0].c_str(), &actions, &attributes, arguments.data(), environ) != 0) {
        child_ = -1;
    }
    posix_spawnattr_destroy(&attributes);
    posix_spawn_file_actions_destroy(&actions);
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
