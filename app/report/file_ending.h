// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string_view>

namespace potwatch::report {

// Whether a path ends like that (".svg", in small letters), in capitals or not.
[[nodiscard]] bool hasEnding(std::string_view path, std::string_view ending);

} // namespace potwatch::report
