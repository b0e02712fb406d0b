// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/salvage.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::book {
namespace {

// Numbers between the two ends that can be read are tried one by one, up to this many ...
constexpr std::int64_t most_tried = 1'000'000;

// ... and until so many in a row were tried in vain: a damaged page holds a few hundred rows at the most.
constexpr int most_in_vain = 10'000;

struct Scan {
    std::vector<std::int64_t> numbers;
    bool is_whole = false;
};

Scan scan(const Database& database, const std::string& sql) {
    Scan result;
    Statement rows = database.statement(sql);
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        const std::int64_t number = rows.integer(0);
        if (result.numbers.size() >= static_cast<std::size_t>(most_tried)) {
            break;
        }
        result.numbers.push_back(number);
    }
    result.is_whole = next.has_value() && !*next;
    return result;
}

} // namespace

SalvagedTable::SalvagedTable(const Database& database, std::string table, std::string columns)
    : database_(database)
    , table_(std::move(table))
    , columns_(std::move(columns)) {}

std::vector<std::int64_t> SalvagedTable::numbers() const {
    Scan up = scan(database_, fmt::format("SELECT rowid FROM {} NOT INDEXED ORDER BY rowid", table_));
    if (up.is_whole) {
        return std::move(up.numbers);
    }
    Scan down = scan(database_, fmt::format("SELECT rowid FROM {} NOT INDEXED ORDER BY rowid DESC", table_));
    std::vector<std::int64_t> numbers = std::move(up.numbers);
    const std::int64_t low = numbers.empty() ? 0 : numbers.back();
    const std::int64_t high = down.numbers.empty() ? low : down.numbers.back();
    const std::int64_t gap_end = down.numbers.empty() ? low + most_tried : high;
    Statement one = database_.statement(fmt::format("SELECT rowid FROM {} NOT INDEXED WHERE rowid = ?", table_));
    int in_vain = 0;
    for (std::int64_t number = low + 1; number < std::min(gap_end, low + most_tried) && in_vain < most_in_vain;
         ++number) {
        one.bindAll(number);
        const Result<bool> found = one.step();
        ++in_vain;
        if (found && *found) {
            numbers.push_back(number);
            in_vain = 0;
        }
        one.reset();
    }
    numbers.insert(numbers.end(), down.numbers.begin(), down.numbers.end());
    std::sort(numbers.begin(), numbers.end());
    numbers.erase(std::unique(numbers.begin(), numbers.end()), numbers.end());
    return numbers;
}

std::size_t SalvagedTable::forEach(const std::function<void(std::int64_t, const Statement&)>& take) const {
    std::size_t lost = 0;
    Statement row = database_.statement(fmt::format("SELECT {} FROM {} NOT INDEXED WHERE rowid = ?", columns_, table_));
    for (const std::int64_t number : numbers()) {
        row.bindAll(number);
        const Result<bool> found = row.step();
        if (found && *found) {
            take(number, row);
        } else {
            ++lost;
        }
        row.reset();
    }
    return lost;
}

} // namespace potwatch::book
