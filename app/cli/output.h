// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "app/cli/exit_code.h"

#include <nlohmann/json_fwd.hpp>

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace potwatch::cli {

// Puts text on standard output, control characters but newline taken out (names come from files, and a terminal obeys
// them). Errors: storage (the output cannot be written).
[[nodiscard]] Result<void> printText(std::string_view text);

// Puts one JSON object on standard output; bytes that are no UTF-8 become U+FFFD.
// Errors: storage.
[[nodiscard]] Result<void> printJson(const nlohmann::ordered_json& object);

// One line a fault on standard error: "potwatch: FILE:LINE: what; what to do".
void tell(std::span<const Fault> faults);

// Faults as they stand in JSON under "faults".
[[nodiscard]] nlohmann::ordered_json faultsJson(std::span<const Fault> faults);

// Prints a command's answer, then tells its faults, and returns the exit code of both.
[[nodiscard]] ExitCode finish(const Result<void>& printed, std::span<const Fault> faults);

// How many columns of a terminal the text takes, one a character: combining and wide characters are not told apart.
[[nodiscard]] std::size_t columnsOf(std::string_view text);

// Text broken at spaces into lines of at most `width` columns, each after the first indented; ends without a newline.
[[nodiscard]] std::string wrapped(std::string_view text, std::size_t indent, std::size_t width = 80);

} // namespace potwatch::cli
