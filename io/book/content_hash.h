// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::book {

// A number that two runs share only if their times, their channels' names and units, and all values are the same bit
// for bit: 32 hexadecimal digits. Fed piece by piece, so that a recording can be hashed as it goes on.
// Source: XXH3, 128 bits (xxHash 0.8), of each column's doubles; then of what FORMAT.md says. No protection against
// someone who makes a collision on purpose.
class ContentHash {
public:
    explicit ContentHash(std::size_t columns); // the times are column 0
    ~ContentHash();
    ContentHash(ContentHash&&) noexcept;
    ContentHash& operator=(ContentHash&&) noexcept;

    void add(std::size_t column, std::span<const double> values);

    struct Title {
        std::string_view name;
        std::string_view unit;
    };
    // Shape: a title for each column but the times.
    [[nodiscard]] std::string text(std::span<const Title> titles) const;

private:
    struct Column;
    std::vector<Column> columns_;
};

// The same of any text.
[[nodiscard]] std::string hashOfText(std::string_view text);

} // namespace potwatch::book
