// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/layout.h"
#include "io/csv/table_builder.h"

#include <optional>
#include <string>

namespace potwatch::csv {

// The layout that the whole file asks for, where its head misled; nothing where all is well.
// Errors: input (dates that fit day first and month first alike, or some only the one and some only the other).
[[nodiscard]] Result<std::optional<Layout>> revise(const Layout& layout, const TableBuilder& read,
                                                   const std::string& file);

} // namespace potwatch::csv
