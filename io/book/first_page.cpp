// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/first_page.h"

#include "io/book/belonging.h"
#include "io/book/pages.h"
#include "io/book/schema.h"

#include <algorithm>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <fstream>
#include <optional>
#include <set>
#include <string_view>
#include <variant>
#include <vector>

namespace potwatch::book {
namespace {

// A page of the list of tables.
struct SchemaLeaf {
    std::uint32_t page = 0;
    std::int64_t first = 0;
    std::int64_t last = 0;
    std::set<std::string> names;
};

const std::string_view* textOf(const PageRow& row, std::size_t column) {
    return std::get_if<std::string_view>(&row.values[column]);
}

// A row of the schema table: type, name, tbl_name, rootpage, sql.
bool isSchemaRow(const PageRow& row, std::int64_t pages) {
    if (row.values.size() != 5 || textOf(row, 0) == nullptr || textOf(row, 1) == nullptr || textOf(row, 2) == nullptr) {
        return false;
    }
    const auto* const root = std::get_if<std::int64_t>(&row.values[3]);
    const std::string_view type = *textOf(row, 0);
    return (type == "table" || type == "index") && root != nullptr && *root >= 2 && *root <= pages;
}

std::optional<SchemaLeaf> schemaLeaf(std::string_view page, std::uint32_t number, std::int64_t pages) {
    const std::vector<PageRow> rows = rowsOnLeaf(page);
    if (rows.empty() ||
        !std::all_of(rows.begin(), rows.end(), [&](const PageRow& row) { return isSchemaRow(row, pages); })) {
        return std::nullopt;
    }
    SchemaLeaf leaf{.page = number, .first = rows.front().number, .last = rows.back().number};
    for (const PageRow& row : rows) {
        leaf.names.emplace(*textOf(row, 1));
    }
    return leaf;
}

std::vector<SchemaLeaf> schemaLeaves(std::fstream& file, std::size_t page_size, std::uint32_t pages) {
    std::vector<SchemaLeaf> leaves;
    std::string page(page_size, '\0');
    for (std::uint32_t number = 2; number <= pages; ++number) {
        file.seekg(static_cast<std::streamoff>((number - 1) * static_cast<std::uint64_t>(page_size)));
        if (!file.read(page.data(), static_cast<std::streamsize>(page.size()))) {
            break;
        }
        if (std::optional<SchemaLeaf> leaf = schemaLeaf(page, number, pages)) {
            leaves.push_back(std::move(*leaf));
        }
    }
    file.clear();
    // Of pages that tell of the same rows, one is left over from before: the longer list is the later one.
    std::stable_sort(leaves.begin(), leaves.end(), [](const SchemaLeaf& a, const SchemaLeaf& b) {
        return a.first != b.first ? a.first < b.first : a.last > b.last;
    });
    std::vector<SchemaLeaf> chosen;
    for (SchemaLeaf& leaf : leaves) {
        if (chosen.empty() || leaf.first > chosen.back().last) {
            chosen.push_back(std::move(leaf));
        }
    }
    return chosen;
}

void put(std::string& page, std::size_t at, std::uint32_t value, std::size_t bytes) {
    for (std::size_t i = 0; i < bytes; ++i) {
        page[at + bytes - 1 - i] = static_cast<char>(value & 0xFFU);
        value >>= 8U;
    }
}

std::string withHeader(std::size_t page_size, std::uint32_t pages, std::uint32_t version) {
    std::string page(page_size, '\0');
    const std::string_view magic("SQLite format 3\0", 16);
    std::copy(magic.begin(), magic.end(), page.begin());
    put(page, 16, static_cast<std::uint32_t>(page_size == 65'536 ? 1 : page_size), 2);
    page[18] = 1; // no log: the copy is alone
    page[19] = 1;
    page[21] = 64; // three shares of a page that are the same in every file
    page[22] = 32;
    page[23] = 32;
    put(page, 24, 1, 4);     // change counter, and below for which the version is valid
    put(page, 28, pages, 4); // the free pages stay lost
    put(page, 40, 1, 4);     // schema cookie
    put(page, 44, 4, 4);     // schema format
    put(page, 56, 1, 4);     // UTF-8
    put(page, 60, version, 4);
    put(page, 68, static_cast<std::uint32_t>(application_id), 4);
    put(page, 92, 1, 4);
    put(page, 96, 3'040'001, 4);
    return page;
}

void addVariable(std::string& bytes, std::uint64_t value) {
    std::string digits(1, static_cast<char>(value & 0x7FU));
    for (value >>= 7U; value > 0; value >>= 7U) {
        digits.insert(digits.begin(), static_cast<char>(0x80U | (value & 0x7FU)));
    }
    bytes += digits;
}

// An interior page of a table: for each leaf but the last a cell with its number and its last row.
void putInterior(std::string& page, const std::vector<SchemaLeaf>& leaves) {
    constexpr std::size_t header = 100;
    constexpr std::size_t header_bytes = 12;
    std::size_t content = page.size();
    for (std::size_t i = 0; i + 1 < leaves.size(); ++i) {
        std::string cell(4, '\0');
        put(cell, 0, leaves[i].page, 4);
        addVariable(cell, static_cast<std::uint64_t>(leaves[i].last));
        content -= cell.size();
        std::copy(cell.begin(), cell.end(), page.begin() + static_cast<std::ptrdiff_t>(content));
        put(page, header + header_bytes + 2 * i, static_cast<std::uint32_t>(content), 2);
    }
    page[header] = 0x05;
    put(page, header + 3, static_cast<std::uint32_t>(leaves.size() - 1), 2);
    put(page, header + 5, static_cast<std::uint32_t>(content), 2);
    put(page, header + 8, leaves.back().page, 4);
}

} // namespace

bool mendFirstPage(const std::string& copy) {
    constexpr std::size_t usual_page = 4096; // of every book that Potwatch makes
    constexpr std::size_t most_leaves = 32;
    const std::size_t stated = pageSizeOf(copy);
    const std::size_t page_size = stated >= 512 && std::has_single_bit(stated) ? stated : usual_page;
    std::fstream file(copy, std::ios::binary | std::ios::in | std::ios::out | std::ios::ate);
    const auto size = static_cast<std::uint64_t>(std::max<std::streamoff>(file.tellg(), 0));
    const auto pages = static_cast<std::uint32_t>(std::min<std::uint64_t>(size / page_size, UINT32_MAX - 1));
    const std::vector<SchemaLeaf> leaves = schemaLeaves(file, page_size, pages);
    std::set<std::string> names;
    for (const SchemaLeaf& leaf : leaves) {
        names.insert(leaf.names.begin(), leaf.names.end());
    }
    if (leaves.size() > most_leaves || !names.contains("run") || !names.contains("chunk")) {
        return false;
    }
    const std::uint32_t version = names.contains("mark") ? 3 : names.contains("refused_line") ? 2 : 1;
    std::string first = withHeader(page_size, pages, version);
    putInterior(first, leaves);
    file.seekp(0);
    file.write(first.data(), static_cast<std::streamsize>(first.size()));
    file.flush();
    return file.good();
}

} // namespace potwatch::book
