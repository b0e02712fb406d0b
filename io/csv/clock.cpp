// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/clock.h"

#include "io/csv/column_titles.h"
#include "io/csv/counting.h"
#include "io/csv/vocabulary.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace potwatch::csv {
namespace {

// How likely year, month and day in columns are, beside the scores of single columns.
constexpr int calendar_score = 92;

enum class MomentKind { none, full, dateOnly, timeOnly };

MomentKind momentKind(const ColumnSample& column) {
    if (!column.isMoments()) {
        return MomentKind::none;
    }
    std::size_t dates = 0;
    std::size_t times = 0;
    for (const Moment& moment : column.times) {
        dates += moment.date != Moment::Date::none ? 1 : 0;
        times += moment.has_time ? 1 : 0;
    }
    if (dates * 2 < column.times.size()) {
        return MomentKind::timeOnly;
    }
    // Spreadsheets leave the time off at midnight.
    return times > 0 ? MomentKind::full : MomentKind::dateOnly;
}

class Chooser {
public:
    Chooser(const Head& head, const ImportOptions& options, const std::string& file)
        : head_(head)
        , options_(options)
        , file_(file) {}

    Result<ClockChoice> choose() {
        std::optional<std::size_t> column;
        if (options_.interval_s && !(*options_.interval_s > 0.0 && std::isfinite(*options_.interval_s))) {
            return tl::unexpected(
                fault("rows cannot be that far apart", "give --interval a number of seconds above 0"));
        }
        if (options_.interval_s) {
            choice_.plan.source = ClockPlan::Source::interval;
            choice_.plan.numerator = *options_.interval_s;
            choice_.plan.label = "interval";
            listOtherClocks();
            return choice_;
        }
        if (!options_.time_column.empty()) {
            column = columnMeant(options_.time_column, head_.names);
            if (!column) {
                return tl::unexpected(fault(fmt::format("no column \"{}\"", options_.time_column),
                                            fmt::format("the columns are {}: name one with --time, or give its number",
                                                        columnList(head_.names))));
            }
            if (!head_.columns[*column].isMoments() && !head_.columns[*column].isNumbers()) {
                return tl::unexpected(
                    fault(fmt::format("{} holds no times", columnTitle(head_.names, *column)),
                          "name another column with --time, or say how far apart the rows are with --interval "
                          "SECONDS"));
            }
        } else {
            column = bestColumn();
            if (const std::vector<std::size_t> calendar = calendarColumns();
                !calendar.empty() && (!column || score(*column) < calendar_score)) {
                planCalendar(calendar);
                listOtherClocks();
                return choice_;
            }
            if (!column) {
                return tl::unexpected(noTimeColumn());
            }
        }
        if (head_.columns[*column].isMoments()) {
            planText(*column);
        } else {
            planNumber(*column);
        }
        listOtherClocks();
        return choice_;
    }

private:
    [[nodiscard]] Fault fault(std::string what, std::string remedy) const {
        return {.kind = FaultKind::input,
                .what = std::move(what),
                .where = {.file = file_, .line = {}, .column = {}, .channel = {}},
                .remedy = std::move(remedy)};
    }

    [[nodiscard]] Fault noTimeColumn() const {
        std::string counters;
        for (std::size_t c = 0; c < head_.columns.size(); ++c) {
            if (isCounter(head_.columns[c])) {
                counters = fmt::format(" ({} only counts the rows)", columnTitle(head_.names, c));
            }
        }
        return fault(fmt::format("no time column among {}{}", columnList(head_.names), counters),
                     "name it with --time COLUMN, or say how far apart the rows are with --interval SECONDS");
    }

    // Higher is likelier; 0 = no clock.
    [[nodiscard]] int score(std::size_t c) const {
        const ColumnSample& column = head_.columns[c];
        const std::string& name = head_.names[c];
        switch (momentKind(column)) {
        case MomentKind::full:
            return 100 - repeatPenalty(column);
        case MomentKind::dateOnly:
            return partner(c, MomentKind::timeOnly) || hourBeside(c) ? 95 : 50 - repeatPenalty(column);
        case MomentKind::timeOnly:
            return (partner(c, MomentKind::dateOnly) ? 94 : 75) - repeatPenalty(column);
        case MomentKind::none:
            break;
        }
        if (!column.isNumbers()) {
            return 0;
        }
        const Steps steps = stepsOf(column.values);
        const bool other_quantity = isTemperatureName(name) || !unitInName(name).empty() ||
                                    (!head_.units[c].empty() && !timeUnit(head_.units[c]));
        const bool named = (isTimeName(name) && !isTemperatureName(name)) || timeUnit(head_.units[c]).has_value() ||
                           timeUnit(column.cell_unit).has_value();
        if (epochUnit(column.values, timeUnitInName(name)) && !other_quantity && steps.falling <= 0.2) {
            return 90;
        }
        if (named && isRowNumberName(name) && isCounter(column)) {
            return 20;
        }
        // What goes up and down is a quantity, whatever its name says ("maximum of the last hour"); rows in the reverse
        // order only go down.
        if (steps.rising > 0.2 && steps.falling > 0.2) {
            return 0;
        }
        if (named) {
            return steps.rising > 0.5 && steps.falling <= 0.2 ? 80 : 30;
        }
        if (other_quantity || isCounter(column) || isRowNumberName(name)) {
            return 0;
        }
        const bool only_rises = head_.header_text.empty() && c == 0 && steps.falling == 0.0 && steps.rising > 0.5;
        if (!risesLikeAClock(steps) && !only_rises) {
            return 0;
        }
        // Without a name that says so, only where clocks stand: first, or behind the row numbers.
        const bool in_front = c == 0 || (c == 1 && isCounter(head_.columns[0]));
        return in_front ? 40 : 0;
    }

    // Many rows at one time: the clock is coarser than the rows, and a finer one serves better.
    [[nodiscard]] static int repeatPenalty(const ColumnSample& column) {
        std::size_t repeats = 0;
        for (std::size_t i = 1; i < column.times.size(); ++i) {
            repeats += microseconds(column.times[i], DateOrder::dayFirst) ==
                               microseconds(column.times[i - 1], DateOrder::dayFirst)
                           ? 1
                           : 0;
        }
        return repeats * 5 > column.times.size() ? 30 : 0;
    }

    [[nodiscard]] std::optional<std::size_t> bestColumn() const {
        std::optional<std::size_t> best;
        int best_score = 0;
        for (std::size_t c = 0; c < head_.columns.size(); ++c) {
            const int own = score(c);
            if (own > best_score) {
                best_score = own;
                best = c;
            }
        }
        return best;
    }

    // The nearest column of that kind.
    [[nodiscard]] std::optional<std::size_t> partner(std::size_t c, MomentKind kind) const {
        std::optional<std::size_t> nearest;
        const auto distance = [c](std::size_t other) { return other > c ? other - c : c - other + 1; };
        for (std::size_t other = 0; other < head_.columns.size(); ++other) {
            if (other != c && momentKind(head_.columns[other]) == kind &&
                (!nearest || distance(other) < distance(*nearest))) {
                nearest = other;
            }
        }
        return nearest;
    }

    [[nodiscard]] static bool isHours(const ColumnSample& column) {
        return std::all_of(column.values.begin(), column.values.end(),
                           [](double value) { return value >= 0.0 && value <= 24.0 && value == std::floor(value); });
    }

    // 0000 to 2300
    [[nodiscard]] static bool isHoursAndMinutes(const ColumnSample& column) {
        return std::all_of(column.values.begin(), column.values.end(), [](double value) {
            return value >= 0.0 && value <= 2400.0 && value == std::floor(value) && std::fmod(value, 100.0) < 60.0;
        });
    }

    // The hour of the day as a number, in the column behind a date of which several rows share each.
    [[nodiscard]] std::optional<std::size_t> hourBeside(std::size_t c) const {
        static constexpr std::array<std::string_view, 8> names{"hour", "hours", "hr",     "hrs",
                                                               "hora", "heure", "stunde", "time"};
        if (c + 1 >= head_.columns.size() || repeatPenalty(head_.columns[c]) == 0) {
            return std::nullopt;
        }
        const ColumnSample& column = head_.columns[c + 1];
        const std::vector<std::string> parts = words(head_.names[c + 1]);
        const bool named = std::any_of(parts.begin(), parts.end(), [](const std::string& word) {
            return std::find(names.begin(), names.end(), word) != names.end();
        });
        return named && column.isNumbers() && (isHours(column) || isHoursAndMinutes(column)) ? std::optional{c + 1}
                                                                                             : std::nullopt;
    }

    // Year, month and day in columns of their own, and what of hour, minute and second there is, in this order.
    [[nodiscard]] std::vector<std::size_t> calendarColumns() const {
        static constexpr std::array<std::array<std::string_view, 5>, 6> names{
            {{"year", "yyyy", "yy", "yr", "jahr"},
             {"month", "mm", "mon", "mo", "monat"},
             {"day", "dd", "dom", "dy", "tag"},
             {"hour", "hh", "hr", "hours", "stunde"},
             {"minute", "mm", "min", "mn", "minutes"},
             {"second", "ss", "sec", "s", "seconds"}}};
        std::vector<std::size_t> found;
        std::size_t c = 0;
        for (const auto& part : names) {
            for (; c < head_.columns.size(); ++c) {
                const std::string name = lowercased(trimmed(head_.names[c]));
                if (head_.columns[c].isNumbers() && std::find(part.begin(), part.end(), name) != part.end()) {
                    break;
                }
            }
            if (c == head_.columns.size()) {
                break;
            }
            found.push_back(c++);
        }
        constexpr std::size_t fewest_parts = 3;
        return found.size() < fewest_parts ? std::vector<std::size_t>{} : found;
    }

    void planCalendar(const std::vector<std::size_t>& columns) {
        ClockPlan& plan = choice_.plan;
        plan.source = ClockPlan::Source::text;
        plan.denominator = 1e6;
        plan.columns = columns;
        plan.joints = "-- ::";
        constexpr std::size_t parts_to_the_hour = 4;
        plan.needs_time = columns.size() >= parts_to_the_hour;
        plan.tail = columns.size() == parts_to_the_hour ? ":00" : "";
        plan.dated = true;
        plan.label = "date in columns";
    }

    void planText(std::size_t c) {
        ClockPlan& plan = choice_.plan;
        plan.source = ClockPlan::Source::text;
        plan.denominator = 1e6;
        plan.columns = {c};
        const MomentKind kind = momentKind(head_.columns[c]);
        if (kind == MomentKind::dateOnly) {
            if (const auto time = partner(c, MomentKind::timeOnly)) {
                plan.columns = {c, *time};
            } else if (const auto hour = hourBeside(c)) {
                plan.columns = {c, *hour};
                plan.tail = isHours(head_.columns[*hour]) ? ":00" : "";
                const std::vector<std::string> parts = words(head_.names[*hour]);
                const bool is_utc = std::any_of(parts.begin(), parts.end(),
                                                [](const std::string& word) { return word == "utc" || word == "gmt"; });
                plan.tail += is_utc ? " UTC" : "";
            }
        } else if (kind == MomentKind::timeOnly) {
            if (const auto date = partner(c, MomentKind::dateOnly)) {
                plan.columns = {*date, c};
            }
        }
        const std::size_t after = plan.columns.back() + 1;
        if (after < head_.columns.size() && holdsMeridiem(head_.columns[after])) {
            plan.columns.push_back(after);
        }
        plan.joints = "  ";
        plan.needs_time = plan.columns.size() > 1;
        const ColumnSample& dates = head_.columns[plan.columns.front()];
        plan.dated = momentKind(dates) != MomentKind::timeOnly;
        if (plan.dated) {
            planDates(dates);
        } else {
            planTimes(c);
        }
    }

    [[nodiscard]] static bool holdsMeridiem(const ColumnSample& column) {
        return !column.words.empty() && column.numbers + column.moments == 0 &&
               std::all_of(column.words.begin(), column.words.end(), [](std::string_view word) {
                   const std::string lower = lowercased(word);
                   return lower == "am" || lower == "pm" || lower == "a.m." || lower == "p.m.";
               });
    }

    void planDates(const ColumnSample& dates) {
        ClockPlan& plan = choice_.plan;
        std::size_t ambiguous = 0;
        bool month_first = false;
        Moment typical = dates.times.front();
        for (const Moment& moment : dates.times) {
            if (moment.date == Moment::Date::none) {
                continue;
            }
            typical = moment;
            if (moment.date == Moment::Date::dayOrMonthFirst) {
                ++ambiguous;
                month_first = month_first || moment.second > 12;
            }
        }
        plan.ambiguous_dates = ambiguous > 0;
        plan.order_by_person = options_.date_order.has_value();
        plan.order = options_.date_order.value_or(month_first ? DateOrder::monthFirst : DateOrder::dayFirst);
        if (plan.ambiguous_dates) {
            plan.label = plan.order == DateOrder::dayFirst ? "date day-first" : "date month-first";
        } else if (typical.date == Moment::Date::named) {
            plan.label = "date with month name";
        } else {
            plan.label =
                typical.date_separator == '-' || typical.date_separator == 'b' ? "ISO 8601" : "date year-first";
        }
    }

    void planTimes(std::size_t c) {
        ClockPlan& plan = choice_.plan;
        const std::vector<Moment>& times = head_.columns[c].times;
        const std::string hint = lowercased(head_.names[c] + " " + head_.units[c]);
        bool days = false;
        bool seconds = false;
        bool meridiem = plan.columns.size() > 1;
        bool fraction_of_two = false;
        std::int64_t highest = 0;
        for (const Moment& moment : times) {
            days = days || moment.has_days;
            seconds = seconds || moment.time_fields == 3;
            meridiem = meridiem || moment.has_meridiem;
            fraction_of_two = fraction_of_two || (moment.time_fields == 2 && moment.has_fraction);
            highest = std::max(highest, moment.time_us);
        }
        constexpr std::int64_t day_us = 86'400'000'000;
        plan.wrap_us = days || highest > day_us ? 0.0 : static_cast<double>(day_us);
        if (days) {
            plan.label = "d.hh:mm:ss";
        } else if (seconds) {
            plan.label = meridiem ? "hh:mm:ss AM/PM" : "hh:mm:ss";
        } else {
            const bool says_hours = hint.find("h:mm") != std::string::npos;
            const bool says_minutes = hint.find("m:ss") != std::string::npos;
            const bool from_zero = times.front().time_us == 0;
            plan.minutes_first =
                !meridiem && !says_hours && (says_minutes || fraction_of_two || highest >= day_us || from_zero);
            plan.label = plan.minutes_first ? "mm:ss" : (meridiem ? "hh:mm AM/PM" : "hh:mm");
            plan.wrap_us = plan.minutes_first ? (highest < day_us * 5 / 2 ? 3.6e9 : 0.0) : plan.wrap_us;
            if (!says_hours && !says_minutes && !meridiem && !fraction_of_two) {
                choice_.notes.push_back(
                    fmt::format("{}: two fields, read as {}", columnTitle(head_.names, c), plan.label));
            }
        }
    }

    void planNumber(std::size_t c) {
        ClockPlan& plan = choice_.plan;
        const ColumnSample& column = head_.columns[c];
        const std::string& name = head_.names[c];
        plan.source = ClockPlan::Source::number;
        plan.columns = {c};
        plan.decimal = column.decimal;
        plan.cell_unit = column.cell_unit;
        std::optional<TimeUnit> stated = timeUnit(head_.units[c]);
        stated = stated ? stated : timeUnit(column.cell_unit);
        stated = stated ? stated : timeUnitInName(name);
        constexpr double seconds_per_day = 86400.0;
        if (const auto epoch = epochUnit(column.values, stated)) {
            plan.numerator = epoch->numerator;
            plan.denominator = epoch->denominator;
            plan.label = std::string{epoch->name};
            plan.origin_s = 0.0;
            plan.origin_is_utc = true;
        } else if (stated) {
            plan.numerator = stated->numerator;
            plan.denominator = stated->denominator;
            plan.label = std::string{stated->name};
        } else if (looksLikeSpreadsheetDays(column, name, stepsOf(column.values))) {
            constexpr double days_from_1899_to_1970 = 25569.0;
            plan.numerator = seconds_per_day;
            plan.label = "spreadsheet days";
            plan.origin_s = -days_from_1899_to_1970 * seconds_per_day;
        } else {
            plan.label = "seconds";
            choice_.notes.push_back(
                fmt::format("the unit of time of {} is not stated: taken as seconds", columnTitle(head_.names, c)));
        }
    }

    void listOtherClocks() {
        const auto& own = choice_.plan.columns;
        for (std::size_t c = 0; c < head_.columns.size(); ++c) {
            if (std::find(own.begin(), own.end(), c) != own.end()) {
                continue;
            }
            const ColumnSample& column = head_.columns[c];
            if (column.isMoments() || (score(c) >= 80 && risesLikeAClock(stepsOf(column.values)))) {
                choice_.other_clocks.push_back(c);
            }
        }
    }

    const Head& head_;
    const ImportOptions& options_;
    const std::string& file_;
    ClockChoice choice_;
};

} // namespace

Result<ClockChoice> chooseClock(const Head& head, const ImportOptions& options, const std::string& file) {
    return Chooser{head, options, file}.choose();
}

} // namespace potwatch::csv
