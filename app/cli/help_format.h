// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>

namespace CLI {
class FormatterBase;
}

namespace potwatch::cli {

// How help is laid out: usage, what the command does, its options in two columns of 80 characters, an example.
[[nodiscard]] std::shared_ptr<CLI::FormatterBase> helpFormat();

} // namespace potwatch::cli
