// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/child.h"

#include <algorithm>
#include <csignal>
#include <fcntl.h>
#include <iterator>
#include <spawn.h>
#include <system_error>
#include <unistd.h>

extern char** environ;

namespace potwatch::session {

Result<pid_t> startChild(const std::vector<std::string>& words, int standard_input) {
    std::vector<std::string> copies = words;
    std::vector<char*> arguments;
    std::transform(copies.begin(), copies.end(), std::back_inserter(arguments),
                   [](std::string& word) { return word.data(); });
    arguments.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, standard_input, STDIN_FILENO);
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawnattr_t attributes;
    posix_spawnattr_init(&attributes);
    sigset_t none;
    sigemptyset(&none);
    posix_spawnattr_setsigmask(&attributes, &none);
    posix_spawnattr_setpgroup(&attributes, 0);
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETPGROUP | POSIX_SPAWN_SETSIGMASK);
    pid_t child = -1;
    const int error = ::posix_spawnp(&child, arguments.front(), &actions, &attributes, arguments.data(), environ);
    posix_spawnattr_destroy(&attributes);
    posix_spawn_file_actions_destroy(&actions);
    if (error != 0) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "cannot be run: " + std::generic_category().message(error),
                                    .where = {.file = words.front()},
                                    .remedy = "name a program that can be run"});
    }
    return child;
}

} // namespace potwatch::session
