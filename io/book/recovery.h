// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/database.h"

#include <string>
#include <vector>

namespace potwatch::book {

// `book` is the file beside which the leases lie.
// Ends the runs that are still marked as being recorded although nobody holds their lease any more: their tail becomes
// chunks, in one transaction a run. A run whose lease is held is left alone. Returns a sentence for each run that was
// recovered, with its samples. A run that cannot be recovered now (its lease cannot be made, the disk is full) is left
// for the next time, and a sentence says so.
[[nodiscard]] std::vector<std::string> recoverRuns(const Database& database, const std::string& book);

} // namespace potwatch::book
