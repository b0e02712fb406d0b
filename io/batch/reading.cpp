// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/reading.h"

#include "io/batch/nearest.h"
#include "io/batch/wording.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>
#include <utility>

namespace potwatch::batch {

namespace {

constexpr std::size_t most_faults = 100;

std::string shown(const Item& item) {
    struct Words {
        std::string operator()(bool flag) const { return flag ? "true" : "false"; }
        std::string operator()(std::int64_t integer) const { return fmt::format("a number ({})", integer); }
        std::string operator()(double number) const { return fmt::format("a number ({})", number); }
        std::string operator()(const std::string& text) const { return fmt::format("a text ({})", inQuotes(text)); }
        std::string operator()(const WallTime&) const { return "a date with time"; }
        std::string operator()(const HalfTime&) const { return "a date or a time alone"; }
        std::string operator()(const List&) const { return "a list"; }
        std::string operator()(const Table&) const { return "a table"; }
    };
    return std::visit(Words{}, item.value);
}

std::string headerOf(const KnownKey& known) {
    return headerOf(known.table, known.table_shape);
}

// How the name is written where it belongs: "resin_g belongs to [charge]", or the header of a table.
std::string whereItBelongs(const std::vector<KnownKey>& homes) {
    std::vector<std::string> headers;
    for (const KnownKey& home : homes) {
        const std::string path = home.table.empty() ? home.key : home.table + "." + home.key;
        headers.push_back(home.shape == Shape::value ? headerOf(home) : headerOf(path, home.shape));
    }
    return homes.front().shape == Shape::value ? fmt::format("{} belongs to {}", homes.front().key, oneOf(headers))
                                               : fmt::format("write {}", oneOf(headers));
}

} // namespace

Where Where::inside(const std::string& key, Shape key_shape) const {
    return {.table = table.empty() ? key : table + "." + key, .shape = key_shape, .place = placeOf(key)};
}

std::string Where::placeOf(const std::string& key) const {
    return place.empty() ? key : place + "." + key;
}

Reading::Reading(std::string file, std::vector<KnownKey> known)
    : file_(std::move(file))
    , known_(std::move(known)) {}

void Reading::fault(FaultKind kind, Position position, std::string what, std::string remedy) {
    faults_.push_back({.kind = kind,
                       .what = std::move(what),
                       .where = {.file = file_, .line = position.line, .column = position.column},
                       .remedy = std::move(remedy)});
}

void Reading::unknownKey(const Member& member, const Where& where) {
    const bool is_table = std::holds_alternative<Table>(member.item.value);
    fault(FaultKind::input, member.position,
          fmt::format("unknown {} {} in {}", is_table ? "table" : "key", inQuotes(member.key),
                      headerOf(where.table, where.shape)),
          suggestion(member, where));
}

void Reading::wrongType(const std::string& key, const Where& where, const Item& item, std::string_view expected,
                        std::string remedy) {
    fault(FaultKind::input, item.position,
          fmt::format("{} is {}, {} is expected", fullName(key, where), shown(item), expected), std::move(remedy));
}

void Reading::missingKey(const std::string& key, const Where& where, Position table) {
    fault(FaultKind::input, table, fmt::format("{} has no {}", headerOf(where.table, where.shape), key),
          fmt::format("state {}, or take this {} out", key, headerOf(where.table, where.shape)));
}

void Reading::remember(const std::string& place, Position position) {
    positions_[place] = position;
}

std::optional<Position> Reading::positionOf(const std::string& place) const {
    const auto found = positions_.find(place);
    return found == positions_.end() ? std::nullopt : std::optional(found->second);
}

std::vector<Fault> Reading::faults() const {
    std::vector<Fault> sorted = faults_;
    std::stable_sort(sorted.begin(), sorted.end(), [](const Fault& a, const Fault& b) {
        return std::tie(a.where.line, a.where.column) < std::tie(b.where.line, b.where.column);
    });
    if (sorted.size() > most_faults) {
        const std::size_t others = sorted.size() - most_faults;
        sorted.resize(most_faults);
        sorted.push_back({.kind = FaultKind::input,
                          .what = fmt::format("{} more faults of this kind of file", others),
                          .where = {.file = file_},
                          .remedy = "is it a batch file at all?"});
    }
    return sorted;
}

std::string Reading::suggestion(const Member& member, const Where& where) const {
    std::vector<std::string> here;
    std::vector<KnownKey> elsewhere;
    std::vector<std::string> names_elsewhere;
    std::vector<KnownKey> homes;
    for (const KnownKey& known : known_) {
        if (known.table == where.table) {
            here.push_back(known.key);
        } else {
            elsewhere.push_back(known);
            names_elsewhere.push_back(known.key);
            if (known.key == member.key) {
                homes.push_back(known);
            }
        }
    }
    if (!homes.empty()) {
        return whereItBelongs(homes);
    }
    if (const std::optional<std::size_t> i = nearest(member.key, here)) {
        return fmt::format("did you mean {}?", here[*i]);
    }
    if (const std::optional<std::size_t> i = nearest(member.key, names_elsewhere)) {
        return fmt::format("did you mean {} of {}?", elsewhere[*i].key, headerOf(elsewhere[*i]));
    }
    return fmt::format("{} takes {}", headerOf(where.table, where.shape), fmt::join(here, ", "));
}

std::string headerOf(const std::string& table, Shape shape) {
    if (table.empty()) {
        return "the top of the file";
    }
    return fmt::format(fmt::runtime(shape == Shape::list ? "[[{}]]" : "[{}]"), table);
}

std::string fullName(const std::string& key, const Where& where) {
    return where.table.empty() ? key : fmt::format("{} in {}", key, headerOf(where.table, where.shape));
}

} // namespace potwatch::batch
