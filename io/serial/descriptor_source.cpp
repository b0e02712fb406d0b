// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/byte_source.h"

#include <array>
#include <cerrno>
#include <poll.h>
#include <stop_token>
#include <system_error>
#include <thread>
#include <unistd.h>
#include <utility>

namespace potwatch::serial {
namespace {

constexpr int look_for_stop_ms = 100;

class DescriptorSource final : public ByteSource {
public:
    DescriptorSource(int descriptor, std::string name)
        : descriptor_(descriptor)
        , name_(std::move(name)) {}

    void start(Tell tell) override {
        thread_ = std::jthread([this, tell = std::move(tell)](const std::stop_token& stop) { read(tell, stop); });
    }

private:
    void read(const Tell& tell, const std::stop_token& stop) const {
        const auto say = [&](auto what) { tell({.at = now(), .what = std::move(what)}); };
        say(Connected{.to = name_, .may_start_midway = false});
        std::array<char, 16'384> buffer{};
        while (!stop.stop_requested()) {
            pollfd waiting{.fd = descriptor_, .events = POLLIN, .revents = 0};
            if (::poll(&waiting, 1, look_for_stop_ms) <= 0) {
                continue;
            }
            const ssize_t count = ::read(descriptor_, buffer.data(), buffer.size());
            if (count > 0) {
                say(BytesCame{.bytes = std::string(buffer.data(), static_cast<std::size_t>(count))});
            } else if (count == 0 || errno == EIO) { // a terminal that hung up gives the latter
                say(SourceEnded{});
                return;
            } else if (errno != EINTR && errno != EAGAIN) {
                say(SourceEnded{.fault = Fault{.kind = FaultKind::device,
                                               .what = "cannot be read: " + std::generic_category().message(errno),
                                               .where = {.file = name_},
                                               .remedy = "check what is connected to it"}});
                return;
            }
        }
    }

    int descriptor_;
    std::string name_;
    std::jthread thread_;
};

} // namespace

std::unique_ptr<ByteSource> descriptorSource(int descriptor, const std::string& name) {
    return std::make_unique<DescriptorSource>(descriptor, name);
}

} // namespace potwatch::serial
