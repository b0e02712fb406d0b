// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"
#include "io/book/book.h"

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::session {

// A run of the book with what the list shows of its findings.
struct ListedRun {
    book::RunRow row;
    std::optional<Estimate> peak_c;
    bool boiled = false;

    bool operator==(const ListedRun&) const = default;
};

// Reads what the list shows out of the findings that the book keeps; a text that is not understood shows nothing.
[[nodiscard]] ListedRun listedRun(book::RunRow row);

enum class SortKey { date, name, peak, doseRate };

struct ListWish {
    std::string search; // words that all must occur: in name, notes, tags, substances, vessel, events, source file
    std::string tag;    // empty = any
    SortKey sort = SortKey::date;
    bool descending = false;

    bool operator==(const ListWish&) const = default;
};

// A line of the list.
struct BookLine {
    std::size_t run = 0; // index into the runs given
    int depth = 0;       // steps to indent: what a run is based on stands above it
    std::string name;    // "rod 04"
    std::string change;  // what it changed from the run it is based on: "0.50 to 0.30 g/min"; empty = not based on one
    std::string outcome; // "foam through, 12 % voids"; empty = not stated
    std::string date_text; // "14 Mar 2026"

    bool operator==(const BookLine&) const = default;
};

// The lines of the runs that are not withdrawn and meet the wish. By date, a run stands under the one it is based on
// (Batch::based_on names it), a step further in; a chain in which each run is followed by one other stays at one step.
// By any other key the list is flat. Runs without the figure that is sorted by come last.
[[nodiscard]] std::vector<BookLine> bookLines(std::span<const ListedRun> runs, const ListWish& wish);

// Tags of the runs that are not withdrawn, in the order of the alphabet, each once.
[[nodiscard]] std::vector<std::string> tagsOf(std::span<const ListedRun> runs);

// "foam at the edge, 6.8 % voids"; empty where nothing is stated.
[[nodiscard]] std::string outcomeText(const Outcome& outcome);

// The day alone, as the clock beside the pot showed it: "14 Mar 2026".
[[nodiscard]] std::string dayText(const WallTime& time);

// The moment that a run counts as: when it was started, else when it was added. Microseconds of UTC.
[[nodiscard]] std::int64_t momentOf(const book::RunRow& row);

// The run that another is based on, by name; several of that name: the latest one before it. Empty = none.
[[nodiscard]] std::optional<std::size_t> parentOf(std::span<const ListedRun> runs, std::size_t run);

} // namespace potwatch::session
