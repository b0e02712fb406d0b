// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/device_file.h"

#include "io/batch/array_value.h"
#include "io/batch/own_file.h"
#include "io/batch/schema.h"
#include "io/csv/vocabulary.h"
#include "io/serial/line_decoder.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <utility>

namespace potwatch::serial {
namespace {

enum class Separator { blank, comma, semicolon, tab, bar };
enum class Decimal { point, comma };

} // namespace
} // namespace potwatch::serial

namespace potwatch::batch {

template<>
struct Words<serial::LineStyle> {
    static constexpr std::array<std::pair<std::string_view, serial::LineStyle>, 4> all{{
        {"fields", serial::LineStyle::fields},
        {"key-value", serial::LineStyle::key_value},
        {"json", serial::LineStyle::json},
        {"pattern", serial::LineStyle::pattern},
    }};
};

template<>
struct Words<serial::Parity> {
    static constexpr std::array<std::pair<std::string_view, serial::Parity>, 3> all{{
        {"none", serial::Parity::none},
        {"even", serial::Parity::even},
        {"odd", serial::Parity::odd},
    }};
};

template<>
struct Words<serial::Separator> {
    static constexpr std::array<std::pair<std::string_view, serial::Separator>, 5> all{{
        {"blank", serial::Separator::blank},
        {",", serial::Separator::comma},
        {";", serial::Separator::semicolon},
        {"tab", serial::Separator::tab},
        {"|", serial::Separator::bar},
    }};
};

template<>
struct Words<serial::Decimal> {
    static constexpr std::array<std::pair<std::string_view, serial::Decimal>, 2> all{{
        {".", serial::Decimal::point},
        {",", serial::Decimal::comma},
    }};
};

} // namespace potwatch::batch

namespace potwatch::serial {
namespace {

using namespace batch;

constexpr std::int64_t format_version = 1;
constexpr Limits from_one{.low = 1.0, .in_words = "1 or more"};

// The file, key for key.
struct StatedColumn {
    std::optional<double> field;
    std::string key;
    std::string name;
    std::string unit;
    std::optional<double> decimals;
};

struct StatedDevice {
    std::string name;
    std::optional<double> baud;
    std::optional<double> data_bits;
    std::optional<Parity> parity;
    std::optional<double> stop_bits;
    std::optional<LineStyle> style;
    std::optional<Separator> separator;
    std::optional<Decimal> decimal;
    std::string pattern;
    std::optional<double> fields;
    bool checksum = false;
    std::vector<std::string> open_words;
    std::vector<double> open_values;
    std::vector<StatedColumn> columns;
    std::string thermocouple;
    std::string cold_junction;
};

// format = 1. A newer one was refused before anything else was read.
Entry<StatedDevice> formatKey() {
    Entry<StatedDevice> entry{.name = "format"};
    entry.read = [](const Item& item, const Where&, StatedDevice&, Reading& reading) {
        const auto* const version = std::get_if<std::int64_t>(&item.value);
        if (version == nullptr || *version < 1) {
            reading.fault(FaultKind::input, item.position, "format is not a version number", "write format = 1");
            return false;
        }
        return true;
    };
    entry.write = [](const StatedDevice&, const Where&, std::string&) {};
    return entry;
}

const Schema<StatedDevice>& deviceFormat() {
    static const Schema<StatedDevice> format{
        formatKey(),
        section<StatedDevice>("device", {key("name", &StatedDevice::name)}),
        section<StatedDevice>(
            "port",
            {
                key("baud", &StatedDevice::baud, from_one),
                key("data_bits", &StatedDevice::data_bits, Limits{.low = 5.0, .high = 8.0, .in_words = "from 5 to 8"}),
                key("parity", &StatedDevice::parity),
                key("stop_bits", &StatedDevice::stop_bits, Limits{.low = 1.0, .high = 2.0, .in_words = "1 or 2"}),
            }),
        section<StatedDevice>("lines",
                              {
                                  required(key("style", &StatedDevice::style)),
                                  key("separator", &StatedDevice::separator),
                                  key("decimal", &StatedDevice::decimal),
                                  key("pattern", &StatedDevice::pattern),
                                  key("fields", &StatedDevice::fields, from_one),
                                  key("checksum", &StatedDevice::checksum),
                                  key("open_words", &StatedDevice::open_words),
                                  key("open_values", &StatedDevice::open_values),
                              }),
        list("column", &StatedDevice::columns,
             {
                 key("field", &StatedColumn::field, from_one),
                 key("key", &StatedColumn::key),
                 required(key("name", &StatedColumn::name)),
                 key("unit", &StatedColumn::unit),
                 key("decimals", &StatedColumn::decimals, not_negative),
             }),
        section<StatedDevice>("thermocouple",
                              {
                                  required(key("type", &StatedDevice::thermocouple)),
                                  required(key("cold_junction", &StatedDevice::cold_junction)),
                              }),
    };
    return format;
}

std::vector<KnownKey> knownKeys() {
    std::vector<KnownKey> keys;
    listKeys(deviceFormat(), Where{}, keys);
    return keys;
}

void checkWhole(const std::optional<double>& value, const std::string& place, Reading& reading) {
    if (value && *value != std::floor(*value)) {
        reading.fault(FaultKind::range, reading.positionOf(place).value_or(Position{}),
                      fmt::format("{} is {}", place, *value), "it has to be a whole number");
    }
}

char separatorOf(const StatedDevice& stated) {
    switch (stated.separator.value_or(Separator::blank)) {
    case Separator::blank:
        return ' ';
    case Separator::comma:
        return ',';
    case Separator::semicolon:
        return ';';
    case Separator::tab:
        return '\t';
    case Separator::bar:
        return '|';
    }
    return ' ';
}

std::string unitOf(const StatedColumn& column) {
    const std::string known = csv::unitOf(column.unit);
    return known.empty() ? column.unit : known;
}

LineFormat linesOf(const StatedDevice& stated) {
    LineFormat lines{.style = *stated.style,
                     .separator = separatorOf(stated),
                     .decimal = stated.decimal == Decimal::comma ? ',' : '.',
                     .pattern = stated.pattern,
                     .fields = static_cast<std::size_t>(stated.fields.value_or(0.0)),
                     .checksum = stated.checksum,
                     .open_words = stated.open_words,
                     .open_values = stated.open_values,
                     .columns = {}};
    for (const StatedColumn& column : stated.columns) {
        lines.columns.push_back(
            {.field = static_cast<std::size_t>(column.field.value_or(0.0)),
             .key = column.key,
             .name = column.name,
             .unit = unitOf(column),
             .decimals = column.decimals ? std::optional(static_cast<int>(*column.decimals)) : std::nullopt,
             .unit_follows = {}});
    }
    return lines;
}

// What no single key shows.
void check(const StatedDevice& stated, Reading& reading) {
    for (const auto& [value, place] :
         {std::pair(stated.baud, "port.baud"), std::pair(stated.data_bits, "port.data_bits"),
          std::pair(stated.stop_bits, "port.stop_bits"), std::pair(stated.fields, "lines.fields")}) {
        checkWhole(value, place, reading);
    }
    for (std::size_t i = 0; i < stated.columns.size(); ++i) {
        checkWhole(stated.columns[i].field, fmt::format("column.{}.field", i + 1), reading);
        checkWhole(stated.columns[i].decimals, fmt::format("column.{}.decimals", i + 1), reading);
    }
    if (!stated.style) {
        if (!stated.columns.empty()) {
            reading.fault(FaultKind::input, Position{}, "there are columns, but no [lines]",
                          "state [lines] with a style, so that their place is known");
        }
        return;
    }
    const Position lines = reading.positionOf("lines").value_or(Position{});
    if (stated.style == LineStyle::fields && separatorOf(stated) == ',' && stated.decimal == Decimal::comma) {
        reading.fault(FaultKind::input, lines, "a comma cannot part values and be their decimal mark as well",
                      "change separator or decimal");
        return;
    }
    if (const Result<LineDecoder> decoder = LineDecoder::make(linesOf(stated)); !decoder) {
        reading.fault(FaultKind::input, lines, decoder.error().what, decoder.error().remedy);
    }
}

} // namespace

tl::expected<Device, Faults> parseDevice(std::string_view text, const std::string& name) {
    Result<Table> document = documentOf(text, name, {.name = "device file", .version = format_version});
    if (!document) {
        return tl::unexpected(Faults{document.error()});
    }
    StatedDevice stated;
    Reading reading(name, knownKeys());
    readTable(*document, Position{}, deviceFormat(), Where{}, stated, reading);
    if (Faults faults = reading.faults(); !faults.empty()) {
        return tl::unexpected(std::move(faults));
    }
    check(stated, reading);
    if (Faults faults = reading.faults(); !faults.empty()) {
        return tl::unexpected(std::move(faults));
    }
    const auto whole = [](const std::optional<double>& value, int otherwise) {
        return value ? static_cast<int>(*value) : otherwise;
    };
    Device device{.file = name,
                  .name = stated.name,
                  .port = {.baud = stated.baud ? std::optional(static_cast<int>(*stated.baud)) : std::nullopt,
                           .data_bits = whole(stated.data_bits, 8),
                           .parity = stated.parity.value_or(Parity::none),
                           .stop_bits = whole(stated.stop_bits, 1)},
                  .lines = {},
                  .thermocouple = stated.thermocouple,
                  .cold_junction = stated.cold_junction};
    if (stated.style) {
        device.lines = linesOf(stated);
    }
    return device;
}

tl::expected<Device, Faults> readDeviceFile(const std::string& path) {
    const Result<std::string> bytes = bytesOf(path);
    if (!bytes) {
        return tl::unexpected(Faults{bytes.error()});
    }
    return parseDevice(*bytes, path);
}

} // namespace potwatch::serial
