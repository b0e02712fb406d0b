// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/baud.h"

#include <algorithm>
#include <cstddef>

namespace potwatch::serial {
namespace {

bool isText(char c) {
    const auto byte = static_cast<unsigned char>(c);
    constexpr unsigned char degree = 0xB0; // of Latin-1; of UTF-8 after 0xC2
    return (byte >= 0x20 && byte < 0x7F) || byte == '\t' || byte == '\r' || byte == '\n' || byte == degree ||
           byte == 0xC2;
}

} // namespace

Listened judgeSpeed(std::string_view bytes) {
    constexpr std::size_t enough = 64;
    constexpr double most_noise = 0.25;
    const std::size_t first = bytes.find_first_of("\r\n");
    const std::size_t last = bytes.find_last_of("\r\n");
    if (first != std::string_view::npos) {
        const std::string_view lines = bytes.substr(first, last - first);
        if (lines.find_first_of("0123456789") != std::string_view::npos &&
            std::all_of(lines.begin(), lines.end(), isText)) {
            return Listened::text;
        }
    }
    const auto texts = static_cast<double>(std::count_if(bytes.begin(), bytes.end(), isText));
    const bool is_noise = bytes.size() >= enough && texts < (1.0 - most_noise) * static_cast<double>(bytes.size());
    return is_noise ? Listened::noise : Listened::too_little;
}

} // namespace potwatch::serial
