// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/event.h"
#include "analysis/values/fault.h"

#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace potwatch::batch {

// Where something stands in the file, both counted from 1.
struct Position {
    long line = 1;
    long column = 1;
};

struct Item;
struct Member;

// An array, or an array of tables written [[name]].
struct List {
    std::vector<Item> items;
};

// A table, in the order of the file.
struct Table {
    std::vector<Member> members;
};

// A TOML date or time of day that stands alone and is no moment.
struct HalfTime {};

// A value of a TOML document and where it stands.
struct Item {
    Position position;
    std::variant<bool, std::int64_t, double, std::string, WallTime, HalfTime, List, Table> value;
};

struct Member {
    std::string key;
    Position position; // of the key
    Item item;
};

// The tree of a TOML text (UTF-8, a byte order mark is skipped); `kind` is what the file should be: "batch file".
// Errors: input (not UTF-8, not TOML, nested deeper than 32; the first such place is named with what to do about it).
[[nodiscard]] Result<Table> parse(std::string_view text, const std::string& name, std::string_view kind);

} // namespace potwatch::batch
