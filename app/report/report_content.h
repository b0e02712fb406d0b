// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/compare.h"
#include "app/session/report_run.h"
#include "app/session/report_wish.h"

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
    bool strong = false; // what the reader came for
};

struct BulletList {
    std::vector<std::string> items{};
};

struct Table {
    std::string name{}; // what the table is of, for those who hear the page; not shown
    std::vector<std::string> head{};
    std::vector<std::vector<std::string>> rows{}; // each as long as the head
};

// One of the drawings that are made for a report (report_pictures.h): that of run i is the i-th; those of a comparison
// come after them, overlay and scatter.
struct PlotPlace {
    std::size_t drawing = 0;
    std::string description{}; // for those who cannot see it
    std::string caption{};     // below it; empty = none
};

// Photos side by side, two in a row.
struct PhotoPlace {
    std::size_t run = 0;
    std::size_t photo = 0; // of that run
    std::string caption{};
};
struct PhotoRow {
    std::vector<PhotoPlace> photos{}; // one or two
};

using Block = std::variant<Paragraph, BulletList, Table, PlotPlace, PhotoRow>;

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

// The names that runs have in a report, each once. Shape: one a run.
[[nodiscard]] std::vector<std::string> namesOf(std::span<const session::ReportRun> runs);

// The sections that are wanted, as far as there is something to say: the table of all runs is left out where the
// comparison has it or there is one run whose findings follow, events and photos where a run has none. `comparison`:
// of those of the runs that are no blanks, under their names in the report; null = none was made.
[[nodiscard]] ReportContent reportContent(std::span<const session::ReportRun> runs,
                                          const session::ReportWish& wish = {},
                                          const session::Comparison* comparison = nullptr);

} // namespace potwatch::report
