// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/nearest.h"

#include <algorithm>
#include <vector>

namespace potwatch::batch {

namespace {

constexpr std::size_t longest_word = 64; // twice the longest key; anything longer is no slip of the pen

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool sameLetter(char a, char b) {
    return lower(a) == lower(b);
}

bool startsWith(std::string_view word, std::string_view beginning) {
    return beginning.size() >= 3 && beginning.size() <= word.size() &&
           std::equal(beginning.begin(), beginning.end(), word.begin(), sameLetter);
}

} // namespace

std::size_t editDistance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before(b.size() + 1);
    std::vector<std::size_t> above(b.size() + 1);
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) {
        row[j] = j;
    }
    for (std::size_t i = 1; i <= a.size(); ++i) {
        before.swap(above);
        above.swap(row);
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t changed = above[j - 1] + (sameLetter(a[i - 1], b[j - 1]) ? 0 : 1);
            row[j] = std::min({above[j] + 1, row[j - 1] + 1, changed});
            if (i > 1 && j > 1 && sameLetter(a[i - 1], b[j - 2]) && sameLetter(a[i - 2], b[j - 1])) {
                row[j] = std::min(row[j], before[j - 2] + 1);
            }
        }
    }
    return row[b.size()];
}

std::optional<std::size_t> nearest(std::string_view written, std::span<const std::string> words) {
    if (written.empty() || written.size() > longest_word) {
        return std::nullopt;
    }
    std::optional<std::size_t> best;
    std::size_t least = 0;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const std::size_t edits = startsWith(words[i], written) ? 1 : editDistance(written, words[i]);
        const std::size_t allowed = std::max<std::size_t>(1, std::max(written.size(), words[i].size()) / 3);
        if (edits <= allowed && (!best || edits < least)) {
            best = i;
            least = edits;
        }
    }
    return best;
}

} // namespace potwatch::batch
