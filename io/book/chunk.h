// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

namespace potwatch::book {

// The most doubles that one chunk holds; every chunk of a column but its last holds as many.
inline constexpr std::size_t chunk_length = 4096;

// "raw": the doubles as they are, 8 bytes each (IEEE 754 binary64, least byte first). "even": three whole numbers of 8
// bytes, start, step and divisor; the double at i is (start + i step) / divisor, bit for bit.
enum class Coding { raw, even };

[[nodiscard]] std::string_view nameOf(Coding coding);
[[nodiscard]] std::optional<Coding> codingNamed(std::string_view name);

// A chunk as it goes into the book. Lives no longer than the values and the space it was made from.
struct Chunk {
    std::size_t count = 0;
    Coding coding = Coding::raw;
    std::string_view data;
    std::uint32_t crc32 = 0;
    std::optional<double> least; // of the values that are numbers; empty where there is none
    std::optional<double> greatest;
};

using EvenSpace = std::array<std::int64_t, 3>;

// Values as they are. Shape: 1 to chunk_length of them; NaN may be among them.
[[nodiscard]] Chunk chunkOf(std::span<const double> values);

// Times, which are often even to the bit; `space` takes the three numbers then.
[[nodiscard]] Chunk chunkOfTimes(std::span<const double> times, EvenSpace& space);

// Appends the doubles of a chunk. False, with nothing appended, where data and checksum do not go together or the data
// cannot be so many doubles.
[[nodiscard]] bool decode(const Chunk& chunk, std::vector<double>& into);

// CRC-32 of ISO 3309 (as in zip and PNG).
[[nodiscard]] std::uint32_t crc32Of(std::string_view bytes);

} // namespace potwatch::book
