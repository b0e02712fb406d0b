// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/log_sum.h"

#include <array>

namespace potwatch::book {
namespace {

// The number that gives 1 with an odd one, modulo 2^32: each step doubles the bits that are right.
std::uint32_t inverse(std::uint32_t odd) {
    std::uint32_t result = odd;
    for (int step = 0; step < 4; ++step) {
        result *= 2U - odd * result;
    }
    return result;
}

int bytesThatDiffer(std::uint32_t a, std::uint32_t b) {
    int bytes = 0;
    for (unsigned shift = 0; shift < 32; shift += 8) {
        bytes += (((a ^ b) >> shift) & 0xFFU) != 0 ? 1 : 0;
    }
    return bytes;
}

// What a difference of 1 in a word becomes in the sums, and how the pairs behind it spread that.
struct Effect {
    std::uint32_t on_s0;
    std::uint32_t on_s1;

    void passPair() {
        on_s0 += on_s1;
        on_s1 += on_s0;
    }
    // The difference in the word that makes these differences in the sums. One of the two is odd always.
    [[nodiscard]] std::optional<std::uint32_t> explain(std::uint32_t d0, std::uint32_t d1) const {
        const std::uint32_t delta = (on_s0 & 1U) != 0 ? d0 * inverse(on_s0) : d1 * inverse(on_s1);
        return on_s0 * delta == d0 && on_s1 * delta == d1 ? std::optional(delta) : std::nullopt;
    }
};

} // namespace

std::uint32_t wordAt(std::string_view bytes, std::size_t at, WordOrder order) {
    std::uint32_t word = 0;
    for (std::size_t i = 0; i < 4; ++i) {
        const std::size_t from = order == WordOrder::most_first ? at + i : at + 3 - i;
        word = (word << 8U) | static_cast<unsigned char>(bytes[from]);
    }
    return word;
}

void putWord(char* to, std::uint32_t word, WordOrder order) {
    for (std::size_t i = 0; i < 4; ++i) {
        to[order == WordOrder::most_first ? 3 - i : i] = static_cast<char>(word & 0xFFU);
        word >>= 8U;
    }
}

bool differInOneByte(LogSum a, LogSum b) {
    return bytesThatDiffer(a.s0, b.s0) + bytesThatDiffer(a.s1, b.s1) == 1;
}

LogSum sumOf(LogSum before, std::string_view bytes, WordOrder order) {
    LogSum sum = before;
    for (std::size_t at = 0; at + 8 <= bytes.size(); at += 8) {
        sum.s0 += wordAt(bytes, at, order) + sum.s1;
        sum.s1 += wordAt(bytes, at + 4, order) + sum.s0;
    }
    return sum;
}

std::optional<WrongWord> wrongWord(std::string_view bytes, LogSum found, LogSum stated, WordOrder order) {
    const std::uint32_t d0 = stated.s0 - found.s0;
    const std::uint32_t d1 = stated.s1 - found.s1;
    std::array<Effect, 2> effects{{{1, 1}, {0, 1}}}; // of the first and the second word of the last pair
    std::optional<WrongWord> wrong;
    for (std::size_t end = bytes.size(); end >= 8; end -= 8) {
        for (std::size_t i = 0; i < effects.size(); ++i) {
            const std::size_t at = end - 8 + 4 * i;
            const std::uint32_t is = wordAt(bytes, at, order);
            const std::optional<std::uint32_t> delta = effects[i].explain(d0, d1);
            if (delta && bytesThatDiffer(is, is + *delta) == 1) {
                if (wrong) {
                    return std::nullopt; // two places explain it
                }
                wrong = WrongWord{.at = at, .was = is + *delta};
            }
            effects[i].passPair();
        }
    }
    return wrong;
}

} // namespace potwatch::book
