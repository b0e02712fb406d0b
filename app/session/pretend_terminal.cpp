// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/pretend_terminal.h"

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <fcntl.h>
#include <filesystem>
#include <poll.h>
#include <system_error>
#include <termios.h>
#include <unistd.h>
#include <utility>

namespace potwatch::session {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t most_waiting = 65'536; // bytes; a real device would have lost them long before

Fault noTerminal() {
    return {.kind = FaultKind::unsupported,
            .what = "this machine gives no pseudo-terminal: " + std::generic_category().message(errno),
            .where = {},
            .remedy = "close programs that use terminals, and try again"};
}

Fault noLink(const std::string& link, std::string why) {
    return {.kind = FaultKind::storage,
            .what = std::move(why),
            .where = {.file = link},
            .remedy = "name another --link, in a folder where you may write"};
}

} // namespace

struct PretendTerminal::State {
    std::string link;
    int descriptor = -1;
    std::string path;
    std::string waiting; // bytes that the reader had no room for

    explicit State(std::string lasting_name)
        : link(std::move(lasting_name)) {}
    State(const State&) = delete;
    State& operator=(const State&) = delete;
    ~State() { close(); }

    // Leaves a link alone that by now leads elsewhere.
    void close() {
        std::error_code ignored;
        if (descriptor >= 0 && !link.empty() && fs::read_symlink(link, ignored) == path) {
            fs::remove(link, ignored);
        }
        if (descriptor >= 0) {
            ::close(descriptor);
        }
        descriptor = -1;
        path.clear();
        waiting.clear();
    }

    [[nodiscard]] Result<void> open() {
        descriptor = ::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
        std::array<char, 64> name{};
        if (descriptor < 0 || ::grantpt(descriptor) != 0 || ::unlockpt(descriptor) != 0 ||
            ::ptsname_r(descriptor, name.data(), name.size()) != 0) {
            return tl::unexpected(noTerminal());
        }
        path = name.data();
        ::fcntl(descriptor, F_SETFL, O_NONBLOCK);
        // No echo and no line editing, for readers that do not see to that; the settings outlast this opening.
        if (const int other_end = ::open(path.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC); other_end >= 0) {
            termios settings{};
            ::tcgetattr(other_end, &settings);
            ::cfmakeraw(&settings);
            ::tcsetattr(other_end, TCSANOW, &settings);
            ::close(other_end);
        }
        return link.empty() ? Result<void>() : makeLink();
    }

    // The new link takes the old one's place in one step, so that a reader never finds it missing by chance.
    [[nodiscard]] Result<void> makeLink() const {
        std::error_code error;
        const fs::file_status there = fs::symlink_status(link, error);
        const bool leads_somewhere = fs::exists(link, error);
        if (fs::exists(there) && (!fs::is_symlink(there) || leads_somewhere)) {
            return tl::unexpected(noLink(link, "is there already"));
        }
        const std::string made = fmt::format("{}.{}", link, ::getpid());
        fs::remove(made, error);
        fs::create_symlink(path, made, error);
        if (!error) {
            fs::rename(made, link, error);
        }
        if (error) {
            return tl::unexpected(noLink(link, "cannot be made: " + error.message()));
        }
        return {};
    }

    [[nodiscard]] bool hasReader() const {
        pollfd state{.fd = descriptor, .events = 0, .revents = 0};
        return ::poll(&state, 1, 0) == 0 || (state.revents & POLLHUP) == 0;
    }
};

PretendTerminal::PretendTerminal(std::unique_ptr<State> state)
    : state_(std::move(state)) {}
PretendTerminal::PretendTerminal(PretendTerminal&&) noexcept = default;
PretendTerminal& PretendTerminal::operator=(PretendTerminal&&) noexcept = default;
PretendTerminal::~PretendTerminal() = default;

Result<PretendTerminal> PretendTerminal::open(const std::string& link) {
    auto state = std::make_unique<State>(link);
    if (Result<void> done = state->open(); !done) {
        return tl::unexpected(std::move(done.error()));
    }
    return PretendTerminal(std::move(state));
}

std::string PretendTerminal::path() const {
    return state_->path;
}

void PretendTerminal::write(const std::string& bytes) {
    if (state_->descriptor < 0 || state_->waiting.size() + bytes.size() > most_waiting) {
        return;
    }
    state_->waiting += bytes;
    push();
}

void PretendTerminal::push() {
    State& state = *state_;
    if (state.descriptor < 0 || !state.hasReader()) {
        state.waiting.clear();
        return;
    }
    std::array<char, 256> ignored{}; // what the reader sends: a device that only talks
    while (::read(state.descriptor, ignored.data(), ignored.size()) > 0) {
    }
    while (!state.waiting.empty()) {
        const ssize_t count = ::write(state.descriptor, state.waiting.data(), state.waiting.size());
        if (count <= 0) {
            return;
        }
        state.waiting.erase(0, static_cast<std::size_t>(count));
    }
}

void PretendTerminal::hangUp() {
    state_->close();
}

Result<void> PretendTerminal::comeBack() {
    return state_->open();
}

} // namespace potwatch::session
