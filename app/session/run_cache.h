// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/run.h"
#include "app/session/celsius.h"
#include "io/book/book.h"

#include <cstddef>
#include <list>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::session {

// A run out of the book, whose traces become temperatures in °C, corrected, in place when it is first analysed.
struct ReadRun {
    book::RunId id;
    Run run;
    book::Conversion conversion;
    std::vector<std::string> remarks; // of its import
    std::size_t samples = 0;          // when it was read: a run being recorded grows
    Calibrations calibrations;        // that its traces are corrected by, or are to be
    bool is_corrected = false;
};

// Runs as they were read, so that an edit of the notes reads no trace again. One that was taken still counts as held:
// it is given back.
// Threads: every function may be called from any thread.
class RunCache {
public:
    [[nodiscard]] bool holds(const book::RunId& id, std::size_t samples, const Calibrations& calibrations) const;
    void put(ReadRun run);
    [[nodiscard]] std::optional<ReadRun> take(const book::RunId& id);
    void giveBack(ReadRun run);
    // Drops the runs longest unused, but for those in use, until no more than that many values are held.
    void trim(std::size_t most_values, std::span<const book::RunId> in_use);
    void clear();

private:
    struct Entry {
        book::RunId id;
        std::size_t samples = 0;
        Calibrations calibrations;
        std::size_t values = 0;
        std::optional<ReadRun> run; // empty while taken
    };

    mutable std::mutex mutex_;
    std::list<Entry> entries_; // the latest used first
};

} // namespace potwatch::session
