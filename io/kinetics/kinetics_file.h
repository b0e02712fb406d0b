// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/kinetics.h"
#include "io/batch/batch_file.h"

#include <tl/expected.hpp>

#include <string>
#include <string_view>

// The kinetics file: TOML, its keys in FORMAT.md beside this header.
namespace potwatch::kinetics_file {

using Faults = batch::Faults;

// Reads a kinetics file. What [fit] holds is checked for its shape: as many rows and columns of the covariance as there
// are parameters. Errors: storage (cannot be read), unsupported (a newer format), input (no TOML, an unknown key with
// the nearest known one, wrong type, a key that the kind of law needs is missing, a covariance of the wrong shape),
// range (an impossible value). Each names file and line.
[[nodiscard]] tl::expected<Kinetics, Faults> readFile(const std::string& path);

// The same for text in memory; `name` stands for the file in messages.
[[nodiscard]] tl::expected<Kinetics, Faults> readText(std::string_view text, const std::string& name);

// The kinetics as TOML text that readText turns into equal ones again (but for Kinetics::file).
[[nodiscard]] std::string write(const Kinetics& kinetics);

} // namespace potwatch::kinetics_file
