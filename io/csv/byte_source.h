// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace potwatch::csv {

// Where bytes come from: a file, a pipe or memory. Never mapped: a file that shrinks while it is read must not end the
// program.
class ByteSource {
public:
    virtual ~ByteSource() = default;

    // Reads up to `size` bytes; 0 means the end.
    // Errors: storage (the system refused the read).
    [[nodiscard]] virtual Result<std::size_t> read(char* to, std::size_t size) = 0;

    // Goes back to the start; false where that is impossible (a pipe).
    [[nodiscard]] virtual bool rewind() = 0;

    // Bytes in all, where that is known.
    [[nodiscard]] virtual std::optional<std::uint64_t> size() const = 0;
};

// Errors: storage (no such file, a folder, no permission, any other refusal, in words).
[[nodiscard]] Result<std::unique_ptr<ByteSource>> openFile(const std::string& path);

// The bytes must outlive the source.
[[nodiscard]] std::unique_ptr<ByteSource> openBytes(std::string_view bytes);

// A source that gives `head` first, then what is left of `rest`; it rewinds where `rest` does, and where it does not
// once keepAll() has read all of it into memory.
class HeadedSource final : public ByteSource {
public:
    HeadedSource(std::string head, ByteSource& rest)
        : head_(std::move(head))
        , rest_(rest) {}

    [[nodiscard]] std::string_view head() const { return head_; }

    [[nodiscard]] Result<std::size_t> read(char* to, std::size_t size) override;
    [[nodiscard]] bool rewind() override;
    [[nodiscard]] std::optional<std::uint64_t> size() const override { return rest_.size(); }

    // Makes sure that rewind() works.
    // Errors: as read().
    [[nodiscard]] Result<void> keepAll();

private:
    std::string head_;
    std::size_t head_used_ = 0;
    ByteSource& rest_;
    bool all_kept_ = false;
};

} // namespace potwatch::csv
