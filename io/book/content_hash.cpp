// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/content_hash.h"

#include <fmt/format.h>

// In the header only: no shared library is needed.
#define XXH_INLINE_ALL
#include <cstdint>
#include <new>
#include <xxhash.h>

namespace potwatch::book {
namespace {

struct FreeState {
    void operator()(XXH3_state_t* state) const { XXH3_freeState(state); }
};

std::string hexadecimal(XXH128_hash_t hash) {
    return fmt::format("{:016x}{:016x}", static_cast<std::uint64_t>(hash.high64),
                       static_cast<std::uint64_t>(hash.low64));
}

} // namespace

struct ContentHash::Column {
    std::unique_ptr<XXH3_state_t, FreeState> state;
};

ContentHash::ContentHash(std::size_t columns)
    : columns_(columns) {
    for (Column& column : columns_) {
        column.state.reset(XXH3_createState());
        if (column.state == nullptr) {
            throw std::bad_alloc();
        }
        XXH3_128bits_reset(column.state.get());
    }
}

ContentHash::~ContentHash() = default;
ContentHash::ContentHash(ContentHash&&) noexcept = default;
ContentHash& ContentHash::operator=(ContentHash&&) noexcept = default;

void ContentHash::add(std::size_t column, std::span<const double> values) {
    XXH3_128bits_update(columns_.at(column).state.get(), values.data(), values.size_bytes());
}

std::string ContentHash::text(std::span<const Title> titles) const {
    std::string summary = "potwatch run 1\n";
    for (std::size_t i = 0; i < columns_.size(); ++i) {
        const Title title = i == 0 ? Title{.name = "time", .unit = "s"} : titles[i - 1];
        summary += fmt::format("{} {}{} {}{}\n", title.name.size(), title.name, title.unit.size(), title.unit,
                               hexadecimal(XXH3_128bits_digest(columns_[i].state.get())));
    }
    return hashOfText(summary);
}

std::string hashOfText(std::string_view text) {
    return hexadecimal(XXH3_128bits(text.data(), text.size()));
}

} // namespace potwatch::book
