// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/compare.h"

#include <string>
#include <vector>

namespace potwatch::session {

// What a comparison says in whole sentences, the same on the page and in the report.

// What is said first: the next rate to try and why, else where the trend meets the limit, else the trend or why there
// is none.
[[nodiscard]] std::string headlineOf(const Comparison& comparison);

// All else that is to be said of it, in order; nothing of it is in the headline.
struct CompareSentence {
    std::string text;
    bool strong = false; // what the person came for
};
[[nodiscard]] std::vector<CompareSentence> sentencesOf(const Comparison& comparison);

} // namespace potwatch::session
