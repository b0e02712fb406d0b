// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/port/port_list.h"

#include "io/serial/port/usb_identity.h"

#include <QSerialPortInfo>
#include <QString>
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <grp.h>
#include <sys/stat.h>
#include <system_error>
#include <tuple>
#include <unistd.h>

namespace potwatch::serial {
namespace {

namespace fs = std::filesystem;

std::optional<UsbIdentity> identityOf(const QSerialPortInfo& port) {
    if (!port.hasVendorIdentifier() || !port.hasProductIdentifier()) {
        return std::nullopt;
    }
    return UsbIdentity{.vendor = port.vendorIdentifier(),
                       .product = port.productIdentifier(),
                       .serial_number = port.serialNumber().toStdString()};
}

// The link under /dev/serial/by-id that leads to the port.
std::string lastingNameOf(const std::string& path) {
    std::error_code error;
    for (const auto& entry : fs::directory_iterator("/dev/serial/by-id", error)) {
        if (fs::canonical(entry.path(), error).string() == path) {
            return entry.path().string();
        }
    }
    return {};
}

std::string groupOf(const std::string& path) {
    struct stat status {};
    if (::stat(path.c_str(), &status) != 0 || (status.st_mode & S_IRGRP) == 0) {
        return {};
    }
    const struct group* const group = ::getgrgid(status.st_gid);
    return group == nullptr ? std::string() : std::string(group->gr_name);
}

} // namespace

std::optional<UsbIdentity> usbIdentityOf(const std::string& path) {
    return path.starts_with("/dev/pts/") ? std::nullopt : identityOf(QSerialPortInfo(QString::fromStdString(path)));
}

std::string pathOf(const UsbIdentity& identity) {
    std::string path;
    const auto ports = QSerialPortInfo::availablePorts();
    for (const QSerialPortInfo& port : ports) {
        if (identityOf(port) == identity) {
            if (!path.empty()) {
                return {};
            }
            path = port.systemLocation().toStdString();
        }
    }
    return path;
}

std::string remedyFor(const std::string& path) {
    if (::access(path.c_str(), R_OK | W_OK) == 0) {
        return {};
    }
    const std::string group = groupOf(path);
    if (group.empty() || group == "root") {
        return "ask whoever looks after this computer for the right to read and write " + path;
    }
    return fmt::format("join the group {0} (`sudo usermod -aG {0} $USER`), log out and in again", group);
}

Result<std::vector<PortInfo>> listPorts() {
    std::vector<PortInfo> ports;
    const auto available = QSerialPortInfo::availablePorts();
    for (const QSerialPortInfo& port : available) {
        PortInfo info{.path = port.systemLocation().toStdString(),
                      .by_id = {},
                      .product = port.description().toStdString(),
                      .manufacturer = port.manufacturer().toStdString(),
                      .serial_number = port.serialNumber().toStdString(),
                      .usb_vendor = {},
                      .usb_product = {},
                      .may_be_opened = false,
                      .remedy = {}};
        info.by_id = lastingNameOf(info.path);
        if (const std::optional<UsbIdentity> identity = identityOf(port)) {
            info.usb_vendor = identity->vendor;
            info.usb_product = identity->product;
        }
        info.remedy = remedyFor(info.path);
        info.may_be_opened = info.remedy.empty();
        ports.push_back(std::move(info));
    }
    std::sort(ports.begin(), ports.end(), [](const PortInfo& a, const PortInfo& b) {
        return std::tuple(!a.usb_vendor, a.path) < std::tuple(!b.usb_vendor, b.path);
    });
    return ports;
}

} // namespace potwatch::serial
