// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/help_format.h"

#include "app/cli/output.h"

#include <CLI/CLI.hpp>

#include <string>
#include <vector>

namespace potwatch::cli {
namespace {

constexpr std::size_t name_column =
    26; // the longest option with its value, "--thermocouple TYPE", fits with air around it

std::string twoColumns(std::string name, const std::string& description) {
    name = "  " + name;
    std::string line = name;
    if (name.size() + 2 > name_column) {
        line += '\n';
        line.append(name_column, ' ');
    } else {
        line.append(name_column - name.size(), ' ');
    }
    return line + wrapped(description, name_column) + '\n';
}

// "find the onset" in the list of commands is "Find the onset." on the command's own page.
std::string asSentence(std::string text) {
    if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') {
        text.front() = static_cast<char>(text.front() - 'a' + 'A');
    }
    return text.empty() || text.back() == '.' ? text : text + '.';
}

// One empty line between parts, however many the parts bring along.
std::string withSingleGaps(std::string text) {
    for (std::size_t at = text.find("\n\n\n"); at != std::string::npos; at = text.find("\n\n\n", at)) {
        text.erase(at, 1);
    }
    return text;
}

std::string positionalsOf(const CLI::App* app) {
    std::string positionals;
    for (const CLI::Option* option : app->get_options([](const CLI::Option* o) { return o->get_positional(); })) {
        const std::string name = option->get_name(true) + (option->get_items_expected_max() > 1 ? "..." : "");
        positionals +=
            option->get_default_str().empty() ? " " + name : " [" + name + "]"; // what has a default may be left out
    }
    return positionals;
}

// The words up to a command: "potwatch analyse", "potwatch book FILE list".
std::string wayTo(const CLI::App* app) {
    const CLI::App* parent = app->get_parent();
    if (parent == nullptr) {
        return "potwatch";
    }
    // The program's own files are those of the window, and stand before no command.
    const std::string given = parent->get_parent() == nullptr ? std::string() : positionalsOf(parent);
    return wayTo(parent) + given + " " + app->get_name();
}

class HelpFormat : public CLI::Formatter {
public:
    std::string make_usage(const CLI::App* app, std::string) const override {
        const bool is_program = app->get_parent() == nullptr;
        const bool has_actions = !is_program && !app->get_subcommands({}).empty();
        return "Usage: " + wayTo(app) +
               (is_program ? " COMMAND ..." : positionalsOf(app) + (has_actions ? " ACTION" : "") + " [OPTIONS]") +
               "\n\n";
    }

    std::string make_description(const CLI::App* app) const override {
        return wrapped(asSentence(app->get_description()), 0) + "\n";
    }

    std::string make_option(const CLI::Option* option, bool is_positional) const override {
        const std::string value =
            option->get_items_expected_max() > 0 && !is_positional && !option->get_type_name().empty()
                ? " " + option->get_type_name()
                : std::string();
        return twoColumns(option->get_name(is_positional, !is_positional) + value, option->get_description());
    }

    std::string make_subcommand(const CLI::App* command) const override {
        return twoColumns(command->get_name(), command->get_description());
    }

    std::string make_footer(const CLI::App* app) const override { return "\n" + app->get_footer() + "\n"; }

    // Usage first, as the manual pages have it.
    std::string make_help(const CLI::App* app, std::string name, CLI::AppFormatMode mode) const override {
        return withSingleGaps(make_usage(app, name) + make_description(app) + make_positionals(app) +
                              make_groups(app, mode) + make_subcommands(app, mode) + make_footer(app));
    }
};

} // namespace

std::shared_ptr<CLI::FormatterBase> helpFormat() {
    auto format = std::make_shared<HelpFormat>();
    format->column_width(name_column);
    format->label("Positionals", "Input");
    return format;
}

} // namespace potwatch::cli
