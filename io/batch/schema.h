// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/batch/document.h"
#include "io/batch/reading.h"
#include "io/batch/value.h"

#include <fmt/format.h>

#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <variant>
#include <vector>

// The words in which a TOML format is described: key, section and list, each tied to a member of the struct that it
// fills. Reading, checking, the nearest right key and writing all follow from one such description.

namespace potwatch::batch {

// What a number may be.
struct Limits {
    double low = -std::numeric_limits<double>::infinity();
    double high = std::numeric_limits<double>::infinity();
    bool low_is_allowed = true;
    std::string_view in_words;

    [[nodiscard]] bool allow(double value) const {
        return (low_is_allowed ? value >= low : value > low) && value <= high;
    }
};

inline constexpr Limits any_number{};
inline constexpr Limits not_negative{.low = 0.0, .in_words = "0 or more"};
inline constexpr Limits positive{.low = 0.0, .low_is_allowed = false, .in_words = "more than 0"};
inline constexpr Limits fraction{.low = 0.0, .high = 1.0, .in_words = "from 0 to 1"};
inline constexpr Limits positive_fraction{
    .low = 0.0, .high = 1.0, .low_is_allowed = false, .in_words = "more than 0 and at most 1"};
inline constexpr Limits percent{.low = 0.0, .high = 100.0, .in_words = "from 0 to 100"};
inline constexpr Limits temperature{.low = -273.15, .in_words = "-273.15 or more"};

// One name of a table that fills an S.
template<class S>
struct Entry {
    // False: a fault was found, there is nothing to go on with.
    using Read = std::function<bool(const Item&, const Where&, S&, Reading&)>;
    // Appends TOML text; nothing where nothing is stated.
    using Write = std::function<void(const S&, const Where&, std::string&)>;
    // Appends the names inside a table.
    using List = std::function<void(const Where&, std::vector<KnownKey>&)>;

    std::string name;
    Shape shape = Shape::value;
    bool required = false;
    Read read = nullptr;
    Write write = nullptr;
    List list = nullptr;
};

template<class S>
using Schema = std::vector<Entry<S>>;

// All names of a format.
template<class S>
void listKeys(const Schema<S>& schema, const Where& where, std::vector<KnownKey>& keys) {
    for (const Entry<S>& entry : schema) {
        keys.push_back({.table = where.table, .table_shape = where.shape, .key = entry.name, .shape = entry.shape});
        if (entry.list) {
            entry.list(where.inside(entry.name, entry.shape), keys);
        }
    }
}

// Fills `into` from a table: every key that the schema does not know, and every required one that is missing, is a
// fault.
template<class S>
void readTable(const Table& table, Position position, const Schema<S>& schema, const Where& where, S& into,
               Reading& reading) {
    for (const Member& member : table.members) {
        bool known = false;
        for (const Entry<S>& entry : schema) {
            if (entry.name != member.key) {
                continue;
            }
            known = true;
            reading.remember(where.placeOf(entry.name), member.item.position);
            std::string blank;
            if (entry.read(member.item, where, into, reading) && entry.required) {
                entry.write(into, where, blank);
                if (blank.empty()) {
                    reading.fault(FaultKind::input, member.item.position, fullName(entry.name, where) + " is empty",
                                  "state it, or take this " + headerOf(where.table, where.shape) + " out");
                }
            }
        }
        if (!known) {
            reading.unknownKey(member, where);
        }
    }
    for (const Entry<S>& entry : schema) {
        if (entry.required && !reading.positionOf(where.placeOf(entry.name))) {
            reading.missingKey(entry.name, where, position);
        }
    }
}

// The TOML text of what is stated: the keys of the table, and then its inner tables under their headers.
template<class S>
void writeTable(const S& from, const Schema<S>& schema, const Where& where, std::string& out) {
    for (const bool inner : {false, true}) {
        for (const Entry<S>& entry : schema) {
            if ((entry.shape != Shape::value) == inner) {
                entry.write(from, where, out);
            }
        }
    }
}

// The number in a member, where it is of a type that has limits.
template<class M>
[[nodiscard]] std::optional<double> numberOf(const M& member) {
    if constexpr (std::is_convertible_v<M, std::optional<double>> && !std::is_same_v<M, bool>) {
        return member;
    } else {
        return std::nullopt;
    }
}

// key = value
template<class S, class M>
[[nodiscard]] Entry<S> key(const std::string& name, M S::*member, const Limits& limits = any_number) {
    Entry<S> entry{.name = name};
    entry.read = [name, member, limits](const Item& item, const Where& where, S& into, Reading& reading) {
        if (!Value<M>::read(item, name, where, into.*member, reading)) {
            return false;
        }
        if (const std::optional<double> number = numberOf(into.*member); number && !limits.allow(*number)) {
            reading.fault(FaultKind::range, item.position, fmt::format("{} is {}", fullName(name, where), *number),
                          fmt::format("it has to be {}; leave it out where it is not known", limits.in_words));
            return false;
        }
        return true;
    };
    entry.write = [name, member](const S& from, const Where&, std::string& out) {
        if (const std::string literal = Value<M>::literal(from.*member); !literal.empty()) {
            out += fmt::format("{} = {}\n", name, literal);
        }
    };
    return entry;
}

// A key without which its table says nothing; an empty text counts as missing.
template<class S>
[[nodiscard]] Entry<S> required(Entry<S> entry) {
    entry.required = true;
    return entry;
}

// [name], whose keys stand in a member of their own, or in S itself (`member` gives it for reading and for writing).
// `stated` says whether there is anything to write of S.
template<class S, class T>
[[nodiscard]] Entry<S> section(const std::string& name, const Schema<T>& schema, const std::function<T&(S&)>& member,
                               const std::function<const T*(const S&)>& stated) {
    Entry<S> entry{.name = name, .shape = Shape::table};
    entry.read = [name, schema, member](const Item& item, const Where& where, S& into, Reading& reading) {
        const auto* const table = std::get_if<Table>(&item.value);
        if (table == nullptr) {
            const Where inner = where.inside(name, Shape::table);
            reading.wrongType(name, where, item, "a table",
                              fmt::format("write it once, with the header {}", headerOf(inner.table, inner.shape)));
            return false;
        }
        readTable(*table, item.position, schema, where.inside(name, Shape::table), member(into), reading);
        return true;
    };
    entry.write = [name, schema, stated](const S& from, const Where& where, std::string& out) {
        const Where inner = where.inside(name, Shape::table);
        std::string lines;
        if (const T* const value = stated(from)) {
            writeTable(*value, schema, inner, lines);
        }
        if (!lines.empty()) {
            out += fmt::format("\n{}\n{}", headerOf(inner.table, inner.shape), lines);
        }
    };
    entry.list = [schema](const Where& where, std::vector<KnownKey>& keys) { listKeys(schema, where, keys); };
    return entry;
}

template<class S, class T>
[[nodiscard]] Entry<S> section(const std::string& name, T S::*member, const Schema<T>& schema) {
    return section<S, T>(
        name, schema, [member](S& into) -> T& { return into.*member; },
        [member](const S& from) { return &(from.*member); });
}

template<class S, class T>
[[nodiscard]] Entry<S> section(const std::string& name, std::optional<T> S::*member, const Schema<T>& schema) {
    return section<S, T>(
        name, schema, [member](S& into) -> T& { return (into.*member).emplace(); },
        [member](const S& from) { return from.*member ? &*(from.*member) : nullptr; });
}

template<class S>
[[nodiscard]] Entry<S> section(const std::string& name, const Schema<S>& schema) {
    return section<S, S>(
        name, schema, [](S& into) -> S& { return into; }, [](const S& from) { return &from; });
}

// [[name]], one for each element of a member.
template<class S, class T>
[[nodiscard]] Entry<S> list(const std::string& name, std::vector<T> S::*member, const Schema<T>& schema) {
    Entry<S> entry{.name = name, .shape = Shape::list};
    entry.read = [name, member, schema](const Item& item, const Where& where, S& into, Reading& reading) {
        const Where inner = where.inside(name, Shape::list);
        const auto* const elements = std::get_if<List>(&item.value);
        if (elements == nullptr) {
            reading.wrongType(name, where, item, "a list of tables",
                              fmt::format("write each with the header {}", headerOf(inner.table, inner.shape)));
            return false;
        }
        for (std::size_t i = 0; i < elements->items.size(); ++i) {
            const Item& element = elements->items[i];
            if (const auto* const table = std::get_if<Table>(&element.value)) {
                Where of_element = inner;
                of_element.place += "." + std::to_string(i + 1);
                readTable(*table, element.position, schema, of_element, (into.*member).emplace_back(), reading);
            } else {
                reading.wrongType(name, where, element, "a table",
                                  fmt::format("write each with the header {}", headerOf(inner.table, inner.shape)));
            }
        }
        return true;
    };
    entry.write = [name, member, schema](const S& from, const Where& where, std::string& out) {
        const Where inner = where.inside(name, Shape::list);
        for (const T& element : from.*member) {
            out += fmt::format("\n{}\n", headerOf(inner.table, inner.shape));
            writeTable(element, schema, inner, out);
        }
    };
    entry.list = [schema](const Where& where, std::vector<KnownKey>& keys) { listKeys(schema, where, keys); };
    return entry;
}

} // namespace potwatch::batch
