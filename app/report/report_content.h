// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"

#include <cstddef>
#include <span>
#include <string>
#include <variant>
#include <vector>

namespace potwatch::report {

// What a report says, in finished words and before any layout; HTML and PDF are two renderings of the same content, so
// that they cannot differ in a figure. All text is plain (not escaped), one line a string.

struct Paragraph {
    std::string text{};
};

struct BulletList {
    std::vector<std::string> items{};
};

struct Table {
    std::string name{}; // what the table is of, for those who hear the page; not shown
    std::vector<std::string> head{};
    std::vector<std::vector<std::string>> rows{}; // each as long as the head
};

// The plot of one of the runs.
struct PlotPlace {
    std::size_t run = 0;
    std::string description{};
};

using Block = std::variant<Paragraph, BulletList, Table, PlotPlace>;

struct Section {
    std::string heading{};
    int level = 2; // 2 = a part of the report, 3 = within it
    bool on_new_page = false;
    std::vector<Block> blocks{};
};

struct ReportContent {
    std::string title{};
    std::vector<Block> lead{}; // between the title and the first section
    std::vector<Section> sections{};
    std::string foot{}; // on every page
};

// One run: its findings, plot, warnings, inputs. Several: a table of all first, then the same for each. Cautions and
// method last.
[[nodiscard]] ReportContent reportContent(std::span<const Analysis> analyses);

} // namespace potwatch::report
