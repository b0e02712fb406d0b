// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

namespace potwatch::book {

// The checksum of SQLite's log: two sums of 32 bits over pairs of words.
// Source: the SQLite file format, 4.2: for each pair x0, x1: s0 += x0 + s1; s1 += x1 + s0.
struct LogSum {
    std::uint32_t s0 = 0;
    std::uint32_t s1 = 0;

    bool operator==(const LogSum&) const = default;
};

enum class WordOrder { least_first, most_first };

[[nodiscard]] bool differInOneByte(LogSum a, LogSum b);

// Goes on from `before` over bytes whose count is a multiple of eight.
[[nodiscard]] LogSum sumOf(LogSum before, std::string_view bytes, WordOrder order);

// A word of four bytes that was another.
struct WrongWord {
    std::size_t at = 0; // in bytes
    std::uint32_t was = 0;
};

// Where bytes give the sum `found` and once gave `stated`, and one wrong byte explains that: the word with it. The sums
// are linear in the words, so each place has one difference to offer, and the second sum decides; that chance makes a
// wrong place fit is some 10^-10. Nothing where two places explain it: for the most significant byte of a word only the
// last eight bits of the weights count, which come again every 1536 bytes.
[[nodiscard]] std::optional<WrongWord> wrongWord(std::string_view bytes, LogSum found, LogSum stated, WordOrder order);

[[nodiscard]] std::uint32_t wordAt(std::string_view bytes, std::size_t at, WordOrder order);
void putWord(char* to, std::uint32_t word, WordOrder order);

} // namespace potwatch::book
