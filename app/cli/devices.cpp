// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "io/serial/port/port_list.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;

// As they stand on the device and in lists of devices: four hexadecimal digits.
Json hexJson(const std::optional<int>& number) {
    return number ? Json(fmt::format("{:04x}", *number)) : Json(nullptr);
}

Json jsonOf(const serial::PortInfo& port) {
    const auto text = [](const std::string& value) { return value.empty() ? Json(nullptr) : Json(value); };
    return Json{{"path", port.path},
                {"by_id", text(port.by_id)},
                {"product", text(port.product)},
                {"manufacturer", text(port.manufacturer)},
                {"serial_number", text(port.serial_number)},
                {"usb_vendor", hexJson(port.usb_vendor)},
                {"usb_product", hexJson(port.usb_product)},
                {"may_be_opened", port.may_be_opened},
                {"remedy", text(port.remedy)}};
}

std::string textOf(const serial::PortInfo& port) {
    std::string identity;
    const auto add = [&](const std::string& part) {
        identity += part.empty() ? "" : (identity.empty() ? "" : ", ") + part;
    };
    add(port.product);
    add(port.manufacturer);
    add(port.usb_vendor ? fmt::format("USB {:04x}:{:04x}", *port.usb_vendor, *port.usb_product) : "not on USB");
    add(port.serial_number.empty() ? "" : "serial number " + port.serial_number);
    std::string text = fmt::format("{}  {}\n", port.path, identity);
    if (!port.by_id.empty()) {
        text += fmt::format("  lasting name: {}\n", port.by_id);
    }
    if (!port.may_be_opened) {
        text += wrapped("  You may not open it: " + port.remedy + ".", 2) + '\n';
    }
    return text;
}

std::string textOf(const std::vector<serial::PortInfo>& ports) {
    if (ports.empty()) {
        return "There is no serial port. Plug the device in, and look again; `potwatch pretend` gives one to practise "
               "with.\n";
    }
    std::string text;
    for (const serial::PortInfo& port : ports) {
        text += textOf(port);
    }
    return text;
}

ExitCode runDevices(bool json) {
    const Result<std::vector<serial::PortInfo>> ports = serial::listPorts();
    const std::vector<Fault> faults = ports ? std::vector<Fault>() : std::vector<Fault>{ports.error()};
    if (!json) {
        return finish(ports ? printText(textOf(*ports)) : Result<void>(), faults);
    }
    Json list = Json::array();
    for (const serial::PortInfo& port : ports.value_or(std::vector<serial::PortInfo>())) {
        list.push_back(jsonOf(port));
    }
    return finish(printJson(Json{{"format", 1}, {"ports", std::move(list)}, {"faults", faultsJson(faults)}}), faults);
}

} // namespace

Command addDevices(CLI::App& program) {
    const auto json = std::make_shared<bool>(false);
    CLI::App* parser = program.add_subcommand("devices", "list the serial ports of this computer")->group("Commands");
    addJson(*parser, *json);
    parser->footer("Example:\n  potwatch devices");
    return {.parser = parser, .run = [json] { return runDevices(*json); }};
}

} // namespace potwatch::cli
