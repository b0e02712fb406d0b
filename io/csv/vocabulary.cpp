// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/vocabulary.h"

#include "io/csv/record.h"

#include <algorithm>
#include <array>
#include <utility>

namespace potwatch::csv {
namespace {

template<std::size_t n>
bool contains(const std::array<std::string_view, n>& list, std::string_view word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}

bool isWordByte(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || isDigit(c) || static_cast<unsigned char>(c) >= 0x80;
}

// The degree sign as it is written, mistaken for its neighbours, or spoilt by a wrong encoding on the way.
constexpr std::array<std::string_view, 8> degree_signs{"\xC2\xB0",     "\xC2\xBA", "\xCB\x9A", "\xC3\x82\xC2\xB0",
                                                       "\xEF\xBF\xBD", "\xC3\xB8", "\xC3\x98", "\xE2\x88\x98"};

std::string withoutDegreeSign(std::string text, bool& had) {
    for (const std::string_view sign : degree_signs) {
        const std::size_t at = text.find(sign);
        if (at != std::string::npos) {
            text.erase(at, sign.size());
            had = true;
        }
    }
    return text;
}

// Texts in a name that may be a unit, the likeliest first.
std::vector<std::string_view> unitTexts(std::string_view name) {
    std::vector<std::string_view> texts;
    for (const auto& [open, close] : {std::pair{'(', ')'}, std::pair{'[', ']'}, std::pair{'{', '}'}}) {
        for (std::size_t at = name.find(open); at != std::string_view::npos; at = name.find(open, at + 1)) {
            const std::size_t end = name.find(close, at);
            if (end == std::string_view::npos) {
                break;
            }
            texts.push_back(trimmed(name.substr(at + 1, end - at - 1)));
        }
    }
    for (const std::string_view mark : {"/", "_", ",", " "}) {
        const std::size_t at = name.rfind(mark);
        if (at != std::string_view::npos && at > 0) {
            texts.push_back(trimmed(name.substr(at + 1)));
        }
    }
    return texts;
}

} // namespace

std::string lowercased(std::string_view text) {
    std::string result{text};
    for (char& c : result) {
        c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    }
    return result;
}

std::vector<std::string> words(std::string_view name) {
    std::vector<std::string> result;
    std::size_t start = 0;
    for (std::size_t at = 0; at <= name.size(); ++at) {
        if (at == name.size() || !isWordByte(name[at])) {
            if (at > start) {
                result.push_back(lowercased(name.substr(start, at - start)));
            }
            start = at + 1;
        }
    }
    return result;
}

std::optional<TimeUnit> timeUnit(std::string_view text) {
    static constexpr std::array<std::string_view, 12> seconds{
        "s", "sec", "secs", "second", "seconds", "sek", "sekunden", "sekunder", "secondes", "segundos", "sec.", "s."};
    static constexpr std::array<std::string_view, 8> minutes{"min",  "mins",    "minute",   "minutes",
                                                             "min.", "minuten", "minutter", "minutos"};
    static constexpr std::array<std::string_view, 11> hours{"h",    "hr",      "hrs",   "hour",   "hours", "std",
                                                            "std.", "stunden", "timer", "heures", "horas"};
    static constexpr std::array<std::string_view, 8> milliseconds{"ms",       "msec",        "msecs",        "millis",
                                                                  "millisec", "millisecond", "milliseconds", "msek"};
    static constexpr std::array<std::string_view, 7> microseconds{"us",           "usec",   "\xC2\xB5s",  "\xCE\xBCs",
                                                                  "microseconds", "micros", "microsecond"};
    static constexpr std::array<std::string_view, 6> nanoseconds{"ns",         "nsec",        "nanos",
                                                                 "nanosecond", "nanoseconds", "nanosec"};
    static constexpr std::array<std::string_view, 6> days{"d", "day", "days", "tage", "jours", "dage"};
    const std::string word = lowercased(trimmed(text));
    if (contains(seconds, word)) {
        return TimeUnit{};
    }
    if (contains(minutes, word)) {
        return TimeUnit{.numerator = 60.0, .name = "minutes"};
    }
    if (contains(hours, word)) {
        return TimeUnit{.numerator = 3600.0, .name = "hours"};
    }
    if (contains(milliseconds, word)) {
        return TimeUnit{.denominator = 1e3, .name = "milliseconds"};
    }
    if (contains(microseconds, word)) {
        return TimeUnit{.denominator = 1e6, .name = "microseconds"};
    }
    if (contains(nanoseconds, word)) {
        return TimeUnit{.denominator = 1e9, .name = "nanoseconds"};
    }
    if (contains(days, word)) {
        return TimeUnit{.numerator = 86400.0, .name = "days"};
    }
    return std::nullopt;
}

std::optional<TimeUnit> timeUnitInName(std::string_view name) {
    if (const auto unit = timeUnit(name)) {
        return unit;
    }
    for (const std::string_view text : unitTexts(name)) {
        if (const auto unit = timeUnit(text)) {
            return unit;
        }
    }
    // "millis since start", "minutes elapsed"
    for (const std::string& word : words(name)) {
        if (word.size() > 2) {
            if (const auto unit = timeUnit(word)) {
                return unit;
            }
        }
    }
    return std::nullopt;
}

std::string unitOf(std::string_view text) {
    text = trimmed(text);
    if (text == "\xE2\x84\x83") {
        return "degC";
    }
    if (text == "\xE2\x84\x89") {
        return "degF";
    }
    bool degree = false;
    std::string word = withoutDegreeSign(lowercased(text), degree);
    word = std::string{trimmed(word)};
    static constexpr std::array<std::string_view, 4> degree_words{"degrees", "degree", "deg.", "deg"};
    for (const std::string_view prefix : degree_words) {
        if (word.starts_with(prefix)) {
            word.erase(0, prefix.size());
            word = std::string{trimmed(word)};
            if (word.starts_with('_')) {
                word.erase(0, 1);
            }
            degree = true;
            break;
        }
    }
    if (word == "c" || word == "celsius" || word == "centigrade" || (degree && word.empty())) {
        return "degC";
    }
    if (word == "f" || word == "fahrenheit") {
        return "degF";
    }
    if (word == "k" || word == "kelvin") {
        return "K";
    }
    if (degree) {
        return {};
    }
    static constexpr std::array<std::pair<std::string_view, std::string_view>, 49> known{{
        {"mv", "mV"},       {"millivolt", "mV"},  {"millivolts", "mV"}, {"v", "V"},       {"volt", "V"},
        {"volts", "V"},     {"a", "A"},           {"amp", "A"},         {"amps", "A"},    {"ampere", "A"},
        {"ma", "mA"},       {"w", "W"},           {"watt", "W"},        {"watts", "W"},   {"kw", "kW"},
        {"mw", "mW"},       {"%", "%"},           {"pct", "%"},         {"percent", "%"}, {"%rh", "%"},
        {"rh%", "%"},       {"% rh", "%"},        {"ppm", "ppm"},       {"j", "J"},       {"kj", "kJ"},
        {"pa", "Pa"},       {"mb", "mbar"},       {"m/s", "m/s"},       {"km/h", "km/h"}, {"gr", "deg"},
        {"kpa", "kPa"},     {"hpa", "hPa"},       {"mbar", "mbar"},     {"bar", "bar"},   {"rpm", "rpm"},
        {"1/min", "rpm"},   {"g", "g"},           {"kg", "kg"},         {"mg", "mg"},     {"ml", "ml"},
        {"g/min", "g/min"}, {"ml/min", "ml/min"}, {"l/min", "l/min"},   {"hz", "Hz"},     {"ohm", "ohm"},
        {"ohms", "ohm"},    {"\xCE\xA9", "ohm"},  {"lux", "lx"},        {"uv", "uV"},
    }};
    for (const auto& [from, to] : known) {
        if (word == from) {
            return std::string{to};
        }
    }
    return {};
}

std::string unitInName(std::string_view name) {
    name = trimmed(name);
    if (name.empty()) {
        return {};
    }
    for (const auto& [open, close] : {std::pair{'(', ')'}, std::pair{'[', ']'}, std::pair{'{', '}'}}) {
        for (std::size_t at = name.find(open); at != std::string_view::npos; at = name.find(open, at + 1)) {
            const std::size_t end = name.find(close, at);
            if (end == std::string_view::npos) {
                break;
            }
            const std::string_view inside = name.substr(at + 1, end - at - 1);
            if (std::string unit = unitOf(inside); !unit.empty()) {
                return unit;
            }
            const std::size_t comma = inside.find_first_of(",; ");
            if (comma != std::string_view::npos) {
                if (std::string unit = unitOf(inside.substr(0, comma)); !unit.empty()) {
                    return unit;
                }
            }
        }
    }
    // A name that is a unit as a whole: "mv", "°C"; one letter says too little ("C" is as likely a third probe).
    if (name.size() > 1) {
        if (std::string unit = unitOf(name); !unit.empty()) {
            return unit;
        }
    }
    for (const char mark : {'/', '_'}) {
        const std::size_t at = name.rfind(mark);
        if (at != std::string_view::npos && at > 0) {
            if (std::string unit = unitOf(name.substr(at + 1)); !unit.empty()) {
                return unit;
            }
        }
    }
    const std::size_t blank = name.find_last_of(" ,.");
    if (blank != std::string_view::npos) {
        const std::string_view last = trimmed(name.substr(blank + 1));
        const std::string_view before = trimmed(name.substr(0, blank));
        std::string unit = unitOf(last);
        // "Channel A", "probe C" are no units; "Temp C" is.
        const bool letter = last.size() == 1 && last != "%";
        if (!unit.empty() && (!letter || (isTemperatureUnit(unit) && isTemperatureName(before)))) {
            return unit;
        }
        // "Temp deg C"
        const std::size_t earlier = before.find_last_of(" ,.");
        if (letter && earlier != std::string_view::npos) {
            unit = unitOf(name.substr(earlier + 1));
            if (!unit.empty()) {
                return unit;
            }
        }
    }
    if (name.ends_with('%')) {
        return "%";
    }
    for (const std::string_view sign : degree_signs) {
        const std::size_t at = name.rfind(sign);
        if (at != std::string_view::npos && at > 0) {
            return unitOf(name.substr(at));
        }
    }
    return {};
}

bool isUnitCell(std::string_view text) {
    text = trimmed(text);
    if (text.size() >= 2 &&
        ((text.front() == '(' && text.back() == ')') || (text.front() == '[' && text.back() == ']'))) {
        text = trimmed(text.substr(1, text.size() - 2));
    }
    if (text.empty()) {
        return false;
    }
    if (timeUnit(text) || !unitOf(text).empty()) {
        return true;
    }
    // hh:mm:ss, dd.mm.yyyy, yyyy-mm-dd hh:mm, TS, UTC
    const std::string word = lowercased(text);
    static constexpr std::array<std::string_view, 6> others{"ts", "utc", "-", "iso", "local", "avg"};
    return contains(others, word) ||
           (word.size() >= 5 && word.find_first_not_of("hmsdyfa:/.- t") == std::string::npos &&
            word.find_first_of(":/.-") != std::string::npos);
}

bool isTimeName(std::string_view name) {
    if (trimmed(name) == "T") {
        return false; // a temperature
    }
    static constexpr std::array<std::string_view, 15> parts{"time",    "zeit",    "elaps", "timestamp", "clock",
                                                            "seconds", "minutes", "hours", "millis",    "epoch",
                                                            "tiempo",  "heure",   "uhr",   "dauer",     "klokk"};
    static constexpr std::array<std::string_view, 26> exact{
        "t",    "s",   "sec",   "secs", "min",  "mins", "h",    "hr",  "hrs",  "ms",   "us",  "tid",   "temps",
        "hora", "ora", "tempo", "tijd", "unix", "msec", "days", "day", "aika", "czas", "cas", "stamp", "datenum"};
    if (!unitInName(name).empty()) {
        return false;
    }
    const std::vector<std::string> parts_of_name = words(name);
    if (parts_of_name.size() == 1 && timeUnit(parts_of_name.front())) {
        return true; // "second"; but "Second probe" is no time
    }
    for (const std::string& word : parts_of_name) {
        if (contains(exact, word)) {
            return true;
        }
        for (const std::string_view part : parts) {
            if (word.find(part) != std::string::npos) {
                return true;
            }
        }
    }
    return isDateName(name);
}

bool isDateName(std::string_view name) {
    static constexpr std::array<std::string_view, 7> parts{"date",        "datum", "fecha",  "timestamp",
                                                           "zeitstempel", "dato",  "datenum"};
    for (const std::string& word : words(name)) {
        for (const std::string_view part : parts) {
            if (word.find(part) != std::string::npos) {
                return true;
            }
        }
    }
    return false;
}

bool isRowNumberName(std::string_view name) {
    name = trimmed(name);
    if (name == "#" || name == "N\xC2\xB0" || name == "N\xC2\xBA") {
        return true;
    }
    static constexpr std::array<std::string_view, 24> exact{"no",  "nr",    "num",     "number", "nummer",  "index",
                                                            "idx", "row",   "rows",    "record", "records", "recno",
                                                            "rec", "scan",  "reading", "sample", "samples", "line",
                                                            "id",  "count", "counter", "n",      "seq",     "point"};
    const std::vector<std::string> parts = words(name);
    return !parts.empty() &&
           std::any_of(parts.begin(), parts.end(), [](const std::string& word) { return contains(exact, word); });
}

bool isDirectionName(std::string_view name) {
    static constexpr std::array<std::string_view, 12> starts{"direc",   "richtung", "windrichtung", "azimut",
                                                             "angle",   "winkel",   "latitud",      "longitud",
                                                             "heading", "bearing",  "inclin",       "winddir"};
    static constexpr std::array<std::string_view, 8> exact{"dir", "gr", "lat", "lon", "tilt", "pitch", "roll", "yaw"};
    const std::vector<std::string> parts = words(name);
    return !isTemperatureName(name) && std::any_of(parts.begin(), parts.end(), [](const std::string& word) {
        return contains(exact, word) || word.starts_with("dire\xC3\xA7") || word.starts_with("dire\xC3\x87") ||
               std::any_of(starts.begin(), starts.end(),
                           [&](std::string_view start) { return word.starts_with(start); });
    });
}

bool isTemperatureName(std::string_view name) {
    static constexpr std::array<std::string_view, 12> whole{"pot",   "core", "skin",    "mould", "mold",   "oven",
                                                            "resin", "bath", "ambient", "probe", "sensor", "air"};
    const std::vector<std::string> parts = words(name);
    for (const std::string& word : parts) {
        const bool temp = word.find("temp") != std::string::npos && word != "temps" && word != "tempo" &&
                          word.find("tempor") == std::string::npos;
        if (temp || word.find("thermo") != std::string::npos || word.find("celsius") != std::string::npos ||
            word.find("fahrenheit") != std::string::npos) {
            return true;
        }
        // T, T1, T_core, TC2, PT100
        for (const std::string_view stem : {"t", "tc", "pt", "th"}) {
            if (word.starts_with(stem) && word.size() > stem.size() &&
                std::all_of(word.begin() + static_cast<std::ptrdiff_t>(stem.size()), word.end(), isDigit)) {
                return true;
            }
        }
    }
    if (name.starts_with('T') && (name.size() == 1 || !isWordByte(name[1]))) {
        return true;
    }
    if (parts.empty() || parts.size() > 2) {
        return false;
    }
    std::string stem = parts.front();
    while (!stem.empty() && isDigit(stem.back())) {
        stem.pop_back();
    }
    const bool numbered = parts.size() == 1 || std::all_of(parts[1].begin(), parts[1].end(), isDigit);
    return numbered && contains(whole, stem);
}

bool isTemperatureUnit(std::string_view unit) {
    return unit == "degC" || unit == "degF" || unit == "K";
}

} // namespace potwatch::csv
