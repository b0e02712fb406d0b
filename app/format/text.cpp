// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/text.h"

namespace potwatch::format {
namespace {

constexpr std::string_view replacement = "\ufffd";

bool isContinuation(char c) {
    return (static_cast<unsigned char>(c) & 0xc0U) == 0x80U;
}

struct CodePoint {
    char32_t value = 0;
    std::size_t length = 0; // bytes; 0 = not valid here
};

// Source: RFC 3629, section 3 and 4 (no overlong forms, no surrogates, nothing above U+10FFFF).
CodePoint decode(std::string_view text) {
    const auto first = static_cast<unsigned char>(text.front());
    std::size_t length = 0;
    char32_t value = 0;
    char32_t least = 0;
    if (first < 0x80U) {
        return {.value = first, .length = 1};
    }
    if ((first & 0xe0U) == 0xc0U) {
        length = 2, value = first & 0x1fU, least = 0x80;
    } else if ((first & 0xf0U) == 0xe0U) {
        length = 3, value = first & 0x0fU, least = 0x800;
    } else if ((first & 0xf8U) == 0xf0U) {
        length = 4, value = first & 0x07U, least = 0x10000;
    } else {
        return {};
    }
    if (text.size() < length) {
        return {};
    }
    for (std::size_t i = 1; i < length; ++i) {
        if (!isContinuation(text[i])) {
            return {};
        }
        value = (value << 6U) | (static_cast<unsigned char>(text[i]) & 0x3fU);
    }
    const bool surrogate = value >= 0xd800 && value <= 0xdfff;
    if (value < least || value > 0x10ffff || surrogate) {
        return {};
    }
    return {.value = value, .length = length};
}

bool isSpaceOrControl(char32_t c) {
    // C0, DEL and C1 controls, the line and paragraph separators.
    return c <= 0x20 || (c >= 0x7f && c <= 0x9f) || c == 0x2028 || c == 0x2029;
}

bool isForbiddenInXml(char32_t c) {
    return c == 0xfffe || c == 0xffff;
}

} // namespace

std::string oneLine(std::string_view text) {
    std::string line;
    line.reserve(text.size());
    bool space_due = false;
    while (!text.empty()) {
        const CodePoint point = decode(text);
        if (point.length > 0 && isSpaceOrControl(point.value)) {
            space_due = true;
            text.remove_prefix(point.length);
            continue;
        }
        if (space_due && !line.empty()) {
            line += ' ';
        }
        space_due = false;
        if (point.length == 0 || isForbiddenInXml(point.value)) {
            line += replacement;
        } else {
            line += text.substr(0, point.length);
        }
        text.remove_prefix(point.length == 0 ? 1 : point.length);
    }
    return line;
}

std::string shortened(std::string_view text, std::size_t most_characters) {
    std::size_t characters = 0;
    std::size_t keep = 0; // bytes of the first most_characters - 1 characters
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (isContinuation(text[i])) {
            continue;
        }
        if (characters + 1 == most_characters) {
            keep = i;
        }
        ++characters;
    }
    if (characters <= most_characters) {
        return std::string(text);
    }
    std::string cut(text.substr(0, keep));
    while (!cut.empty() && cut.back() == ' ') {
        cut.pop_back();
    }
    return cut + "\u2026";
}

std::string escaped(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (const char c : text) {
        switch (c) {
        case '&':
            out += "&amp;";
            break;
        case '<':
            out += "&lt;";
            break;
        case '>':
            out += "&gt;";
            break;
        case '"':
            out += "&quot;";
            break;
        case '\'':
            out += "&#39;";
            break;
        default:
            out += c;
        }
    }
    return out;
}

std::string fileNameOf(std::string_view path) {
    const std::size_t slash = path.find_last_of('/');
    return std::string(slash == std::string_view::npos ? path : path.substr(slash + 1));
}

} // namespace potwatch::format
