// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/file_name.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <cstdint>

namespace potwatch::session {
namespace {

// Letters of other scripts (bytes from 0x80 on) are kept: file systems take them.
bool belongsInFileName(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' || c == '_' ||
           c == '+' || static_cast<unsigned char>(c) >= 0x80U;
}

// File systems take names of 255 bytes; endings, numbers and the names of photos come behind.
constexpr std::size_t most_bytes = 120;

// At most so many bytes, and no part of a letter of UTF-8.
std::string_view beginningOf(std::string_view text, std::size_t most) {
    std::size_t end = std::min(most, text.size());
    while (end > 0 && end < text.size() && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) {
        --end;
    }
    return text.substr(0, end);
}

// Source: FNV-1a, 32 bits (draft-eastlake-fnv).
std::uint32_t numberOf(std::string_view text) {
    std::uint32_t number = 2'166'136'261U;
    for (const char c : text) {
        number = (number ^ static_cast<unsigned char>(c)) * 16'777'619U;
    }
    return number;
}

} // namespace

std::string asFileName(std::string_view run) {
    std::string name;
    for (const char c : run) {
        if (belongsInFileName(c)) {
            name += c;
        } else if (!name.empty() && name.back() != '-') {
            name += '-';
        }
    }
    while (!name.empty() && name.back() == '-') {
        name.pop_back();
    }
    if (name.size() > most_bytes) {
        name = fmt::format("{}-{:08x}", beginningOf(name, most_bytes), numberOf(run));
    }
    return name.empty() ? std::string("run") : name;
}

} // namespace potwatch::session
