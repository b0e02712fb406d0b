// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/mould.h"
#include "io/batch/batch_file.h"

#include <tl/expected.hpp>

#include <string>
#include <string_view>

// The mould file: TOML, its keys in FORMAT.md beside this header.
namespace potwatch::mould_file {

using Faults = batch::Faults;

// Errors: storage (cannot be read), unsupported (a newer format), input (no TOML, an unknown key with the nearest known
// one, wrong type, a missing key), range (an impossible value). Each names file and line.
[[nodiscard]] tl::expected<Mould, Faults> readFile(const std::string& path);

// The same for text in memory; `name` stands for the file in messages.
[[nodiscard]] tl::expected<Mould, Faults> readText(std::string_view text, const std::string& name);

// The mould as TOML text that readText turns into an equal one again (but for Mould::file).
[[nodiscard]] std::string write(const Mould& mould);

} // namespace potwatch::mould_file
