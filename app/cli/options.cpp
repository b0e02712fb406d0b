// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/options.h"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <string_view>
#include <utility>

namespace potwatch::cli {
namespace {

constexpr const char* import_group = "How the table is read (found from the content where nothing is said)";

double numberFrom(const std::string& option, std::string_view text) {
    double value = 0.0;
    const std::string_view digits = text.starts_with('+') ? text.substr(1) : text;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (error != std::errc() || end != digits.data() + digits.size() || !std::isfinite(value)) {
        throw CLI::ValidationError(option, "\"" + std::string(text) + "\" is not a number (write 0.5, with a point)");
    }
    return value;
}

std::vector<std::string> partsOf(std::string_view list) {
    std::vector<std::string> parts;
    while (true) {
        const std::size_t comma = list.find(',');
        const std::string_view part = list.substr(0, comma);
        if (!part.empty()) {
            parts.emplace_back(part);
        }
        if (comma == std::string_view::npos) {
            return parts;
        }
        list.remove_prefix(comma + 1);
    }
}

// An option that takes one word each time it is given, and may be given again: it never swallows the files that follow.
CLI::Option* repeatable(CLI::Option* option, const OptionText& text) {
    return option->type_name(text.value)
        ->expected(1)
        ->allow_extra_args(false)
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
}

std::string unitFrom(const std::string& text) {
    static constexpr std::array<std::pair<std::string_view, std::string_view>, 8> spellings{{{"degC", "degC"},
                                                                                             {"C", "degC"},
                                                                                             {"°C", "degC"},
                                                                                             {"degF", "degF"},
                                                                                             {"F", "degF"},
                                                                                             {"°F", "degF"},
                                                                                             {"K", "K"},
                                                                                             {"mV", "mV"}}};
    for (const auto& spelling : spellings) {
        if (text == spelling.first) {
            return std::string(spelling.second);
        }
    }
    throw CLI::ValidationError("--unit", "\"" + text + "\" is not degC, degF, K or mV");
}

csv::DateOrder dateOrderFrom(const std::string& text) {
    if (text == "day-first") {
        return csv::DateOrder::dayFirst;
    }
    if (text == "month-first") {
        return csv::DateOrder::monthFirst;
    }
    throw CLI::ValidationError("--date-order", "\"" + text + "\" is neither day-first nor month-first");
}

} // namespace

CLI::Option* addNumber(CLI::App& parser, const OptionText& text, std::optional<double>& target) {
    return parser
        .add_option_function<std::string>(
            text.name, [&target, text](const std::string& word) { target = numberFrom(text.name, word); },
            text.description)
        ->type_name(text.value);
}

CLI::Option* addNumbers(CLI::App& parser, const OptionText& text, std::vector<double>& target) {
    const auto read = [&target, text](const std::vector<std::string>& words) {
        for (const std::string& word : words) {
            for (const std::string& part : partsOf(word)) {
                target.push_back(numberFrom(text.name, part));
            }
        }
    };
    return repeatable(parser.add_option_function<std::vector<std::string>>(text.name, read, text.description), text);
}

CLI::Option* addNames(CLI::App& parser, const OptionText& text, std::vector<std::string>& target) {
    const auto read = [&target](const std::vector<std::string>& words) {
        for (const std::string& word : words) {
            for (std::string& part : partsOf(word)) {
                target.push_back(std::move(part));
            }
        }
    };
    return repeatable(parser.add_option_function<std::vector<std::string>>(text.name, read, text.description), text);
}

std::optional<double> secondsOf(const std::string& text) {
    double number = 0.0;
    const char* const end = text.data() + text.size();
    const auto read = std::from_chars(text.data(), end, number);
    const std::string_view unit(read.ptr, static_cast<std::size_t>(end - read.ptr));
    const double factor = unit == "s" ? 1.0 : unit == "m" ? 60.0 : unit == "h" ? 3600.0 : 0.0;
    const double seconds = number * factor;
    return read.ec == std::errc() && std::isfinite(seconds) && seconds > 0.0 ? std::optional(seconds) : std::nullopt;
}

CLI::Option* addJson(CLI::App& parser, bool& target) {
    return parser.add_flag("--json", target, "one JSON object on standard output, and nothing else there");
}

CLI::Option* addFiles(CLI::App& parser, std::vector<std::string>& target) {
    return parser.add_option("FILE", target, "tables that a logger wrote (CSV); - is standard input")->type_name("");
}

void demand(const std::string& what, bool given) {
    if (!given) {
        throw CLI::RequiredError(what);
    }
}

void addImportOptions(CLI::App& parser, csv::ImportOptions& target) {
    parser
        .add_option_function<std::string>(
            "--unit", [&target](const std::string& word) { target.unit = unitFrom(word); },
            "unit of the temperature columns: degC, degF, K or mV")
        ->type_name("UNIT")
        ->group(import_group);
    parser
        .add_option_function<std::string>(
            "--date-order", [&target](const std::string& word) { target.date_order = dateOrderFrom(word); },
            "day-first or month-first, where a date such as 03/04/2026 reads either way")
        ->type_name("ORDER")
        ->group(import_group);
    parser.add_option("--time", target.time_column, "the time column, by its name or its number")
        ->type_name("COLUMN")
        ->group(import_group);
    addNames(
        parser,
        {.name = "--columns", .value = "A,B", .description = "the value columns wanted, by their names or numbers"},
        target.columns)
        ->group(import_group);
    addNumber(
        parser,
        {.name = "--interval", .value = "SECONDS", .description = "rows are this far apart; no time column is needed"},
        target.interval_s)
        ->check([](const std::string& word) {
            return numberFrom("--interval", word) > 0.0 ? std::string() : "must be over 0 s, not " + word;
        })
        ->group(import_group);
}

} // namespace potwatch::cli
