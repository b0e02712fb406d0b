// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QPainter>

#include <functional>
#include <vector>

namespace potwatch::report {

// A strip of a page that is never torn: a line of text, a table row, a plot.
struct Strip {
    double height = 0.0;
    double space_before = 0.0;   // left out at a page's top
    bool keep_with_next = false; // not the last of its page
    bool on_new_page = false;
    int table = -1; // of this table; its first strip (the head) is repeated on each page
    std::function<void(QPainter&, double top)> paint{};
};

// Where a strip ended up.
struct PlacedStrip {
    std::size_t strip = 0;
    double top = 0.0;
};

// The strips of each page, from the top of a page that high. A strip higher than a page stands alone on one.
[[nodiscard]] std::vector<std::vector<PlacedStrip>> pagesOf(const std::vector<Strip>& strips, double page_height);

} // namespace potwatch::report
