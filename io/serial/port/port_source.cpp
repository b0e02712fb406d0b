// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/port/port_source.h"

#include "io/serial/baud.h"
#include "io/serial/port/port_list.h"
#include "io/serial/port/usb_identity.h"

#include <QByteArray>
#include <QSerialPort>
#include <QString>
#include <QThread>
#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <filesystem>
#include <memory>
#include <optional>
#include <system_error>
#include <utility>

namespace potwatch::serial {
namespace {

using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;

constexpr std::chrono::milliseconds wait_for_bytes = 100ms; // between two looks at whether to end
constexpr std::chrono::milliseconds first_retry = 250ms;
constexpr std::chrono::milliseconds last_retry = 2s;
constexpr std::chrono::milliseconds listen_to_a_speed = 2500ms; // a device that speaks once in two seconds is heard

bool isPseudoTerminal(const std::string& path) {
    return path.starts_with("/dev/pts/");
}

QSerialPort::Parity qtParity(Parity parity) {
    switch (parity) {
    case Parity::none:
        return QSerialPort::NoParity;
    case Parity::even:
        return QSerialPort::EvenParity;
    case Parity::odd:
        return QSerialPort::OddParity;
    }
    return QSerialPort::NoParity;
}

// The blocking functions of QSerialPort on a thread of its own. No signal is connected, so none can come in a storm:
// after a hang-up Qt 6.4 tells the same error without end to whoever goes on listening. The first error closes the
// port.
class PortSource final : public ByteSource {
public:
    PortSource(std::string path, PortSettings settings)
        : path_(std::move(path))
        , settings_(settings) {}

    ~PortSource() override {
        stops_ = true;
        if (thread_) {
            thread_->wait();
        }
    }

    PortSource(const PortSource&) = delete;
    PortSource& operator=(const PortSource&) = delete;

    void start(Tell tell) override {
        tell_ = std::move(tell);
        thread_.reset(QThread::create([this] { work(); }));
        thread_->start();
    }

private:
    void say(decltype(SourceNews::what) what) const { tell_({.at = now(), .what = std::move(what)}); }

    void work() {
        std::chrono::milliseconds retry = first_retry;
        std::optional<Fault> told;
        while (!stops_) {
            QSerialPort port;
            const std::string path = whereItIs();
            if (std::optional<Fault> fault = open(port, path)) {
                if (fault != told) {
                    say(NotConnected{.fault = *fault});
                    told = std::move(fault);
                }
                sleepFor(retry);
                retry = std::min(retry * 2, last_retry);
                continue;
            }
            told.reset();
            retry = first_retry;
            if (!identity_) {
                identity_ = usbIdentityOf(path);
            }
            readUntilLost(port, path);
            // Closed here, before anything else is asked of it.
        }
    }

    // Where the device is now: under its path, unless another device has taken that over; else wherever one with its
    // USB identity is.
    [[nodiscard]] std::string whereItIs() const {
        std::error_code missing;
        const std::string canonical = std::filesystem::canonical(path_, missing).string();
        if (!identity_) {
            return missing ? path_ : canonical;
        }
        if (!missing && usbIdentityOf(canonical) == identity_) {
            return canonical;
        }
        const std::string elsewhere = pathOf(*identity_);
        return elsewhere.empty() ? path_ : elsewhere;
    }

    // Locks and settings go by the canonical path: through a link a port could be opened twice.
    [[nodiscard]] std::optional<Fault> open(QSerialPort& port, const std::string& path) const {
        std::error_code missing;
        const bool exists = std::filesystem::exists(path, missing);
        if (exists && identity_ && usbIdentityOf(path) != identity_) {
            return Fault{.kind = FaultKind::device,
                         .what = "is another device now",
                         .where = {.file = path},
                         .remedy = "plug the first one in again"};
        }
        port.setPortName(QString::fromStdString(path));
        port.setReadBufferSize(0);
        if (exists && port.open(QIODevice::ReadOnly)) {
            return set(port, path);
        }
        if (!exists) {
            return Fault{.kind = FaultKind::device,
                         .what = "is not there",
                         .where = {.file = path_},
                         .remedy = "plug the device in; `potwatch devices` lists what there is"};
        }
        if (const std::string remedy = remedyFor(path); !remedy.empty()) {
            return Fault{
                .kind = FaultKind::device, .what = "may not be read", .where = {.file = path}, .remedy = remedy};
        }
        // With the right to read it, the same error means that somebody else has it open.
        const bool is_taken = port.error() == QSerialPort::PermissionError;
        return Fault{.kind = FaultKind::device,
                     .what = is_taken ? "is in use by another program"
                                      : "cannot be opened: " + port.errorString().toStdString(),
                     .where = {.file = path},
                     .remedy = is_taken ? "close that program" : "check that it is a serial port"};
    }

    // A pseudo-terminal has neither speed nor parity, and refuses to be given one.
    [[nodiscard]] std::optional<Fault> set(QSerialPort& port, const std::string& path) const {
        if (isPseudoTerminal(path)) {
            return std::nullopt;
        }
        const bool is_set = port.setBaudRate(settings_.baud.value_or(usual_bauds.front())) &&
                            port.setDataBits(static_cast<QSerialPort::DataBits>(settings_.data_bits)) &&
                            port.setParity(qtParity(settings_.parity)) &&
                            port.setStopBits(settings_.stop_bits == 2 ? QSerialPort::TwoStop : QSerialPort::OneStop) &&
                            port.setFlowControl(QSerialPort::NoFlowControl);
        if (is_set) {
            return std::nullopt;
        }
        Fault fault{.kind = FaultKind::device,
                    .what = "does not take these settings: " + port.errorString().toStdString(),
                    .where = {.file = path},
                    .remedy = "change [port] in the device file"};
        port.close();
        return fault;
    }

    void readUntilLost(QSerialPort& port, const std::string& path) {
        const bool has_speed = !isPseudoTerminal(path);
        int baud = baud_ ? *baud_ : settings_.baud.value_or(usual_bauds.front());
        QByteArray heard;
        if (has_speed && !settings_.baud && !baud_) {
            const std::optional<int> found = findSpeed(port, heard);
            if (!found) {
                if (!stops_) {
                    say(NotConnected{.fault = lostFault(port, path)});
                }
                return;
            }
            baud = *found;
            baud_ = found;
        } else if (has_speed) {
            port.setBaudRate(baud);
        }
        say(Connected{.to = has_speed ? fmt::format("{}, {} baud", nameOf(path), baud) : path,
                      .may_start_midway = true});
        if (!heard.isEmpty()) {
            say(BytesCame{.bytes = heard.toStdString()});
        }
        while (!stops_) {
            if (port.waitForReadyRead(static_cast<int>(wait_for_bytes.count()))) {
                say(BytesCame{.bytes = port.readAll().toStdString()});
            } else if (isBroken(port)) {
                port.close();
                say(Lost{.fault = lostFault(port, path)});
                return;
            }
        }
    }

    [[nodiscard]] static bool isBroken(const QSerialPort& port) {
        return port.error() != QSerialPort::NoError && port.error() != QSerialPort::TimeoutError;
    }

    // Listens at one speed after the other, until lines come; nothing where the port was lost or the end is near.
    [[nodiscard]] std::optional<int> findSpeed(QSerialPort& port, QByteArray& heard) const {
        for (std::size_t i = 0; !stops_; i = (i + 1) % usual_bauds.size()) {
            heard.clear();
            port.setBaudRate(usual_bauds.at(i));
            port.clear(QSerialPort::Input); // gives NoError as an error, which is none
            const Clock::time_point until = Clock::now() + listen_to_a_speed;
            Listened listened = Listened::too_little;
            while (!stops_ && listened == Listened::too_little && Clock::now() < until) {
                if (port.waitForReadyRead(static_cast<int>(wait_for_bytes.count()))) {
                    heard += port.readAll();
                    listened = judgeSpeed({heard.constData(), static_cast<std::size_t>(heard.size())});
                } else if (isBroken(port)) {
                    return std::nullopt;
                }
            }
            if (listened == Listened::text) {
                return usual_bauds.at(i);
            }
        }
        return std::nullopt;
    }

    [[nodiscard]] static Fault lostFault(const QSerialPort&, const std::string& path) {
        // What Qt says of it decodes an error number left over from something else.
        return {.kind = FaultKind::device,
                .what = "the device is gone",
                .where = {.file = path},
                .remedy = "plug it in again: the run goes on by itself"};
    }

    [[nodiscard]] static std::string nameOf(const std::string& path) {
        const std::optional<UsbIdentity> identity = usbIdentityOf(path);
        return identity ? fmt::format("{} (USB {:04x}:{:04x})", path, identity->vendor, identity->product) : path;
    }

    void sleepFor(std::chrono::milliseconds time) const {
        const Clock::time_point until = Clock::now() + time;
        while (!stops_ && Clock::now() < until) {
            QThread::msleep(static_cast<unsigned long>(std::min(time, wait_for_bytes).count()));
        }
    }

    const std::string path_;
    const PortSettings settings_;
    Tell tell_;
    std::optional<UsbIdentity> identity_; // of the device that was opened first
    std::optional<int> baud_;             // that was found
    std::atomic<bool> stops_ = false;
    std::unique_ptr<QThread> thread_;
};

} // namespace

Result<std::unique_ptr<ByteSource>> portSource(const std::string& path, const PortSettings& settings) {
    return std::make_unique<PortSource>(path, settings);
}

} // namespace potwatch::serial
