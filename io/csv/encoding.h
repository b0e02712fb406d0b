// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace potwatch::csv {

// First stage: in what characters the bytes are written. Everything after it sees UTF-8 (or Latin-1 bytes, whose ASCII
// part is the same).
enum class Encoding { utf8, utf8Bom, utf16le, utf16be, latin1 };

[[nodiscard]] std::string_view nameOf(Encoding encoding);

// The encoding of a file that begins with `head`: by its byte order mark, else by the zero bytes that UTF-16 has in
// every second place, else UTF-8 where all of `head` is valid UTF-8, else Latin-1. Assumes: `head` may end within a
// character.
[[nodiscard]] Encoding detectEncoding(std::string_view head);

// Bytes of the byte order mark at the start of the file.
[[nodiscard]] std::size_t bomLength(Encoding encoding, std::string_view head);

// Turns UTF-16 into UTF-8 piece by piece; a character may be cut by the end of a piece. What is no character becomes
// U+FFFD.
class Utf16Decoder {
public:
    explicit Utf16Decoder(bool big_endian)
        : big_endian_(big_endian) {}

    // Appends the text of `bytes` to `to`.
    void decode(std::string_view bytes, std::string& to);

private:
    bool big_endian_;
    bool has_half_ = false; // first byte of a unit whose second is yet to come
    unsigned char half_ = 0;
    char32_t high_surrogate_ = 0;
};

// Text for names and messages: Latin-1 as UTF-8, and in UTF-8 every byte that is no character as U+FFFD.
[[nodiscard]] std::string toUtf8(std::string_view text, Encoding encoding);

// The first characters of a text, fit to stand in a message: no line ends or other control characters.
[[nodiscard]] std::string excerpt(std::string_view text, Encoding encoding);

// True where a text is more control bytes than a table can hold.
[[nodiscard]] bool looksBinary(std::string_view head);

} // namespace potwatch::csv
