// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/value.h"

#include "io/batch/wording.h"

#include <chrono>
#include <cmath>

namespace potwatch::batch {

bool Value<double>::read(const Item& item, const std::string& key, const Where& where, double& into, Reading& reading) {
    if (const auto* const integer = std::get_if<std::int64_t>(&item.value)) {
        into = static_cast<double>(*integer);
        return true;
    }
    if (const auto* const number = std::get_if<double>(&item.value)) {
        if (!std::isfinite(*number)) {
            reading.fault(FaultKind::range, item.position,
                          fmt::format("{} is {}, a finite number is expected", fullName(key, where), *number),
                          fmt::format("leave {} out where it is not known", key));
            return false;
        }
        into = *number;
        return true;
    }
    const bool is_text = std::holds_alternative<std::string>(item.value);
    reading.wrongType(key, where, item, "a number",
                      is_text ? fmt::format("write it without quotes and without a unit, as in {} = 80.5", key)
                              : fmt::format("write it as {} = 80.5", key));
    return false;
}

std::string Value<double>::literal(double value) {
    std::string digits = fmt::format("{}", value); // the shortest that reads back equal, under any locale
    if (std::isfinite(value) && digits.find_first_of(".e") == std::string::npos) {
        digits += ".0";
    }
    return digits;
}

bool Value<std::string>::read(const Item& item, const std::string& key, const Where& where, std::string& into,
                              Reading& reading) {
    if (const auto* const text = std::get_if<std::string>(&item.value)) {
        into = *text;
        return true;
    }
    reading.wrongType(key, where, item, "a text", fmt::format("write it in double quotes, as in {} = \"...\"", key));
    return false;
}

std::string Value<std::string>::literal(const std::string& value) {
    if (value.empty()) {
        return {};
    }
    std::string out = "\"";
    for (const char c : value) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (c == '\n') {
            out += "\\n";
        } else if (c == '\t') {
            out += "\\t";
        } else if (byte < 0x20 || byte == 0x7F) {
            out += fmt::format("\\u{:04X}", byte);
        } else {
            out += c;
        }
    }
    return out + '"';
}

bool Value<bool>::read(const Item& item, const std::string& key, const Where& where, bool& into, Reading& reading) {
    if (const auto* const flag = std::get_if<bool>(&item.value)) {
        into = *flag;
        return true;
    }
    reading.wrongType(key, where, item, "true or false", fmt::format("write {} = true, or leave it out", key));
    return false;
}

std::string Value<bool>::literal(bool value) {
    return value ? "true" : "";
}

bool Value<WallTime>::read(const Item& item, const std::string& key, const Where& where, WallTime& into,
                           Reading& reading) {
    if (const auto* const moment = std::get_if<WallTime>(&item.value)) {
        into = *moment;
        return true;
    }
    reading.wrongType(key, where, item, "a date with time",
                      fmt::format("write it without quotes, as in {} = 2026-03-14T10:05:00+01:00", key));
    return false;
}

std::string Value<WallTime>::literal(const WallTime& value) {
    using namespace std::chrono;
    const minutes offset = minutes(value.offset_s.value_or(0) / 60);
    const microseconds stored{value.utc_us};
    const seconds whole = floor<seconds>(stored);
    const sys_seconds local{whole + offset}; // seconds of 64 bits: an offset cannot carry them over
    if (local < sys_days{year{0} / January / 1} || local >= sys_days{year{10000} / January / 1} ||
        abs(offset) >= hours{24}) {
        return {};
    }
    const sys_days day = floor<days>(local);
    const year_month_day date{day};
    const hh_mm_ss<seconds> time{local - day};
    std::string out = fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", static_cast<int>(date.year()),
                                  static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                                  time.hours().count(), time.minutes().count(), time.seconds().count());
    if (stored != whole) {
        out += fmt::format(".{:06}", (stored - whole).count());
    }
    if (value.offset_s && offset == minutes{0}) {
        out += 'Z';
    } else if (value.offset_s) {
        const auto total = abs(offset).count();
        out += fmt::format("{}{:02}:{:02}", offset < minutes{0} ? '-' : '+', total / 60, total % 60);
    }
    return out;
}

std::optional<std::size_t> readWord(const Item& item, const std::string& key, const Where& where,
                                    const std::vector<std::string>& words, Reading& reading) {
    std::vector<std::string> in_quotes;
    in_quotes.reserve(words.size());
    for (const std::string& word : words) {
        in_quotes.push_back(fmt::format("\"{}\"", word));
    }
    const auto* const text = std::get_if<std::string>(&item.value);
    if (text == nullptr) {
        reading.wrongType(key, where, item, oneOf(in_quotes), fmt::format("write it as {} = {}", key, in_quotes[0]));
        return std::nullopt;
    }
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (words[i] == *text) {
            return i;
        }
    }
    const std::optional<std::size_t> near = nearest(*text, words);
    reading.fault(FaultKind::input, item.position,
                  fmt::format("{} is {}, {} is expected", fullName(key, where), inQuotes(*text), oneOf(in_quotes)),
                  near ? fmt::format("did you mean {}?", in_quotes[*near]) : fmt::format("use {}", oneOf(in_quotes)));
    return std::nullopt;
}

} // namespace potwatch::batch
