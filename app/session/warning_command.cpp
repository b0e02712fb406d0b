// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/warning_command.h"

#include "app/session/child.h"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

namespace potwatch::session {
namespace {

constexpr std::size_t most_at_once = 4;

} // namespace

void WarningCommand::forgetEnded() {
    std::erase_if(running_, [](pid_t child) { return ::waitpid(child, nullptr, WNOHANG) != 0; });
}

std::optional<Fault> WarningCommand::run(const std::string& warning) {
    forgetEnded();
    if (words_.empty()) {
        return std::nullopt;
    }
    if (running_.size() >= most_at_once) {
        return Fault{.kind = FaultKind::input,
                     .what = "is still at work on earlier warnings, and was not run again",
                     .where = {.file = words_.front()},
                     .remedy = "name a program that ends by itself"};
    }
    std::vector<std::string> words = words_;
    words.push_back(warning);
    const int nothing = ::open("/dev/null", O_RDONLY | O_CLOEXEC);
    const Result<pid_t> child = startChild(words, nothing);
    ::close(nothing);
    if (!child) {
        return child.error();
    }
    running_.push_back(*child);
    return std::nullopt;
}

} // namespace potwatch::session
