// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/wording.h"

#include <fmt/format.h>

namespace potwatch::batch {

std::string printable(std::string_view text, std::size_t longest) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        const unsigned next = i + 1 < text.size() ? static_cast<unsigned char>(text[i + 1]) : 0U;
        if (i >= longest && (byte & 0xC0U) != 0x80U) { // never cut within a UTF-8 character
            return out + "...";
        }
        if (byte < 0x20 || byte == 0x7F) {
            out += fmt::format("\\u{:04X}", byte);
        } else if (byte == 0xC2 && next >= 0x80 && next < 0xA0) { // U+0080 to U+009F
            out += fmt::format("\\u{:04X}", next);
            ++i;
        } else {
            out += text[i];
        }
    }
    return out;
}

std::string inQuotes(std::string_view text) {
    constexpr std::size_t longest_quote = 60;
    return fmt::format("\"{}\"", printable(text, longest_quote));
}

std::string oneOf(const std::vector<std::string>& words) {
    std::string out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        out += (i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") + words[i];
    }
    return out;
}

} // namespace potwatch::batch
