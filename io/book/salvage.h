// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/database.h"

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

namespace potwatch::book {

// A table of a damaged book, read row by row through its numbers and through no index, so that a damaged page costs the
// rows on it and no others.
class SalvagedTable {
public:
    // `columns` as in SQL, without the number of the row.
    SalvagedTable(const Database& database, std::string table, std::string columns);

    // Calls take(number, row) for each row that can be read; column 0 is the first of `columns`.
    // Returns how many rows are known to be there and cannot be read.
    [[nodiscard]] std::size_t forEach(const std::function<void(std::int64_t, const Statement&)>& take) const;

private:
    [[nodiscard]] std::vector<std::int64_t> numbers() const;

    const Database& database_;
    std::string table_;
    std::string columns_;
};

} // namespace potwatch::book
