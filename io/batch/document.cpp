// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/document.h"

// The library's own switches. Compiled into this file alone: without exceptions, without its writers (ours keep the
// order of the format), and with std::from_chars, which knows no locale.
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#define TOML_ENABLE_FORMATTERS 0
#define TOML_FLOAT_CHARCONV 1
#include <toml++/toml.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <optional>
#include <tuple>

namespace potwatch::batch {

namespace {

Position positionOf(const toml::source_region& source) {
    return {.line = static_cast<long>(source.begin.line), .column = static_cast<long>(source.begin.column)};
}

WallTime momentOf(const toml::date_time& stated) {
    const std::chrono::year_month_day date{std::chrono::year{stated.date.year}, std::chrono::month{stated.date.month},
                                           std::chrono::day{stated.date.day}};
    const std::chrono::microseconds local =
        std::chrono::sys_days{date}.time_since_epoch() + std::chrono::hours{stated.time.hour} +
        std::chrono::minutes{stated.time.minute} + std::chrono::seconds{stated.time.second} +
        std::chrono::microseconds{stated.time.nanosecond / 1000};
    if (!stated.offset) {
        return {.utc_us = local.count(), .offset_s = std::nullopt};
    }
    const std::chrono::seconds offset = std::chrono::minutes{stated.offset->minutes};
    return {.utc_us = (local - offset).count(), .offset_s = static_cast<int>(offset.count())};
}

Table tableOf(const toml::table& from);

Item itemOf(const toml::node& node) {
    Item item{.position = positionOf(node.source()), .value = HalfTime{}};
    if (const toml::table* const table = node.as_table()) {
        item.value = tableOf(*table);
    } else if (const toml::array* const array = node.as_array()) {
        List list;
        for (const toml::node& element : *array) {
            list.items.push_back(itemOf(element));
        }
        item.value = std::move(list);
    } else if (const auto* const text = node.as_string()) {
        item.value = text->get();
    } else if (const auto* const integer = node.as_integer()) {
        item.value = integer->get();
    } else if (const auto* const number = node.as_floating_point()) {
        item.value = number->get();
    } else if (const auto* const flag = node.as_boolean()) {
        item.value = flag->get();
    } else if (const auto* const moment = node.as_date_time()) {
        item.value = momentOf(moment->get());
    }
    return item;
}

Table tableOf(const toml::table& from) {
    Table table;
    for (const auto& [key, node] : from) {
        table.members.push_back(
            {.key = std::string(key.str()), .position = positionOf(key.source()), .item = itemOf(node)});
    }
    std::stable_sort(table.members.begin(), table.members.end(), [](const Member& a, const Member& b) {
        return std::tie(a.position.line, a.position.column) < std::tie(b.position.line, b.position.column);
    });
    return table;
}

std::string_view lineOf(std::string_view text, long line) {
    for (long i = 1; i < line; ++i) {
        const std::size_t end = text.find('\n');
        text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    }
    return text.substr(0, text.find_first_of("\r\n"));
}

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}

// The two slips that people make most where they are not used to TOML have a remedy of their own.
std::string remedyFor(std::string_view line) {
    const std::size_t equals = line.find('=');
    const std::size_t start = equals == std::string_view::npos ? equals : line.find_first_not_of(" \t", equals + 1);
    if (start == std::string_view::npos) {
        return R"(a line is key = value, [table], or # and a remark)";
    }
    const std::string_view value = line.substr(start);
    for (std::size_t i = 1; i + 1 < value.size(); ++i) {
        if (value[i] == ',' && isDigit(value[i - 1]) && isDigit(value[i + 1]) && isDigit(value.back())) {
            return "write numbers with a decimal point, as in 80.5";
        }
    }
    if (value.front() != '"' && value.front() != '\'' && value.front() != '[' && value.front() != '{') {
        return isDigit(value.front()) ? "a number stands alone: the key names its unit, as in resin_g = 80.5"
                                      : R"(a text stands in double quotes, as in name = "rod 03")";
    }
    return "end what was opened, and have one key to a line";
}

Fault notUtf8(const std::string& name) {
    return {.kind = FaultKind::input,
            .what = "not a batch file: it is not UTF-8 text",
            .where = {.file = name, .line = {}, .column = {}, .channel = {}},
            .remedy = "save it as plain text in UTF-8"};
}

} // namespace

Result<Table> parse(std::string_view text, const std::string& name) {
    if (text.find('\0') != std::string_view::npos) {
        return tl::unexpected(notUtf8(name)); // UTF-16, or no text at all
    }
    const toml::parse_result parsed = toml::parse(text);
    if (parsed) {
        return tableOf(parsed.table());
    }
    const Position position = positionOf(parsed.error().source());
    return tl::unexpected(
        Fault{.kind = FaultKind::input,
              .what = "not readable as TOML: " + std::string(parsed.error().description()),
              .where = {.file = name, .line = position.line, .column = position.column, .channel = {}},
              .remedy = remedyFor(lineOf(text, position.line))});
}

} // namespace potwatch::batch
