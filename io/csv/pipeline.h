// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/progress.h"
#include "io/csv/block_reader.h"
#include "io/csv/rows.h"
#include "io/csv/table_builder.h"

#include <cstdint>
#include <optional>
#include <stop_token>

namespace potwatch::csv {

// Reads, parses and puts together all blocks. Each of `workers` threads (the caller's is one of them) takes the next
// block, parses it by itself, and waits for its turn to append what it found. Errors: as BlockReader::next();
// cancelled.
[[nodiscard]] Result<void> readAllRows(BlockReader& reader, const RowParser& parser, TableBuilder& builder, int workers,
                                       std::optional<std::uint64_t> bytes_expected, const Progress& progress,
                                       const std::stop_token& stop);

} // namespace potwatch::csv
