// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/table_builder.h"

#include "io/csv/column_titles.h"
#include "io/csv/dialect.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <sys/mman.h>
#include <unistd.h>

namespace potwatch::csv {
namespace {

// Makes room without touching it, in large pages where the system has them: on fresh memory most of the time of an
// import goes into page faults. A refusal of the advice changes nothing but the time taken.
void reserveColumn(std::vector<double>& column, std::size_t rows) {
    column.reserve(rows);
    constexpr std::size_t worth_it = std::size_t{4} << 20;
    const std::size_t bytes = column.capacity() * sizeof(double);
    if (bytes >= worth_it) {
        const auto page = static_cast<std::size_t>(::sysconf(_SC_PAGESIZE));
        const auto start = reinterpret_cast<std::uintptr_t>(column.data());
        const std::uintptr_t first = (start + page - 1) / page * page;
        ::madvise(reinterpret_cast<void*>(first), (start + bytes - first) / page * page, MADV_HUGEPAGE);
    }
}

// Which line a kept row of the block stands on; rows are asked for in ascending order.
class LineOfRow {
public:
    explicit LineOfRow(const BlockRows& rows)
        : rows_(rows) {}

    long operator()(std::size_t row) {
        while (mark_ + 1 < rows_.marks.size() && rows_.marks[mark_ + 1].row <= row) {
            ++mark_;
        }
        return rows_.marks[mark_].line + static_cast<long>(row - rows_.marks[mark_].row);
    }

private:
    const BlockRows& rows_;
    std::size_t mark_ = 0;
};

long lineIn(long line, long first_line) {
    return line < 0 ? line : line + first_line;
}

} // namespace

TableBuilder::TableBuilder(const Layout& layout, std::optional<std::uint64_t> bytes_expected)
    : layout_(layout)
    , bytes_expected_(bytes_expected)
    , next_line_(layout.lines_above + 1)
    , evidence_(layout.columns.size())
    , last_run_(layout.columns.size()) {
    for (const ColumnPlan& column : layout.columns) {
        table_.channels.push_back({.name = column.name, .unit = column.unit, .values = {}});
    }
    table_.summaries.resize(layout.columns.size());
}

void TableBuilder::append(BlockRows& rows, std::size_t bytes) {
    if (table_.time_s.empty() && rows.rows > 0) {
        first_offset_s_ = rows.first_offset_s;
    }
    makeRoom(rows, bytes);
    appendTimes(rows);
    appendValues(rows);
    appendCells(rows);
    addEvidence(rows);
    ticks_ += rows.ticks;
    next_line_ += rows.lines;
    comments_ += rows.comments;
}

void TableBuilder::makeRoom(const BlockRows& rows, std::size_t bytes) {
    const std::size_t needed = table_.time_s.size() + rows.rows;
    if (needed <= table_.time_s.capacity()) {
        return;
    }
    std::size_t room = needed + needed / 2;
    if (bytes_expected_ && table_.time_s.empty() && bytes > 0) {
        // As many rows per byte all through, and a little more.
        const double blocks = static_cast<double>(*bytes_expected_) / static_cast<double>(bytes);
        room = std::max(needed, static_cast<std::size_t>(static_cast<double>(rows.rows) * blocks * 1.03));
    }
    reserveColumn(table_.time_s, room);
    for (Channel& channel : table_.channels) {
        reserveColumn(channel.values, room);
    }
}

// A time of day that falls by nearly a day has passed midnight; one that then jumps up by nearly a day belongs before
// it.
void TableBuilder::passMidnight(BlockRows& rows) {
    const double period = layout_.clock.wrap_us;
    double previous = previous_raw_;
    bool any = !table_.time_s.empty();
    for (std::size_t r = 0; r < rows.rows; ++r) {
        const double own = rows.time[r];
        highest_raw_ = std::max(highest_raw_, own);
        if (any && highest_raw_ <= period) { // a clock that has shown more than 24 h counts on by itself
            const double step = own + wrapped_raw_ - previous;
            if (step < -period / 2.0) {
                wrapped_raw_ += period;
                ++midnights_;
            } else if (step > period * 23.0 / 24.0 && wrapped_raw_ > 0.0) {
                wrapped_raw_ -= period;
            }
        }
        rows.time[r] = own + wrapped_raw_;
        previous = rows.time[r];
        any = true;
    }
}

void TableBuilder::appendTimes(BlockRows& rows) {
    if (rows.rows == 0) {
        return;
    }
    const ClockPlan& clock = layout_.clock;
    double* const time = rows.time.data();
    if (clock.source == ClockPlan::Source::interval) {
        const auto before = static_cast<double>(ticks_);
        std::for_each(time, time + rows.rows, [before](double& raw) { raw += before; });
    }
    if (clock.wrap_us > 0.0) {
        passMidnight(rows);
    }
    const bool is_first = table_.time_s.empty();
    if (is_first) {
        first_raw_ = time[0];
    }
    bool rising = is_first || time[0] > previous_raw_;
    for (std::size_t r = 1; r < rows.rows; ++r) {
        rising &= time[r] > time[r - 1];
    }
    if (!rising) {
        LineOfRow line(rows);
        double previous = is_first ? -std::numeric_limits<double>::infinity() : previous_raw_;
        for (std::size_t r = 0; r < rows.rows; ++r) {
            if (time[r] <= previous) {
                ++table_.clock_fault_count;
                if (table_.clock_faults.size() < max_listed) {
                    const double back_s = (previous - time[r]) * clock.numerator / clock.denominator;
                    table_.clock_faults.push_back(
                        {.line = next_line_ + line(r),
                         .reason = time[r] == previous ? "the same time as the row before"
                                                       : fmt::format("the time steps back by {:.6g} s", back_s)});
                }
            }
            previous = time[r];
        }
    }
    previous_raw_ = time[rows.rows - 1];
    const double first = first_raw_;
    const double numerator = clock.numerator;
    const double denominator = clock.denominator;
    for (std::size_t r = 0; r < rows.rows; ++r) {
        time[r] = (time[r] - first) * numerator / denominator;
    }
    table_.time_s.insert(table_.time_s.end(), time, time + rows.rows);
}

void TableBuilder::appendValues(const BlockRows& rows) {
    const std::size_t rows_before = table_.time_s.size() - rows.rows;
    for (std::size_t c = 0; c < rows.values.size(); ++c) {
        std::vector<double>& values = table_.channels[c].values;
        const double* const own = rows.values[c].data();
        values.insert(values.end(), own, own + rows.rows);

        const ColumnSummary& block = rows.summaries[c];
        ColumnSummary& all = table_.summaries[c];
        all.kept += block.kept;
        if (block.min && (!all.min || *block.min < *all.min)) {
            all.min = block.min;
        }
        if (block.max && (!all.max || *block.max > *all.max)) {
            all.max = block.max;
            all.max_at_s = table_.time_s[rows_before + rows.max_rows[c]];
        }
    }
}

void TableBuilder::appendCells(const BlockRows& rows) {
    const std::size_t rows_before = table_.time_s.size() - rows.rows;
    for (const CellRun& run : rows.cells) {
        std::optional<std::size_t>& last = last_run_[run.column];
        const std::size_t first_row = run.first_row + rows_before;
        if (last && cells_[*last].is_text == run.is_text && cells_[*last].last_row + 1 == first_row) {
            cells_[*last].last_row = run.last_row + rows_before;
            cells_[*last].last_line = run.last_line + next_line_;
        } else if (cells_.size() < max_listed) {
            last = cells_.size();
            cells_.push_back(run);
            CellRun& own = cells_.back();
            own.first_row = first_row;
            own.last_row += rows_before;
            own.first_line += next_line_;
            own.last_line += next_line_;
        } else {
            last.reset();
        }
    }
}

void TableBuilder::addEvidence(const BlockRows& rows) {
    const auto add = [this](ColumnEvidence& all, const ColumnEvidence& block) {
        all.missing += block.missing;
        all.texts += block.texts;
        all.first_missing_line =
            all.first_missing_line < 0 ? lineIn(block.first_missing_line, next_line_) : all.first_missing_line;
        all.first_text_line = all.first_text_line < 0 ? lineIn(block.first_text_line, next_line_) : all.first_text_line;
        all.other_decimal += block.other_decimal;
        all.has_fraction = all.has_fraction || block.has_fraction;
    };
    for (std::size_t c = 0; c < evidence_.size(); ++c) {
        add(evidence_[c], rows.evidence[c]);
    }
    add(time_evidence_, rows.time_evidence);
    dates_.differ = dates_.differ || rows.dates.differ;
    dates_.day_first_line =
        dates_.day_first_line < 0 ? lineIn(rows.dates.day_first_line, next_line_) : dates_.day_first_line;
    dates_.month_first_line =
        dates_.month_first_line < 0 ? lineIn(rows.dates.month_first_line, next_line_) : dates_.month_first_line;

    table_.rows_refused += rows.refused_count;
    for (const Refusal& refusal : rows.refused) {
        if (table_.refused.size() == max_listed) {
            break;
        }
        table_.refused.push_back({.line = refusal.line + next_line_, .reason = refusal.reason});
    }
}

std::string TableBuilder::title(std::size_t column) const {
    return columnTitle(layout_.names, layout_.columns[column].index);
}

void TableBuilder::listCells() {
    for (const CellRun& run : cells_) {
        if (table_.summaries[run.column].kept == 0) {
            continue; // said once, of the whole column
        }
        const std::size_t rows = run.last_row - run.first_row + 1;
        std::string reason = run.is_text
                                 ? fmt::format("{} holds \"{}\", which is no number", title(run.column), run.text)
                                 : fmt::format("{} has no value", title(run.column));
        if (rows > 1) {
            reason += fmt::format(" (and so in {} rows up to line {})", rows, run.last_line);
        }
        table_.odd_cells.push_back({.line = run.first_line, .reason = std::move(reason)});
    }
    std::stable_sort(table_.odd_cells.begin(), table_.odd_cells.end(),
                     [](const Refusal& a, const Refusal& b) { return a.line < b.line; });
}

void TableBuilder::dropColumnsWithoutNumbers() {
    std::vector<Channel> channels;
    std::vector<ColumnSummary> summaries;
    for (std::size_t c = 0; c < table_.channels.size(); ++c) {
        const ColumnSummary& summary = table_.summaries[c];
        const bool empty = summary.kept == 0 && !layout_.columns[c].wanted_by_person;
        if (empty && summary.text_cells > 0) {
            table_.notes.push_back(fmt::format("{} holds no numbers: left out", title(c)));
            continue;
        }
        if (empty && table_.channels[c].name.empty()) {
            continue; // a delimiter at the end of each line
        }
        if (summary.kept == 0) {
            table_.notes.push_back(fmt::format("{} holds no numbers", title(c)));
        }
        table_.odd_cell_count += summary.missing + summary.text_cells;
        channels.push_back(std::move(table_.channels[c]));
        summaries.push_back(summary);
    }
    table_.channels = std::move(channels);
    table_.summaries = std::move(summaries);
}

std::optional<WallTime> TableBuilder::started() const {
    const ClockPlan& clock = layout_.clock;
    if (table_.time_s.empty()) {
        return std::nullopt;
    }
    if (clock.source == ClockPlan::Source::text && clock.dated) {
        return WallTime{.utc_us = static_cast<std::int64_t>(first_raw_), .offset_s = first_offset_s_};
    }
    if (clock.source == ClockPlan::Source::number && clock.origin_s) {
        const double utc_s = first_raw_ * clock.numerator / clock.denominator + *clock.origin_s;
        return WallTime{.utc_us = std::llround(utc_s * 1e6),
                        .offset_s = clock.origin_is_utc ? std::optional{0} : std::nullopt};
    }
    return std::nullopt;
}

Table TableBuilder::finish() {
    table_.encoding = nameOf(layout_.encoding);
    table_.delimiter = delimiterName(layout_.dialect.delimiter);
    table_.decimal = decimalName(layout_.dialect.decimal);
    table_.header_lines = layout_.lines_above;
    table_.clock = layout_.clock.label;
    table_.notes = layout_.notes;
    if (midnights_ > 0) {
        table_.notes.push_back(midnights_ == 1 ? "the clock starts anew once: counted on"
                                               : fmt::format("the clock starts anew {} times: counted on", midnights_));
    }
    if (comments_ > 0) {
        table_.notes.push_back(fmt::format("{} comment lines in the table passed over", comments_));
    }
    table_.started = started();
    for (std::size_t c = 0; c < evidence_.size(); ++c) {
        ColumnSummary& summary = table_.summaries[c];
        summary.missing = evidence_[c].missing;
        summary.text_cells = evidence_[c].texts;
        summary.first_missing_line =
            evidence_[c].first_missing_line < 0 ? std::nullopt : std::optional{evidence_[c].first_missing_line};
        summary.first_text_line =
            evidence_[c].first_text_line < 0 ? std::nullopt : std::optional{evidence_[c].first_text_line};
    }
    listCells();
    dropColumnsWithoutNumbers();
    return std::move(table_);
}

} // namespace potwatch::csv
