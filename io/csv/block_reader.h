// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/byte_source.h"
#include "io/csv/encoding.h"
#include "io/csv/layout.h"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace potwatch::csv {

// Bytes read at a time. Small enough for a block and its rows to stay in the cache, large enough that starting one
// costs nothing.
inline constexpr std::size_t block_bytes = std::size_t{1} << 20;

// A line longer than this is no row of a table.
inline constexpr std::size_t max_line_bytes = std::size_t{1} << 20;

// Whole records of the file, in the encoding that the stages after it understand. The buffer is used again and again.
struct Block {
    std::unique_ptr<char[]> buffer;
    std::size_t capacity = 0;
    std::size_t size = 0;   // always ends with \n
    std::size_t start = 0;  // lines above the table come first in the first block, and are passed over
    std::size_t number = 0; // in the order of the file

    [[nodiscard]] std::string_view text() const { return {buffer.get() + start, size - start}; }
};

// Cuts a source into blocks at the ends of records.
// Threads: one at a time.
class BlockReader {
public:
    BlockReader(ByteSource& source, const Layout& layout, std::string file);

    // Fills the block with the next records; false at the end of the file.
    // Errors: storage (as ByteSource::read); input (a line of more than max_line_bytes; its number is counted from 0 in
    // the block).
    [[nodiscard]] Result<bool> next(Block& block);

    // Bytes of the source read so far.
    [[nodiscard]] std::uint64_t bytesRead() const { return bytes_read_; }

private:
    [[nodiscard]] Result<bool> fill(Block& block);
    [[nodiscard]] Result<std::size_t> readDecoded(Block& block);
    void reserve(Block& block, std::size_t capacity) const;
    [[nodiscard]] std::size_t recordsEnd(std::string_view text) const;

    ByteSource& source_;
    Encoding encoding_;
    char delimiter_;
    bool returns_end_lines_;
    long lines_to_skip_;
    std::string file_;
    std::optional<Utf16Decoder> decoder_;
    std::string undecoded_;
    std::string decoded_;
    std::string carry_; // what lies behind the last whole record
    bool started_ = false;
    bool at_end_ = false;
    std::uint64_t bytes_read_ = 0;
};

} // namespace potwatch::csv
