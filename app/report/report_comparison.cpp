// SPDX-License-Identifier: GPL-3.0-or-later
// The runs of a report beside each other.
#include "app/format/text.h"
#include "app/report/report_parts.h"
#include "app/session/compare_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::report {
namespace {

// What the marks of the scatter mean that are not plain dots.
std::string keyToMarks(const session::Comparison& comparison) {
    const auto any = [&](auto is) {
        return std::any_of(comparison.scatter.begin(), comparison.scatter.end(),
                           [&](const session::ScatterPoint& point) { return point.point && is(point); });
    };
    std::string key;
    if (any([](const auto& point) { return point.counts() && point.point->at_least; })) {
        key = "Open with an arrow: the pot boiled and would have become hotter; the trend counts it as that hot or "
              "hotter.";
    }
    if (any([](const auto& point) { return !point.counts(); })) {
        key += key.empty() ? "" : " ";
        key += "Struck through: not counted in the trend.";
    }
    return key;
}

std::string overlayDescription(const session::Comparison& comparison) {
    return fmt::format("Temperatures of {} runs laid over each other at {}.", comparison.names.size(),
                       comparison.request.align == compare::Align::dose ? "dose start" : "the start");
}

} // namespace

bool isAnyAligned(const session::Comparison& comparison) {
    return std::any_of(comparison.aligned.begin(), comparison.aligned.end(),
                       [](const compare::AlignedRun& run) { return run.offset_s.has_value(); });
}

std::vector<std::vector<std::string>> comparisonMethods(const session::Comparison& comparison) {
    std::vector<std::vector<std::string>> rows;
    if (comparison.trend) {
        rows.push_back(
            {"trend of the comparison",
             "Fitted by maximum likelihood: each run with its own uncertainty, and a scatter between runs that takes "
             "up "
             "what the form misses. A pot that boiled counts by how likely it would have come to its boiling point or "
             "above. Of straight, logarithmic and saturating the form with the least AICc is taken, the smallest where "
             "there are too few runs for it. The bands hold the trend, and one more run, with 95 % confidence "
             "(Student's t)."});
    }
    if (comparison.at_limit) {
        rows.push_back({fmt::format("{} at the limit", comparison.x->title),
                        "Where the trend meets the limit. The interval holds every value that the runs do not "
                        "contradict (profile likelihood with Student's t)."});
    }
    if (comparison.next) {
        rows.push_back({"next rate to try",
                        "The fastest at which one more run stays under the limit in 39 of 40 cases, where the trend "
                        "is known well enough to say so. It is never more than half as fast again as the fastest run "
                        "that stayed under the limit, nor less than half of the slowest run."});
    }
    return rows;
}

std::vector<Block> comparisonBlocks(std::span<const session::ReportRun> runs, const session::Comparison* comparison) {
    if (comparison == nullptr) {
        return {Paragraph{.text = "Fewer than two of these runs can be compared: a blank says how its vessel loses "
                                  "heat, and nothing cures in it.",
                          .strong = true},
                summaryTable(runs)};
    }
    const std::size_t overlay = runs.size(); // after the plots of the runs
    const std::size_t scatter = overlay + 1;
    std::vector<Block> blocks{Paragraph{.text = format::oneLine(session::headlineOf(*comparison)), .strong = true}};
    // A picture with nothing in it says nothing: why is in the sentences.
    if (isAnyAligned(*comparison)) {
        blocks.emplace_back(PlotPlace{.drawing = overlay, .description = overlayDescription(*comparison)});
    }
    blocks.emplace_back(summaryTable(runs, false));
    if (std::any_of(comparison->scatter.begin(), comparison->scatter.end(),
                    [](const session::ScatterPoint& point) { return point.point.has_value(); })) {
        blocks.emplace_back(
            PlotPlace{.drawing = scatter,
                      .description = fmt::format("{} against {}.", comparison->y->title, comparison->x->title),
                      .caption = keyToMarks(*comparison)});
    }
    BulletList list;
    for (const session::CompareSentence& sentence : session::sentencesOf(*comparison)) {
        list.items.push_back(format::oneLine(sentence.text));
    }
    if (!list.items.empty()) {
        blocks.emplace_back(std::move(list));
    }
    return blocks;
}

} // namespace potwatch::report
