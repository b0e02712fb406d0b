// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace potwatch::layers {

// What the files of a folder may include, and words they may not use. The rule of the longest folder that a file lies
// in holds, and it alone. Headers of the standard library are allowed unless they are forbidden, other libraries unless
// they start with a forbidden prefix; project headers only from the folders named.
struct Rule {
    std::string folder;                          // "io/csv"
    std::vector<std::string> allowed;            // folders whose headers may be included
    std::vector<std::string> forbidden_includes; // beginnings of <...>: "Q" for all of Qt
    std::vector<std::string> forbidden_words;    // of the code: "system_clock"
};

// The layers of the project.
[[nodiscard]] const std::vector<Rule>& projectRules();

// One broken rule: "analysis/heat/balance.cpp:7: includes ...; ...".
using Breach = std::string;

// The breaches of one file. A file that no rule covers is a breach itself.
// path: relative to the top of the project, with slashes.
[[nodiscard]] std::vector<Breach> breachesOf(std::string_view path, std::string_view text,
                                             const std::vector<Rule>& rules);

} // namespace potwatch::layers
