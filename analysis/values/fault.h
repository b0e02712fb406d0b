// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <tl/expected.hpp>

#include <optional>
#include <string>
#include <string_view>

namespace potwatch {

// What kind of thing went wrong; exit codes and the window's wording depend on this, never on the text.
enum class FaultKind { input, range, missing, notConverged, device, storage, cancelled, unsupported };

// Where a fault lies; what does not apply is empty.
struct Place {
    std::string file = {};
    std::optional<long> line = {};
    std::optional<long> column = {};
    std::string channel = {};

    bool operator==(const Place&) const = default;
};

// An error as a value: what happened, where, and what to do about it.
struct Fault {
    FaultKind kind = FaultKind::input;
    std::string what = {};
    Place where = {};
    std::string remedy = {};

    bool operator==(const Fault&) const = default;
};

// The name of a kind, as it stands in logs and JSON.
[[nodiscard]] std::string_view nameOf(FaultKind kind);

// One line: "FILE:LINE: what; remedy", without the parts that are empty.
[[nodiscard]] std::string describe(const Fault& fault);

// A value or a fault. Mark every function that returns one [[nodiscard]].
template<class T>
using Result = tl::expected<T, Fault>;

} // namespace potwatch
