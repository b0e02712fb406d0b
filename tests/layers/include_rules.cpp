// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/layers/include_rules.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

namespace potwatch::layers {

namespace {

const std::vector<std::string> no_qt{"Q"};

// Of analysis: the same values give the same value. So no files, no console, no clock, no chance but by seed.
const std::vector<std::string> no_outside_world{"Q",        "fstream", "iostream", "filesystem", "cstdio", "stdio.h",
                                                "unistd.h", "fcntl.h", "sys/",     "ctime",      "time.h", "clocale",
                                                "locale",   "CLI/",    "toml++/",  "nlohmann/"};
const std::vector<std::string> no_clock_no_chance{
    "random_device", "system_clock", "steady_clock", "high_resolution_clock", "rand", "srand", "getenv", "setlocale"};

// Of the window, whose thread does no I/O: files are the session's.
const std::vector<std::string> no_files{"fstream", "filesystem", "sqlite3.h"};

const Rule& ruleOf(std::string_view path, const std::vector<Rule>& rules, const Rule& none) {
    const Rule* best = &none;
    for (const Rule& rule : rules) {
        if (path.starts_with(rule.folder + "/") && rule.folder.size() >= best->folder.size()) {
            best = &rule;
        }
    }
    return *best;
}

std::string list(const std::vector<std::string>& words) {
    return words.empty() ? "nothing of the project" : fmt::format("{}", fmt::join(words, ", "));
}

bool isWordCharacter(char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_';
}

bool containsWord(std::string_view line, std::string_view word) {
    for (std::size_t at = line.find(word); at != std::string_view::npos; at = line.find(word, at + 1)) {
        const std::size_t end = at + word.size();
        if ((at == 0 || !isWordCharacter(line[at - 1])) && (end == line.size() || !isWordCharacter(line[end]))) {
            return true;
        }
    }
    return false;
}

// The text without comments and without what stands in quotes, line for line; includes keep theirs.
std::string codeOf(std::string_view text) {
    std::string code;
    enum class In { program, line_comment, block_comment, string, character, include } in = In::program;
    bool line_start = true;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        const char next = i + 1 < text.size() ? text[i + 1] : '\0';
        if (c == '\n') {
            code += c;
            line_start = true;
            in = in == In::block_comment ? in : In::program;
            continue;
        }
        switch (in) {
        case In::program:
            if (line_start && c == '#') {
                in = In::include;
                code += c;
            } else if (c == '/' && next == '/') {
                in = In::line_comment;
            } else if (c == '/' && next == '*') {
                in = In::block_comment;
                ++i;
            } else if (c == '"') {
                in = In::string;
            } else if (c == '\'' && !(i > 0 && isWordCharacter(text[i - 1]))) { // not the ' of 1'000
                in = In::character;
            } else {
                code += c;
            }
            break;
        case In::include:
            if (c == '/' && next == '/') {
                in = In::line_comment;
            } else {
                code += c;
            }
            break;
        case In::string:
        case In::character:
            if (c == '\\' && next != '\n') {
                ++i;
            } else if (c == (in == In::string ? '"' : '\'')) {
                in = In::program;
            }
            break;
        case In::block_comment:
            if (c == '*' && next == '/') {
                in = In::program;
                ++i;
            }
            break;
        case In::line_comment:
            break;
        }
        line_start = line_start && (c == ' ' || c == '\t');
    }
    return code;
}

struct Include {
    std::string header;
    bool of_project = false;
};

// The header that a line includes; empty where it includes none.
Include includeOf(std::string_view line) {
    std::string bare;
    for (const char c : line) {
        if (c != ' ' && c != '\t' && c != '\r') {
            bare += c;
        }
    }
    constexpr std::string_view directive = "#include";
    if (!bare.starts_with(directive) || bare.size() < directive.size() + 3) {
        return {};
    }
    const char close = bare[directive.size()] == '<' ? '>' : '"';
    const std::size_t start = directive.size() + 1;
    const std::size_t end = bare.find(close, start);
    const std::string header = bare.substr(start, end == std::string::npos ? end : end - start);
    const bool of_project = close == '"' || header.starts_with("analysis/") || header.starts_with("io/") ||
                            header.starts_with("app/") || header.starts_with("tests/");
    return {.header = header, .of_project = of_project};
}

std::string breachOf(const Include& include, const Rule& rule) {
    if (!include.of_project) {
        for (const std::string& beginning : rule.forbidden_includes) {
            if (include.header.starts_with(beginning)) {
                return fmt::format("includes <{}>; {}/ may not include {}", include.header, rule.folder,
                                   fmt::join(rule.forbidden_includes, ", "));
            }
        }
        return {};
    }
    for (const std::string& folder : rule.allowed) {
        if (include.header.starts_with(folder + "/")) {
            return {};
        }
    }
    return fmt::format("includes \"{}\"; {}/ may include {}", include.header, rule.folder, list(rule.allowed));
}

} // namespace

const std::vector<Rule>& projectRules() {
    static const std::vector<Rule> rules{
        {"analysis", {"analysis"}, no_outside_world, no_clock_no_chance},
        {"analysis/values", {"analysis/values"}, no_outside_world, no_clock_no_chance},
        {"io/csv", {"analysis/values", "io/csv"}, no_qt, {}},
        {"io/batch", {"analysis/values", "io/batch"}, no_qt, {}},
        {"io/calibration", {"analysis/values", "io/batch", "io/calibration"}, no_qt, {}},
        {"io/kinetics", {"analysis/values", "io/batch", "io/kinetics"}, no_qt, {}},
        {"io/mould", {"analysis/values", "io/batch", "io/mould"}, no_qt, {}},
        {"io/book", {"analysis/values", "io/batch", "io/book"}, no_qt, {}},
        {"io/serial", {"analysis/values", "io/batch", "io/csv", "io/serial"}, no_qt, {}},
        {"io/serial/port", {"analysis/values", "io/serial"}, {}, {}},
        {"app", {"analysis", "io", "app"}, {}, {}},
        {"app/cli", {"analysis", "io", "app"}, no_qt, {}},
        {"app/window", {"analysis", "io", "app/window", "app/session", "app/format", "app/report"}, no_files, {}},
        {"app/session", {"analysis", "io", "app/session", "app/format"}, no_qt, {}},
        {"app/forecast", {"analysis", "io", "app/forecast", "app/session", "app/format"}, no_qt, {}},
        {"app/format", {"analysis/values", "analysis/compare", "app/format"}, no_qt, {}},
        {"app/report",
         {"analysis/values", "analysis/kinetics", "analysis/compare", "app/format", "app/report", "app/session"},
         {},
         {}},
        {"app/window/chart", {"analysis/values", "app/format", "app/report", "app/window/chart"}, {}, {}},
    };
    return rules;
}

std::vector<Breach> breachesOf(std::string_view path, std::string_view text, const std::vector<Rule>& rules) {
    const Rule none;
    const Rule& rule = ruleOf(path, rules, none);
    if (rule.folder.empty()) {
        return {fmt::format("{}:1: lies in no folder that has a rule", path)};
    }
    std::vector<Breach> breaches;
    const std::string code = codeOf(text);
    std::size_t number = 0;
    for (std::size_t start = 0; start < code.size();) {
        const std::size_t end = std::min(code.find('\n', start), code.size());
        const std::string_view line = std::string_view(code).substr(start, end - start);
        start = end + 1;
        ++number;
        const Include include = includeOf(line);
        if (!include.header.empty()) {
            if (const std::string breach = breachOf(include, rule); !breach.empty()) {
                breaches.push_back(fmt::format("{}:{}: {}", path, number, breach));
            }
            continue;
        }
        for (const std::string& word : rule.forbidden_words) {
            if (containsWord(line, word)) {
                breaches.push_back(fmt::format("{}:{}: uses {}; {}/ may not use {}", path, number, word, rule.folder,
                                               fmt::join(rule.forbidden_words, ", ")));
            }
        }
    }
    return breaches;
}

} // namespace potwatch::layers
