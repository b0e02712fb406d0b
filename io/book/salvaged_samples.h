// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/database.h"

#include <cstddef>
#include <cstdint>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::book {

// What is left of one run's samples.
struct SalvagedRun {
    std::size_t stated = 0; // how many the run's row says there were; 0 = it does not say
    // By column and place: which row of the damaged book's chunks holds it. Sound ones only.
    struct Piece {
        std::int64_t row = 0;
        std::size_t count = 0;
    };
    std::map<std::pair<std::size_t, std::size_t>, Piece> pieces;
    std::map<std::size_t, std::size_t> counts;                           // by place: how many samples any chunk states
    std::map<std::size_t, std::pair<std::string, std::string>> channels; // by number: name and unit
    std::map<std::int64_t, std::int64_t> tail;                           // by place in the run: row of the tail
};

// Looks through chunks, tails and channels of a damaged book; what belongs to no run is told.
[[nodiscard]] std::map<std::int64_t, SalvagedRun> salvageSamples(const Database& from, std::vector<std::string>& said);

// Writes what is left of a run: samples whose time is lost are left out, values that are lost become missing values.
// Says in a sentence what is lost. True: nothing is.
// Errors: storage (of the new book).
[[nodiscard]] Result<bool> writeSalvaged(const Database& from, const Database& to, std::int64_t run,
                                         const std::string& name, const SalvagedRun& salvaged,
                                         std::vector<std::string>& said);

} // namespace potwatch::book
