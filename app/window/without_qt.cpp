// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/open_window.h"

namespace potwatch::window {

Result<int> openWindow(const std::string&, const WindowOptions&) {
    return tl::unexpected(
        Fault{.kind = FaultKind::unsupported,
              .what = "this build has no window",
              .remedy = "use a command, e.g. `potwatch analyse FILE.csv`; `potwatch --help` lists them"});
}

} // namespace potwatch::window
