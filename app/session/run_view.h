// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"
#include "io/book/book.h"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::session {

// One run of the book as a page shows it: what is stated, and what was found.
struct RunView {
    book::RunId id;
    book::Notes notes;
    std::vector<std::string> channels;        // of the trace, for choosing the pot's, the air's ...
    std::vector<std::string> photos;          // names, in the book
    std::optional<Batch> previous;            // of the run before it: "same as last run"
    std::string previous_name;                // of that run
    std::shared_ptr<const Analysis> analysis; // null where it could not be analysed, or not yet
    std::vector<Fault> faults;                // why it could not
};

} // namespace potwatch::session
