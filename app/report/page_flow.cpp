// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/page_flow.h"

#include <cstddef>
#include <optional>

namespace potwatch::report {
namespace {

// Height of a strip and of what must stand on the same page after it.
double heightOfGroup(const std::vector<Strip>& strips, std::size_t first) {
    double height = strips[first].height;
    for (std::size_t i = first; strips[i].keep_with_next && i + 1 < strips.size() && !strips[i + 1].on_new_page; ++i) {
        height += strips[i + 1].space_before + strips[i + 1].height;
    }
    return height;
}

std::optional<std::size_t> headOf(const std::vector<Strip>& strips, std::size_t row) {
    if (strips[row].table < 0) {
        return std::nullopt;
    }
    std::size_t head = row;
    while (head > 0 && strips[head - 1].table == strips[row].table) {
        --head;
    }
    return head == row ? std::nullopt : std::optional(head);
}

} // namespace

std::vector<std::vector<PlacedStrip>> pagesOf(const std::vector<Strip>& strips, double page_height) {
    std::vector<std::vector<PlacedStrip>> pages(1);
    double y = 0.0;
    for (std::size_t i = 0; i < strips.size(); ++i) {
        const Strip& strip = strips[i];
        const bool after_keeper = i > 0 && strips[i - 1].keep_with_next && !strip.on_new_page;
        const double before = pages.back().empty() ? 0.0 : strip.space_before;
        // A group is moved as a whole when it begins; within it only a group higher than a page is broken.
        const double needed = after_keeper ? strip.height : heightOfGroup(strips, i);
        const bool fits = y + before + needed <= page_height;
        if (!pages.back().empty() && (strip.on_new_page || !fits)) {
            pages.emplace_back();
            y = 0.0;
            if (const auto head = headOf(strips, i)) {
                pages.back().push_back({.strip = *head, .top = 0.0});
                y = strips[*head].height;
            }
        } else {
            y += before;
        }
        pages.back().push_back({.strip = i, .top = y});
        y += strip.height;
    }
    return pages;
}

} // namespace potwatch::report
