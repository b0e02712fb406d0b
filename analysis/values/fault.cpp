// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/values/fault.h"

#include <array>
#include <utility>

namespace potwatch {

std::string_view nameOf(FaultKind kind)
{
    static constexpr std::array<std::string_view, 8> names{"input",  "range",   "missing",   "not converged",
                                                           "device", "storage", "cancelled", "unsupported"};
    return names.at(static_cast<std::size_t>(kind));
}

std::string describe(const Fault& fault)
{
    std::string text = fault.where.file;
    if (fault.where.line) {
        text += (text.empty() ? "line " : ":") + std::to_string(*fault.where.line);
    }
    if (fault.where.column) {
        text += (fault.where.line ? ":" : " column ") + std::to_string(*fault.where.column);
    }
    if (!fault.where.channel.empty()) {
        text += (text.empty() ? "" : ": ") + ("channel " + fault.where.channel);
    }
    text += (text.empty() ? "" : ": ") + fault.what;
    if (!fault.remedy.empty()) {
        text += "; " + fault.remedy;
    }
    return text;
}

} // namespace potwatch
