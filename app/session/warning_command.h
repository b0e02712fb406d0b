// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <optional>
#include <string>
#include <sys/types.h>
#include <vector>

namespace potwatch::session {

// The command of the person's that runs on a warning: a lamp that is lit, a message that is sent. Nobody waits for it, and
// a warning does not wait for the command of an earlier one, so that a siren that sounds for a minute delays no message;
// while four are still at it no more are started. Threads: one at a time.
class WarningCommand {
public:
    WarningCommand() = default;
    // A program and its arguments; empty = nothing is ever run.
    explicit WarningCommand(std::vector<std::string> words)
        : words_(std::move(words)) {}

    // Starts it with what the warning says as one more argument. Returns why it could not be started.
    [[nodiscard]] std::optional<Fault> run(const std::string& warning);

private:
    void forgetEnded();

    std::vector<std::string> words_;
    std::vector<pid_t> running_;
};

} // namespace potwatch::session
