// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/book_list.h"

#include <span>
#include <string>
#include <vector>

namespace potwatch::session {

// A run of the book that a fit could take.
struct FitCandidate {
    book::RunId id;
    std::string name;
    Batch batch;
    std::string note;   // why it cannot take part, or what it is; empty = an ordinary run
    bool can = true;    // false: something that a fit needs is not stated
    bool taken = false; // worth taking along with the run that is shown

    bool operator==(const FitCandidate&) const = default;
};

// The runs that are neither withdrawn nor being recorded, in the book's order, blanks last. Taken along are those of
// the shown run's resin, as far as the batch files tell (heat of reaction, specific heat, what was dosed), and blanks
// of their vessels.
[[nodiscard]] std::vector<FitCandidate> fitCandidates(std::span<const ListedRun> runs, const book::RunId& shown);

} // namespace potwatch::session
