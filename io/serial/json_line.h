// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::serial {

// A value of a JSON object, whatever it is nested in.
struct JsonMember {
    std::string name;             // "core", "probe.core", "t.1" (places count from 1)
    std::optional<double> number; // else `text`
    std::string text;             // of a text; "null" where it is null
};

// All values of the object that a line is, in its order; nothing where it is none, or names one twice.
[[nodiscard]] std::optional<std::vector<JsonMember>> jsonMembers(std::string_view line);

} // namespace potwatch::serial
