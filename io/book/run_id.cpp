// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/run_id.h"

#include <fmt/format.h>

#include <cstdint>
#include <random>

namespace potwatch::book {

std::string newRunId() {
    std::random_device chance;
    const auto word = [&] { return static_cast<std::uint32_t>(chance()); };
    const std::uint32_t b = (word() & 0xFFFF0FFFU) | 0x00004000U; // the version
    const std::uint32_t c = (word() & 0x3FFFFFFFU) | 0x80000000U; // the variant
    return fmt::format("{:08x}-{:04x}-{:04x}-{:04x}-{:04x}{:08x}", word(), b >> 16U, b & 0xFFFFU, c >> 16U, c & 0xFFFFU,
                       word());
}

bool isRunId(std::string_view text) {
    if (text.size() != 36) {
        return false;
    }
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        const bool dash = i == 8 || i == 13 || i == 18 || i == 23;
        const bool digit = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
        if (dash ? c != '-' : !digit) {
            return false;
        }
    }
    return true;
}

} // namespace potwatch::book
