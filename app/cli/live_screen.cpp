// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/live_screen.h"

#include "app/format/text.h"

#include <cstdio>
#include <poll.h>
#include <sys/ioctl.h>
#include <unistd.h>

namespace potwatch::cli {
namespace {

constexpr std::size_t usual_width = 80;

std::size_t widthOf(int terminal) {
    winsize size{};
    return ::ioctl(terminal, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : usual_width;
}

} // namespace

LiveScreen::LiveScreen(bool to_errors, bool reads_keys)
    : to_errors_(to_errors)
    , is_terminal_(::isatty(to_errors ? STDERR_FILENO : STDOUT_FILENO) == 1) {
    termios now{};
    if (reads_keys && ::isatty(STDIN_FILENO) == 1 && ::tcgetattr(STDIN_FILENO, &now) == 0) {
        before_ = now;
        now.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
        ::tcsetattr(STDIN_FILENO, TCSANOW, &now);
    }
}

LiveScreen::~LiveScreen() {
    wipeLatest();
    if (before_) {
        ::tcsetattr(STDIN_FILENO, TCSANOW, &*before_);
    }
}

void LiveScreen::put(std::string_view text) const {
    std::FILE* const stream = to_errors_ ? stderr : stdout;
    std::fwrite(text.data(), 1, text.size(), stream);
    std::fflush(stream);
}

void LiveScreen::line(std::string_view text) {
    const std::string latest = has_latest_ ? latest_ : std::string();
    wipeLatest();
    put(format::oneLine(text) + "\n");
    if (!latest.empty()) {
        this->latest(latest);
    }
}

void LiveScreen::latest(std::string_view text) {
    if (!is_terminal_ || (has_latest_ && text == latest_)) {
        return;
    }
    latest_ = text;
    has_latest_ = true;
    put("\r\033[K" + format::shortened(format::oneLine(text), widthOf(to_errors_ ? STDERR_FILENO : STDOUT_FILENO) - 1));
}

void LiveScreen::wipeLatest() {
    if (has_latest_) {
        put("\r\033[K");
        has_latest_ = false;
    }
}

std::optional<char> LiveScreen::key() {
    pollfd waiting{.fd = STDIN_FILENO, .events = POLLIN, .revents = 0};
    char byte = 0;
    const bool is_there = before_ && ::poll(&waiting, 1, 0) > 0 && (waiting.revents & POLLIN) != 0;
    return is_there && ::read(STDIN_FILENO, &byte, 1) == 1 ? std::optional(byte) : std::nullopt;
}

} // namespace potwatch::cli
