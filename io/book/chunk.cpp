// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/chunk.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <limits>
#include <zlib.h>

namespace potwatch::book {
namespace {

// The bytes of the book are those of the memory of the machines that Debian's Qt runs on.
static_assert(std::endian::native == std::endian::little && std::numeric_limits<double>::is_iec559);

constexpr std::array<std::int64_t, 7> divisors{1, 10, 100, 1000, 10'000, 100'000, 1'000'000};

// Whole numbers below this are exact as doubles, so that one correctly rounded division remains.
constexpr double exact_limit = 9007199254740992.0; // 2^53

std::string_view bytesOf(std::span<const double> values) {
    return {reinterpret_cast<const char*>(values.data()), values.size_bytes()};
}

double evenAt(const EvenSpace& even, std::size_t i) {
    const std::int64_t numerator = even[0] + static_cast<std::int64_t>(i) * even[1];
    return static_cast<double>(numerator) / static_cast<double>(even[2]);
}

bool isExact(const EvenSpace& even, std::size_t count) {
    const auto within = [](double whole) { return std::abs(whole) < exact_limit; };
    const double last = static_cast<double>(even[0]) + static_cast<double>(count) * static_cast<double>(even[1]);
    return even[2] > 0 && within(static_cast<double>(even[0])) && within(static_cast<double>(even[1])) &&
           within(static_cast<double>(even[2])) && within(last);
}

bool sameBits(double a, double b) {
    return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

bool isWhole(double value) {
    return std::abs(value) < exact_limit && value == std::nearbyint(value);
}

bool findEven(std::span<const double> times, EvenSpace& even) {
    for (const std::int64_t divisor : divisors) {
        const auto scale = static_cast<double>(divisor);
        const double start = times.front() * scale;
        const double next = times.size() > 1 ? times[1] * scale : start;
        if (!isWhole(start) || !isWhole(next)) {
            continue;
        }
        even = {static_cast<std::int64_t>(start), static_cast<std::int64_t>(next - start), divisor};
        if (!isExact(even, times.size())) {
            continue;
        }
        std::size_t i = 0;
        while (i < times.size() && sameBits(times[i], evenAt(even, i))) {
            ++i;
        }
        if (i == times.size()) {
            return true;
        }
    }
    return false;
}

// NaN compares as false and is passed over.
void noteRange(std::span<const double> values, Chunk& chunk) {
    double least = std::numeric_limits<double>::infinity();
    double greatest = -std::numeric_limits<double>::infinity();
    for (const double value : values) {
        least = value < least ? value : least;
        greatest = value > greatest ? value : greatest;
    }
    if (least <= greatest) {
        chunk.least = least;
        chunk.greatest = greatest;
    }
}

} // namespace

std::string_view nameOf(Coding coding) {
    return coding == Coding::even ? "even" : "raw";
}

std::optional<Coding> codingNamed(std::string_view name) {
    return name == "raw" ? std::optional(Coding::raw) : name == "even" ? std::optional(Coding::even) : std::nullopt;
}

Chunk chunkOf(std::span<const double> values) {
    Chunk chunk{.count = values.size(), .coding = Coding::raw, .data = bytesOf(values)};
    chunk.crc32 = crc32Of(chunk.data);
    noteRange(values, chunk);
    return chunk;
}

Chunk chunkOfTimes(std::span<const double> times, EvenSpace& space) {
    if (!findEven(times, space)) {
        return chunkOf(times);
    }
    Chunk chunk{.count = times.size(),
                .coding = Coding::even,
                .data = {reinterpret_cast<const char*>(space.data()), sizeof(space)}};
    chunk.crc32 = crc32Of(chunk.data);
    noteRange(times, chunk);
    return chunk;
}

bool decode(const Chunk& chunk, std::vector<double>& into) {
    if (chunk.count == 0 || chunk.count > chunk_length || chunk.crc32 != crc32Of(chunk.data)) {
        return false;
    }
    const std::size_t before = into.size();
    if (chunk.coding == Coding::raw) {
        if (chunk.data.size() != chunk.count * sizeof(double)) {
            return false;
        }
        into.resize(before + chunk.count);
        std::memcpy(into.data() + before, chunk.data.data(), chunk.data.size());
        return true;
    }
    EvenSpace even{};
    if (chunk.data.size() != sizeof(even)) {
        return false;
    }
    std::memcpy(even.data(), chunk.data.data(), sizeof(even));
    if (!isExact(even, chunk.count)) {
        return false;
    }
    for (std::size_t i = 0; i < chunk.count; ++i) {
        into.push_back(evenAt(even, i));
    }
    return true;
}

std::uint32_t crc32Of(std::string_view bytes) {
    return static_cast<std::uint32_t>(::crc32_z(0, reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size()));
}

} // namespace potwatch::book
