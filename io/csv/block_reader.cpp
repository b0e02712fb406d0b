// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/block_reader.h"

#include "io/csv/record.h"

#include <algorithm>
#include <cstring>

namespace potwatch::csv {

BlockReader::BlockReader(ByteSource& source, const Layout& layout, std::string file)
    : source_(source)
    , encoding_(layout.encoding)
    , delimiter_(layout.dialect.delimiter)
    , returns_end_lines_(layout.returns_end_lines)
    , lines_to_skip_(layout.lines_above)
    , file_(std::move(file)) {
    if (encoding_ == Encoding::utf16le || encoding_ == Encoding::utf16be) {
        decoder_.emplace(encoding_ == Encoding::utf16be);
    }
}

void BlockReader::reserve(Block& block, std::size_t capacity) const {
    if (block.capacity >= capacity) {
        return;
    }
    auto larger = std::make_unique_for_overwrite<char[]>(capacity);
    if (block.size > 0) {
        std::memcpy(larger.get(), block.buffer.get(), block.size);
    }
    block.buffer = std::move(larger);
    block.capacity = capacity;
}

// Appends what one read gives; 0 at the end of the file.
Result<std::size_t> BlockReader::readDecoded(Block& block) {
    const std::size_t before = block.size;
    if (!decoder_) {
        Result<std::size_t> got = source_.read(block.buffer.get() + block.size, block.capacity - block.size - 1);
        if (!got) {
            return got;
        }
        bytes_read_ += *got;
        block.size += *got;
    } else {
        undecoded_.resize(block_bytes / 4);
        Result<std::size_t> got = source_.read(undecoded_.data(), undecoded_.size());
        if (!got) {
            return got;
        }
        bytes_read_ += *got;
        decoded_.clear();
        decoder_->decode({undecoded_.data(), *got}, decoded_);
        reserve(block, block.size + decoded_.size() + 1);
        std::memcpy(block.buffer.get() + block.size, decoded_.data(), decoded_.size());
        block.size += decoded_.size();
        if (*got > 0 && decoded_.empty()) {
            return readDecoded(block); // half a unit: more is needed
        }
    }
    if (!started_ && block.size > before) {
        started_ = true;
        const std::string_view head{block.buffer.get(), block.size};
        // Decoded text carries the mark as a character of three bytes.
        const std::size_t mark = head.starts_with("\xEF\xBB\xBF") ? 3 : 0;
        std::memmove(block.buffer.get(), block.buffer.get() + mark, block.size - mark);
        block.size -= mark;
        return block.size - before + mark;
    }
    return block.size - before;
}

// Reads until the block is full or the file ends; true while there is something in it.
Result<bool> BlockReader::fill(Block& block) {
    reserve(block, std::max(block_bytes, carry_.size() + block_bytes / 2) + 1);
    std::memcpy(block.buffer.get(), carry_.data(), carry_.size());
    block.size = carry_.size();
    block.start = 0;
    carry_.clear();
    while (!at_end_ && block.size < block_bytes) {
        const std::size_t before = block.size;
        const Result<std::size_t> got = readDecoded(block);
        if (!got) {
            return tl::unexpected(got.error());
        }
        at_end_ = *got == 0;
        if (returns_end_lines_) {
            std::replace(block.buffer.get() + std::min(before, block.size), block.buffer.get() + block.size, '\r',
                         '\n');
        }
    }
    if (at_end_ && block.size > 0 && block.buffer[block.size - 1] != '\n') {
        block.buffer[block.size++] = '\n';
    }
    return block.size > 0;
}

std::size_t BlockReader::recordsEnd(std::string_view text) const {
    if (at_end_) {
        return text.size();
    }
    if (text.find('"') == std::string_view::npos) {
        return text.rfind('\n') + 1;
    }
    // A cell in quotes may hold line ends: walk, and leave to the next block what may go on there.
    std::string_view rest = text.substr(0, text.rfind('\n') + 1);
    std::size_t end = 0;
    while (!rest.empty()) {
        const bool near_end = rest.size() <= max_quoted_bytes;
        const Record record = takeRecord(rest, delimiter_);
        if (near_end && record.lines == 1 && endsInQuotes(record.text, delimiter_)) {
            break;
        }
        end = text.rfind('\n') + 1 - rest.size();
    }
    return end;
}

Result<bool> BlockReader::next(Block& block) {
    const Result<bool> filled = fill(block);
    if (!filled || !*filled) {
        return filled;
    }
    const std::size_t end = recordsEnd({block.buffer.get(), block.size});
    if (end == 0 || (block.size - end > max_line_bytes)) {
        const std::string_view held{block.buffer.get(), block.size};
        const long line = std::count(held.begin(), held.begin() + static_cast<std::ptrdiff_t>(end), '\n');
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "a line of more than 1 MB: this is no table with one row a line",
                                    .where = {.file = file_, .line = line, .column = {}, .channel = {}},
                                    .remedy = "export it as CSV with one row a line"});
    }
    carry_.assign(block.buffer.get() + end, block.size - end);
    block.size = end;
    const std::string_view text{block.buffer.get(), end};
    while (lines_to_skip_ > 0 && block.start < block.size) {
        block.start = text.find('\n', block.start) + 1;
        --lines_to_skip_;
    }
    return true;
}

} // namespace potwatch::csv
