// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/port/port_list.h"
#include "io/serial/port/port_source.h"

namespace potwatch::serial {
namespace {

Fault noPorts() {
    return {.kind = FaultKind::unsupported,
            .what = "this build has no serial ports",
            .where = {},
            .remedy = "send the device's lines to standard input: `potwatch record --from -`"};
}

} // namespace

Result<std::unique_ptr<ByteSource>> portSource(const std::string&, const PortSettings&) {
    return tl::unexpected(noPorts());
}

Result<std::vector<PortInfo>> listPorts() {
    return tl::unexpected(noPorts());
}

} // namespace potwatch::serial
