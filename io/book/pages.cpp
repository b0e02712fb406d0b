// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/pages.h"

#include <algorithm>
#include <bit>
#include <optional>

namespace potwatch::book {
namespace {

constexpr unsigned char table_leaf = 0x0D;
constexpr std::size_t leaf_header_bytes = 8;

std::uint64_t bigEndian(std::string_view bytes, std::size_t at, std::size_t count) {
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < count; ++i) {
        value = (value << 8U) | (at + i < bytes.size() ? static_cast<unsigned char>(bytes[at + i]) : 0U);
    }
    return value;
}

// A number of variable length; `at` moves behind it. Nothing where the bytes end within it.
std::optional<std::uint64_t> variable(std::string_view bytes, std::size_t& at) {
    constexpr std::size_t longest = 9;
    std::uint64_t value = 0;
    for (std::size_t i = 1; at < bytes.size(); ++i) {
        const auto byte = static_cast<unsigned char>(bytes[at++]);
        if (i == longest) {
            return (value << 8U) | byte;
        }
        value = (value << 7U) | (byte & 0x7FU);
        if ((byte & 0x80U) == 0) {
            return value;
        }
    }
    return std::nullopt;
}

// How much of a row's content lies on its own page; the rest is on others.
std::size_t localPart(std::uint64_t content, std::size_t page) {
    const std::size_t most = page - 35;
    if (content <= most) {
        return static_cast<std::size_t>(content);
    }
    const std::size_t least = (page - 12) * 32 / 255 - 23;
    const std::size_t part = least + static_cast<std::size_t>((content - least) % (page - 4));
    return part <= most ? part : least;
}

std::size_t lengthOf(std::uint64_t type) {
    constexpr std::size_t lengths[] = {0, 1, 2, 3, 4, 6, 8, 8, 0, 0};
    return type < std::size(lengths) ? lengths[type] : static_cast<std::size_t>((type - 12) / 2);
}

PageValue valueOf(std::uint64_t type, std::string_view bytes) {
    if (type == 0) {
        return std::monostate{};
    }
    if (type == 8 || type == 9) {
        return static_cast<std::int64_t>(type - 8);
    }
    if (type >= 12) {
        return bytes;
    }
    const std::uint64_t raw = bigEndian(bytes, 0, bytes.size());
    if (type == 7) {
        return std::bit_cast<double>(raw);
    }
    const std::size_t spare = 64 - 8 * bytes.size(); // spreads the sign
    return static_cast<std::int64_t>(raw << spare) >> spare;
}

std::optional<PageRow> rowAt(std::string_view page, std::size_t at) {
    const std::optional<std::uint64_t> content = variable(page, at);
    const std::optional<std::uint64_t> number = variable(page, at);
    if (!content || !number) {
        return std::nullopt;
    }
    const std::string_view local = page.substr(std::min(at, page.size()), localPart(*content, page.size()));
    std::size_t type_at = 0;
    const std::optional<std::uint64_t> header = variable(local, type_at);
    if (!header || *header > local.size() || *header < type_at) {
        return std::nullopt;
    }
    PageRow row{.number = static_cast<std::int64_t>(*number)};
    const std::string_view types = local.substr(0, static_cast<std::size_t>(*header));
    std::size_t value_at = types.size();
    while (type_at < types.size()) {
        const std::optional<std::uint64_t> type = variable(types, type_at);
        if (!type || *type == 10 || *type == 11) {
            return std::nullopt;
        }
        const std::size_t length = lengthOf(*type);
        if (length > local.size() - value_at) {
            break;
        }
        row.values.push_back(valueOf(*type, local.substr(value_at, length)));
        value_at += length;
    }
    return row;
}

} // namespace

std::uint32_t bigEndian32(std::string_view bytes, std::size_t at) {
    return static_cast<std::uint32_t>(bigEndian(bytes, at, 4));
}

std::vector<PageRow> rowsOnLeaf(std::string_view page, std::size_t header) {
    constexpr std::size_t smallest_page = 512;
    std::vector<PageRow> rows;
    if (page.size() < smallest_page || static_cast<unsigned char>(page[header]) != table_leaf) {
        return rows;
    }
    const std::size_t count = bigEndian(page, header + 3, 2);
    const std::size_t cells = header + leaf_header_bytes;
    for (std::size_t i = 0; i < count && cells + 2 * i + 2 <= page.size(); ++i) {
        const std::size_t at = bigEndian(page, cells + 2 * i, 2);
        if (at < cells || at >= page.size()) {
            continue;
        }
        if (std::optional<PageRow> row = rowAt(page, at)) {
            rows.push_back(std::move(*row));
        }
    }
    return rows;
}

} // namespace potwatch::book
