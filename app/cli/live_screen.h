// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <termios.h>

namespace potwatch::cli {

// A terminal that is written to while something goes on: lines that stay, and below them one that always shows the
// latest. Keys are read as they are pressed. Without a terminal there are neither latest line nor keys.
class LiveScreen {
public:
    // to_errors: standard output belongs to something else. reads_keys: standard input is a person's.
    LiveScreen(bool to_errors, bool reads_keys);
    ~LiveScreen();
    LiveScreen(const LiveScreen&) = delete;
    LiveScreen& operator=(const LiveScreen&) = delete;

    [[nodiscard]] bool isTerminal() const { return is_terminal_; }
    [[nodiscard]] bool hasKeys() const { return before_.has_value(); }

    void line(std::string_view text);
    void latest(std::string_view text);
    void wipeLatest();
    [[nodiscard]] std::optional<char> key();

private:
    void put(std::string_view text) const;

    const bool to_errors_;
    const bool is_terminal_;
    bool has_latest_ = false;
    std::string latest_;
    std::optional<termios> before_; // how the terminal was set
};

} // namespace potwatch::cli
