// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "io/batch/document.h"

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::batch {

// How a part of the format is written: key = value, [table], [[list of tables]].
enum class Shape { value, table, list };

// One name of the format and the table that it belongs to ("dose", "dose.step"; empty at the top of the file).
struct KnownKey {
    std::string table;
    Shape table_shape = Shape::table;
    std::string key;
    Shape shape = Shape::value;
};

// The table that is being read.
struct Where {
    std::string table;          // "dose.step"
    Shape shape = Shape::table; // list: it is one of several
    std::string place;          // "dose.step.2", a list's elements counted from 1

    [[nodiscard]] Where inside(const std::string& key, Shape key_shape) const;
    [[nodiscard]] std::string placeOf(const std::string& key) const;
};

// What is found while a document is read: its faults, and where each key stands.
class Reading {
public:
    Reading(std::string file, std::vector<KnownKey> known);

    void fault(FaultKind kind, Position position, std::string what, std::string remedy);
    void unknownKey(const Member& member, const Where& where);
    void wrongType(const std::string& key, const Where& where, const Item& item, std::string_view expected,
                   std::string remedy);
    void missingKey(const std::string& key, const Where& where, Position table);

    void remember(const std::string& place, Position position);
    // Where a key stands, by its place ("cure.gel_degree", "probe.2.channel"); empty where the file does not state it.
    [[nodiscard]] std::optional<Position> positionOf(const std::string& place) const;

    // All faults in the order of the file; of very many the first hundred, and one that counts the others.
    [[nodiscard]] std::vector<Fault> faults() const;

private:
    [[nodiscard]] std::string suggestion(const Member& member, const Where& where) const;

    std::string file_;
    std::vector<KnownKey> known_;
    std::vector<Fault> faults_;
    std::map<std::string, Position> positions_;
};

// "[dose]", "[[dose.step]]", "the top of the file".
[[nodiscard]] std::string headerOf(const std::string& table, Shape shape);

// "resin_g in [charge]".
[[nodiscard]] std::string fullName(const std::string& key, const Where& where);

} // namespace potwatch::batch
