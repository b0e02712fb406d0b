// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/fit_output.h"
#include "app/cli/output.h"
#include "app/cli/text_table.h"
#include "app/session/fit_sections.h"

namespace potwatch::cli {
namespace {

constexpr std::size_t indent = 4;
constexpr std::size_t text_width = 78;

std::string note(const std::string& sentence) {
    return "  " + wrapped(sentence, indent, text_width) + "\n";
}

} // namespace

std::string fitText(const session::FittedFiles& fitted) {
    std::string text = session::fitTitle(fitted) + "\n";
    for (const session::FitSection& section : session::fitSections(fitted)) {
        text += "\n";
        text += section.title.empty() ? std::string() : note(section.title);
        for (const std::string& sentence : section.before) {
            text += note(sentence);
        }
        text += section.before.empty() || section.table.empty() ? "" : "\n";
        text += tableText(section.table);
        for (const std::string& sentence : section.after) {
            text += note(sentence);
        }
    }
    const std::vector<std::string> warnings = session::fitWarnings(fitted);
    text += warnings.empty() ? "" : "\n";
    for (const std::string& warning : warnings) {
        text += note("! " + warning);
    }
    return text;
}

} // namespace potwatch::cli
