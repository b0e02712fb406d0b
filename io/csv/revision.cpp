// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/revision.h"

#include <fmt/format.h>

namespace potwatch::csv {
namespace {

Fault dateFault(const std::string& file, std::string what) {
    return {.kind = FaultKind::input,
            .what = std::move(what),
            .where = {.file = file, .line = {}, .column = {}, .channel = {}},
            .remedy = "say which it is with --date-order day-first or --date-order month-first"};
}

// Integers first and decimals further down: the mark shows only there.
bool wantsOtherDecimal(const ColumnEvidence& evidence) {
    return evidence.other_decimal > 0 && !evidence.has_fraction;
}

char otherDecimal(char decimal) {
    return decimal == '.' ? ',' : '.';
}

} // namespace

Result<std::optional<Layout>> revise(const Layout& layout, const TableBuilder& read, const std::string& file) {
    Layout revised = layout;
    bool changed = false;
    ClockPlan& clock = revised.clock;
    const DateEvidence& dates = read.dates();
    if (clock.source == ClockPlan::Source::text && clock.dated && !clock.order_by_person) {
        const bool only_day_first = dates.day_first_line >= 0;
        const bool only_month_first = dates.month_first_line >= 0;
        if (only_day_first && only_month_first) {
            return tl::unexpected(
                dateFault(file, fmt::format("line {} only fits a date with the day first, line {} only one with "
                                            "the month first",
                                            dates.day_first_line, dates.month_first_line)));
        }
        if (!only_day_first && !only_month_first && dates.differ) {
            return tl::unexpected(dateFault(file, "the dates fit day first and month first alike"));
        }
        const DateOrder order = only_month_first ? DateOrder::monthFirst : DateOrder::dayFirst;
        if ((only_day_first || only_month_first) && order != clock.order) {
            clock.order = order;
            clock.label = order == DateOrder::dayFirst ? "date day-first" : "date month-first";
            changed = true;
        }
    }
    if (clock.source == ClockPlan::Source::number && wantsOtherDecimal(read.timeEvidence())) {
        clock.decimal = otherDecimal(clock.decimal);
        changed = true;
    }
    bool all_columns = !revised.columns.empty();
    for (std::size_t c = 0; c < revised.columns.size(); ++c) {
        if (wantsOtherDecimal(read.evidence()[c])) {
            revised.columns[c].decimal = otherDecimal(revised.columns[c].decimal);
            changed = true;
        }
        all_columns = all_columns && revised.columns[c].decimal != layout.dialect.decimal;
    }
    if (all_columns) {
        revised.dialect.decimal = otherDecimal(layout.dialect.decimal);
    }
    return changed ? std::optional{std::move(revised)} : std::nullopt;
}

} // namespace potwatch::csv
