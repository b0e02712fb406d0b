// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/text_table.h"

#include "app/cli/output.h"

#include <algorithm>
#include <cstddef>

namespace potwatch::cli {

std::string tableText(std::span<const std::vector<std::string>> rows) {
    std::vector<std::size_t> widths;
    for (const std::vector<std::string>& row : rows) {
        widths.resize(std::max(widths.size(), row.size()));
        for (std::size_t i = 0; i < row.size(); ++i) {
            widths[i] = std::max(widths[i], columnsOf(row[i]));
        }
    }
    std::string text;
    for (const std::vector<std::string>& row : rows) {
        std::string line;
        for (std::size_t i = 0; i < row.size(); ++i) {
            line += "  " + row[i];
            line.append(widths[i] - columnsOf(row[i]), ' ');
        }
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + '\n';
    }
    return text;
}

} // namespace potwatch::cli
