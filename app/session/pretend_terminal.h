// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/pretend.h"

#include <chrono>
#include <memory>
#include <string>

namespace potwatch::session {

// A pseudo-terminal that another program opens as if it were a serial port. What is written while nobody has it open
// is gone, as on a cable that leads nowhere. Threads: one at a time.
class PretendTerminal {
public:
    // `link`: a lasting name for it, a symbolic link that is made, and replaces one that leads nowhere any more; empty
    // = none. Errors: storage (the link cannot be made, or is something else already); unsupported (this machine has no
    // pseudo-terminals).
    [[nodiscard]] static Result<PretendTerminal> open(const std::string& link);

    [[nodiscard]] std::string path() const; // "/dev/pts/4"; empty while it is hung up

    // Takes bytes as a whole or drops them as a whole, where the reader is far behind.
    void write(const std::string& bytes);
    // Hands over what the reader has had no room for so far.
    void push();

    // As if the cable were pulled, and put back: there under the same link, by another path.
    void hangUp();
    [[nodiscard]] Result<void> comeBack();

    PretendTerminal(PretendTerminal&&) noexcept;
    PretendTerminal& operator=(PretendTerminal&&) noexcept;
    ~PretendTerminal(); // takes the link away

private:
    struct State;
    explicit PretendTerminal(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

} // namespace potwatch::session
