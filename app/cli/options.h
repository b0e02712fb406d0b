// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/import.h"

#include <optional>
#include <string>
#include <vector>

namespace CLI {
class App;
class Option;
} // namespace CLI

namespace potwatch::cli {

// An option's name on the command line, the word its value goes by in the help, and what it is for.
struct OptionText {
    std::string name;
    std::string value;
    std::string description;
};

// Numbers are read with a point whatever the locale, and must be finite; anything else is wrong usage.
CLI::Option* addNumber(CLI::App& parser, const OptionText& text, std::optional<double>& target);

// "300,600": numbers parted by commas; the option may be repeated.
CLI::Option* addNumbers(CLI::App& parser, const OptionText& text, std::vector<double>& target);

// "A,B": names parted by commas; the option may be repeated.
CLI::Option* addNames(CLI::App& parser, const OptionText& text, std::vector<std::string>& target);

// "90s", "10m", "8h": seconds, more than none; nothing where the text is no such time.
[[nodiscard]] std::optional<double> secondsOf(const std::string& text);

// --json, the same in every command.
CLI::Option* addJson(CLI::App& parser, bool& target);

// FILE..., at least one (demand() sees to that); "-" is standard input.
CLI::Option* addFiles(CLI::App& parser, std::vector<std::string>& target);

// Throws a CLI::RequiredError where the person named none. Called once all words are read, so that a mistyped option is
// named rather than the file that it hid.
void demand(const std::string& what, bool given);

// --unit, --date-order, --time, --columns, --interval: the same wherever a table is imported.
void addImportOptions(CLI::App& parser, csv::ImportOptions& target);

} // namespace potwatch::cli
