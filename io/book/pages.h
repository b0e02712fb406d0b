// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <variant>
#include <vector>

namespace potwatch::book {

// A value of a row as it lies on a page: nothing, a number, or the bytes of a text or blob.
using PageValue = std::variant<std::monostate, std::int64_t, double, std::string_view>;

struct PageRow {
    std::int64_t number = 0;       // the rowid
    std::vector<PageValue> values; // a value a column; fewer where the rest lies on other pages
};

// The rows on a leaf page of a table, without SQLite and without trust in the page: what is not a row is left out, and
// a page of another kind has none. `page` is one whole page of the file; `header` is where its b-tree begins, 100 on
// the file's first page and 0 on any other. The values point into the page. Source: the SQLite file format, 1.6 (b-tree
// pages) and 2.1 (records).
[[nodiscard]] std::vector<PageRow> rowsOnLeaf(std::string_view page, std::size_t header = 0);

// Big-endian, as all numbers of an SQLite file; 0 beyond the end.
[[nodiscard]] std::uint32_t bigEndian32(std::string_view bytes, std::size_t at);

} // namespace potwatch::book
