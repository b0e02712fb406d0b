// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/column_titles.h"

#include "io/csv/encoding.h"
#include "io/csv/record.h"
#include "io/csv/vocabulary.h"

#include <fmt/format.h>

#include <algorithm>

namespace potwatch::csv {

std::optional<std::size_t> columnMeant(const std::string& said, const std::vector<std::string>& names) {
    const std::string_view wanted = trimmed(said);
    for (std::size_t c = 0; c < names.size(); ++c) {
        if (trimmed(names[c]) == wanted && !wanted.empty()) {
            return c;
        }
    }
    for (std::size_t c = 0; c < names.size(); ++c) {
        if (lowercased(trimmed(names[c])) == lowercased(wanted) && !wanted.empty()) {
            return c;
        }
    }
    if (!wanted.empty() && wanted.size() < 6 && wanted.find_first_not_of("0123456789") == std::string_view::npos) {
        const std::size_t number = std::stoul(std::string{wanted});
        if (number >= 1 && number <= names.size()) {
            return number - 1;
        }
    }
    return std::nullopt;
}

std::string columnTitle(const std::vector<std::string>& names, std::size_t column) {
    const std::string_view name = trimmed(names[column]);
    // A name may hold line ends within its quotes; a message may not.
    return name.empty() ? fmt::format("column {}", column + 1) : fmt::format("\"{}\"", excerpt(name, Encoding::utf8));
}

std::string columnList(const std::vector<std::string>& names) {
    constexpr std::size_t most = 12;
    std::string list;
    for (std::size_t c = 0; c < std::min(names.size(), most); ++c) {
        list += (c == 0 ? "" : ", ") + columnTitle(names, c);
    }
    return names.size() > most ? fmt::format("{} and {} more", list, names.size() - most) : list;
}

} // namespace potwatch::csv
