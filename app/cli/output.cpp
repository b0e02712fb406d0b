// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/output.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cerrno>
#include <cstdio>
#include <system_error>
#include <vector>

namespace potwatch::cli {
namespace {

constexpr unsigned char del = 0x7F;

bool isControl(char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x20 || byte == del;
}

std::string withoutControls(std::string_view text, bool keep_newlines) {
    std::string clean;
    clean.reserve(text.size());
    for (const char c : text) {
        clean += isControl(c) && !(keep_newlines && c == '\n') ? ' ' : c;
    }
    return clean;
}

Result<void> write(std::string_view text) {
    errno = 0;
    const bool complete = std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
    if (!complete) {
        return tl::unexpected(Fault{.kind = FaultKind::storage,
                                    .what = "cannot be written: " + std::generic_category().message(errno),
                                    .where = {.file = "standard output"},
                                    .remedy = "send it elsewhere"});
    }
    return {};
}

} // namespace

Result<void> printText(std::string_view text) {
    return write(withoutControls(text, true));
}

Result<void> printJson(const nlohmann::ordered_json& object) {
    return write(object.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n");
}

void tell(std::span<const Fault> faults) {
    for (const Fault& fault : faults) {
        const std::string line = "potwatch: " + withoutControls(describe(fault), false) + "\n";
        std::fwrite(line.data(), 1, line.size(), stderr);
    }
}

nlohmann::ordered_json faultsJson(std::span<const Fault> faults) {
    using Json = nlohmann::ordered_json;
    const auto text = [](const std::string& value) { return value.empty() ? Json(nullptr) : Json(value); };
    Json list = Json::array();
    for (const Fault& fault : faults) {
        list.push_back(Json{{"kind", nameOf(fault.kind)},
                            {"file", text(fault.where.file)},
                            {"line", fault.where.line ? Json(*fault.where.line) : Json(nullptr)},
                            {"channel", text(fault.where.channel)},
                            {"what", fault.what},
                            {"remedy", text(fault.remedy)}});
    }
    return list;
}

ExitCode finish(const Result<void>& printed, std::span<const Fault> faults) {
    std::vector<Fault> all(faults.begin(), faults.end());
    if (!printed) {
        all.push_back(printed.error());
    }
    tell(all);
    return exitCodeOf(all);
}

std::size_t columnsOf(std::string_view text) {
    std::size_t columns = 0; // bytes that go on with a UTF-8 character take none
    for (const char c : text) {
        columns += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U ? 1U : 0U;
    }
    return columns;
}

std::string wrapped(std::string_view text, std::size_t indent, std::size_t width) {
    std::string lines;
    std::size_t column = indent;
    bool first_of_line = true;
    while (!text.empty()) {
        const std::size_t end = text.find(' ');
        const std::string_view word = text.substr(0, end);
        text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
        if (!first_of_line && column + 1 + columnsOf(word) > width) {
            lines += '\n';
            lines.append(indent, ' ');
            column = indent;
            first_of_line = true;
        }
        if (!first_of_line) {
            lines += ' ';
            ++column;
        }
        lines += word;
        column += columnsOf(word);
        first_of_line = false;
    }
    return lines;
}

} // namespace potwatch::cli
