// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/encoding.h"

#include <algorithm>
#include <array>

namespace potwatch::csv {
namespace {

constexpr char32_t replacement = 0xFFFD;

void appendUtf8(char32_t c, std::string& to) {
    const auto byte = [&to](char32_t value) { to.push_back(static_cast<char>(value)); };
    if (c < 0x80) {
        byte(c);
    } else if (c < 0x800) {
        byte(0xC0 | (c >> 6));
        byte(0x80 | (c & 0x3F));
    } else if (c < 0x10000) {
        byte(0xE0 | (c >> 12));
        byte(0x80 | ((c >> 6) & 0x3F));
        byte(0x80 | (c & 0x3F));
    } else {
        byte(0xF0 | (c >> 18));
        byte(0x80 | ((c >> 12) & 0x3F));
        byte(0x80 | ((c >> 6) & 0x3F));
        byte(0x80 | (c & 0x3F));
    }
}

struct Utf8Step {
    std::size_t length = 0; // of the valid character; 0 where there is none
    bool cut = false;       // the text ends within what may be a character
};

// Source: RFC 3629, section 4 (table of well-formed sequences).
Utf8Step utf8Step(std::string_view text, std::size_t at) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned first = byte(at);
    if (first < 0x80) {
        return {.length = 1};
    }
    std::size_t length = 0;
    unsigned low = 0x80;
    unsigned high = 0xBF;
    if (first >= 0xC2 && first <= 0xDF) {
        length = 2;
    } else if (first >= 0xE0 && first <= 0xEF) {
        length = 3;
        low = first == 0xE0 ? 0xA0 : 0x80;
        high = first == 0xED ? 0x9F : 0xBF;
    } else if (first >= 0xF0 && first <= 0xF4) {
        length = 4;
        low = first == 0xF0 ? 0x90 : 0x80;
        high = first == 0xF4 ? 0x8F : 0xBF;
    } else {
        return {};
    }
    for (std::size_t i = 1; i < length; ++i) {
        if (at + i >= text.size()) {
            return {.length = 0, .cut = true};
        }
        const unsigned next = byte(at + i);
        if (next < low || next > high) {
            return {};
        }
        low = 0x80;
        high = 0xBF;
    }
    return {.length = length};
}

bool isValidUtf8(std::string_view text) {
    for (std::size_t at = 0; at < text.size();) {
        const Utf8Step step = utf8Step(text, at);
        if (step.length == 0) {
            return step.cut;
        }
        at += step.length;
    }
    return true;
}

} // namespace

std::string_view nameOf(Encoding encoding) {
    static constexpr std::array<std::string_view, 5> names{"UTF-8", "UTF-8 with BOM", "UTF-16LE", "UTF-16BE",
                                                           "Latin-1"};
    return names.at(static_cast<std::size_t>(encoding));
}

Encoding detectEncoding(std::string_view head) {
    if (head.starts_with("\xEF\xBB\xBF")) {
        return Encoding::utf8Bom;
    }
    if (head.starts_with("\xFF\xFE")) {
        return Encoding::utf16le;
    }
    if (head.starts_with("\xFE\xFF")) {
        return Encoding::utf16be;
    }
    const std::size_t pairs = std::min<std::size_t>(head.size(), 4096) / 2;
    std::size_t zeros_first = 0;
    std::size_t zeros_second = 0;
    for (std::size_t i = 0; i < pairs; ++i) {
        zeros_first += head[2 * i] == '\0' ? 1 : 0;
        zeros_second += head[2 * i + 1] == '\0' ? 1 : 0;
    }
    // A table is mostly ASCII, so nearly every unit of UTF-16 has one zero byte, always on the same side.
    if (pairs >= 4 && zeros_second * 10 > pairs * 7 && zeros_first * 20 < pairs) {
        return Encoding::utf16le;
    }
    if (pairs >= 4 && zeros_first * 10 > pairs * 7 && zeros_second * 20 < pairs) {
        return Encoding::utf16be;
    }
    return isValidUtf8(head) ? Encoding::utf8 : Encoding::latin1;
}

std::size_t bomLength(Encoding encoding, std::string_view head) {
    switch (encoding) {
    case Encoding::utf8Bom:
        return 3;
    case Encoding::utf16le:
        return head.starts_with("\xFF\xFE") ? 2 : 0;
    case Encoding::utf16be:
        return head.starts_with("\xFE\xFF") ? 2 : 0;
    case Encoding::utf8:
    case Encoding::latin1:
        break;
    }
    return 0;
}

void Utf16Decoder::decode(std::string_view bytes, std::string& to) {
    for (const char c : bytes) {
        const auto byte = static_cast<unsigned char>(c);
        if (!has_half_) {
            half_ = byte;
            has_half_ = true;
            continue;
        }
        has_half_ = false;
        const auto unit = static_cast<char32_t>(big_endian_ ? (half_ << 8) | byte : (byte << 8) | half_);
        const bool is_low = unit >= 0xDC00 && unit <= 0xDFFF;
        if (high_surrogate_ != 0) {
            const char32_t high = high_surrogate_;
            high_surrogate_ = 0;
            if (is_low) {
                appendUtf8(0x10000 + ((high - 0xD800) << 10) + (unit - 0xDC00), to);
                continue;
            }
            appendUtf8(replacement, to);
        }
        if (unit >= 0xD800 && unit <= 0xDBFF) {
            high_surrogate_ = unit;
        } else {
            appendUtf8(is_low ? replacement : unit, to);
        }
    }
}

std::string toUtf8(std::string_view text, Encoding encoding) {
    std::string result;
    result.reserve(text.size());
    for (std::size_t at = 0; at < text.size();) {
        if (encoding == Encoding::latin1) {
            appendUtf8(static_cast<unsigned char>(text[at]), result);
            ++at;
            continue;
        }
        const std::size_t length = utf8Step(text, at).length;
        if (length == 0) {
            appendUtf8(replacement, result);
            ++at;
        } else {
            result.append(text.substr(at, length));
            at += length;
        }
    }
    return result;
}

std::string excerpt(std::string_view text, Encoding encoding) {
    constexpr std::size_t longest = 60;
    std::size_t length = std::min(longest, text.size());
    while (encoding != Encoding::latin1 && length > 0 && length < text.size() &&
           (static_cast<unsigned char>(text[length]) & 0xC0) == 0x80) {
        --length; // not within a character
    }
    std::string shown = toUtf8(text.substr(0, length), encoding);
    for (char& c : shown) {
        c = static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? ' ' : c;
    }
    return text.size() > length ? shown + "..." : shown;
}

bool looksBinary(std::string_view head) {
    // A logger that lost its power may leave some zero bytes in its last line; a picture or a program has them
    // everywhere.
    const auto controls = static_cast<std::size_t>(std::count_if(head.begin(), head.end(), [](char c) {
        const auto byte = static_cast<unsigned char>(c);
        return byte < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f';
    }));
    return controls * 50 > head.size();
}

} // namespace potwatch::csv
