// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/output_check.h"

#include "app/cli/output_names.h"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <string_view>
#include <system_error>

namespace potwatch::cli {

namespace {

enum class Content { nothing, text, toml, kinetics, book, pdf, png, markup, other };

std::string_view nameOf(Content content) {
    switch (content) {
    case Content::toml:
        return "a TOML file (a batch file?)";
    case Content::kinetics:
        return "a kinetics file";
    case Content::book:
        return "a batch book";
    case Content::pdf:
        return "a PDF";
    case Content::png:
        return "a picture";
    case Content::markup:
        return "an SVG or a web page";
    case Content::nothing:
    case Content::text:
        return "a text";
    case Content::other:
        break;
    }
    return "no text";
}

// Whether the first line that says something is a header or a key of TOML.
bool isToml(std::string_view text) {
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        std::string_view line = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        const std::size_t first = line.find_first_not_of(" \t\r");
        if (first == std::string_view::npos || line[first] == '#') {
            continue;
        }
        line.remove_prefix(first);
        const std::size_t sign = line.find_first_of("=,;\t");
        return line.front() == '[' || (sign != std::string_view::npos && line[sign] == '=');
    }
    return false;
}

Content contentOf(const std::string& path) {
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path, ignored)) {
        return Content::nothing; // none there, or a pipe: nothing is lost
    }
    std::ifstream file(path, std::ios::binary);
    std::array<char, 4096> block{};
    file.read(block.data(), block.size());
    const std::string_view text(block.data(), static_cast<std::size_t>(file.gcount()));
    using namespace std::string_view_literals;
    if (text.empty()) {
        return Content::nothing;
    }
    if (text.starts_with("SQLite format 3\0"sv)) {
        return Content::book;
    }
    if (text.starts_with("%PDF")) {
        return Content::pdf;
    }
    if (text.starts_with("\x89PNG")) {
        return Content::png;
    }
    if (text.starts_with("<")) {
        return Content::markup;
    }
    if (text.find('\0') != std::string_view::npos) {
        return Content::other;
    }
    if (isToml(text)) {
        return text.find("[model]") != std::string_view::npos ? Content::kinetics : Content::toml;
    }
    return Content::text;
}

bool mayReplace(Written writes, Content there) {
    switch (writes) {
    case Written::picture:
    case Written::report:
        return there == Content::pdf || there == Content::png || there == Content::markup;
    case Written::table:
        return there == Content::text;
    case Written::kinetics:
        return there == Content::kinetics;
    case Written::batch:
        return there == Content::toml;
    }
    return false;
}

} // namespace

void checkOutput(const OutputName& output, std::span<const std::string> inputs) {
    const std::string& path = output.path;
    if (path.empty()) {
        return;
    }
    const auto& endings = output.endings;
    if (!endings.empty() && std::find(endings.begin(), endings.end(), endingOf(path)) == endings.end()) {
        throw CLI::ValidationError(output.option,
                                   "\"" + path + "\" must end in one of " + CLI::detail::join(endings, ", "));
    }
    for (const std::string& input : inputs) {
        std::error_code ignored;
        if (std::filesystem::equivalent(path, input, ignored)) {
            throw CLI::ValidationError(output.option, "\"" + path + "\" is read as input and would be overwritten");
        }
    }
    const Content there = contentOf(path);
    if (there != Content::nothing && !mayReplace(output.writes, there)) {
        throw CLI::ValidationError(output.option, "\"" + path + "\" is there already and is " +
                                                      std::string(nameOf(there)) +
                                                      ", not what this option writes; choose another name");
    }
}

} // namespace potwatch::cli
