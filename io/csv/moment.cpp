// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/moment.h"

#include "io/csv/calendar_words.h"

#include <algorithm>
#include <array>
#include <chrono>

namespace potwatch::csv {
namespace {

constexpr std::int64_t us_per_second = 1'000'000;
constexpr std::int64_t us_per_day = 86'400 * us_per_second;

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}

bool isLetter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

int fullYear(int year, int digits) {
    return digits > 2 ? year : year + (year < 69 ? 2000 : 1900);
}

struct Digits {
    int count = 0;
    int value = 0;
};

// Walks over one text from left to right.
class MomentReader {
public:
    explicit MomentReader(std::string_view text)
        : text_(text) {}

    std::optional<Moment> read() {
        negative_ = peek() == '-' && isDigit(peek(1));
        at_ += negative_ ? 1 : 0;
        while (at_ < text_.size()) {
            const char c = text_[at_];
            bool understood = true;
            if (isDigit(c)) {
                understood = takeNumber();
            } else if (isLetter(c)) {
                understood = takeWord();
            } else if ((c == '+' || c == '-') && moment_.has_time && !moment_.offset_s.has_value()) {
                understood = takeOffset();
            } else if (c == ' ' || c == ',' || c == '\t' || c == '_') {
                ++at_;
            } else if (c == '-' && moment_.date != Moment::Date::none && isDigit(peek(1))) {
                ++at_; // 2021-08-26-10:00
            } else {
                understood = false;
            }
            if (!understood) {
                return std::nullopt;
            }
        }
        return finished();
    }

private:
    [[nodiscard]] char peek(std::size_t ahead = 0) const {
        return at_ + ahead < text_.size() ? text_[at_ + ahead] : '\0';
    }

    Digits takeDigits(int most) {
        Digits digits;
        while (isDigit(peek()) && digits.count < most) {
            digits.value = digits.value * 10 + (text_[at_++] - '0');
            ++digits.count;
        }
        return digits;
    }

    bool takeNumber() {
        const Digits number = takeDigits(8);
        if (isDigit(peek())) {
            return number.count == 8 && takeBasicDate(number) && takeBasicTime();
        }
        const char next = peek();
        if (next == ':') {
            return takeTime(number);
        }
        const bool has_date = moment_.date != Moment::Date::none;
        if ((next == '-' || next == '/' || next == '.') && !has_date && !moment_.has_time &&
            (isDigit(peek(1)) || isLetter(peek(1)))) {
            return takeDate(number, next);
        }
        if (number.count == 8 && !has_date && (next == 'T' || next == ' ' || next == '_' || next == '\0')) {
            return takeBasicDate(number);
        }
        if (has_date && moment_.date_separator == 'b' && !moment_.has_time &&
            (number.count == 6 || number.count == 4)) {
            at_ -= static_cast<std::size_t>(number.count);
            return takeBasicTime();
        }
        const bool month_is_alone = month_ != 0 && loose_count_ < 2; // the number is its day or year
        if (number.count == 4 && !moment_.has_time && !month_is_alone && (has_date || zoneFollows())) {
            at_ -= static_cast<std::size_t>(number.count);
            return takeBasicTime(); // "2019-01-31 0100", "0100 UTC"
        }
        if (loose_count_ == 2) {
            return false;
        }
        loose_[loose_count_++] = number; // the day or year beside a month's name, or a count of days
        if (next == '.') {
            ++at_; // "12. Aug 2017"
        }
        return true;
    }

    [[nodiscard]] bool zoneFollows() const {
        std::string_view rest = text_.substr(at_);
        rest.remove_prefix(std::min(rest.find_first_not_of(' '), rest.size()));
        return rest.starts_with("UTC") || rest.starts_with("GMT") || rest == "Z";
    }

    // yyyymmdd
    bool takeBasicDate(Digits number) {
        moment_.date = Moment::Date::yearFirst;
        moment_.date_separator = 'b';
        moment_.year = number.value / 10000;
        moment_.month = number.value / 100 % 100;
        moment_.day = number.value % 100;
        return true;
    }

    // hhmm or hhmmss
    bool takeBasicTime() {
        const Digits hour = takeDigits(2);
        const Digits minute = takeDigits(2);
        const Digits second = takeDigits(2);
        if (moment_.has_time || minute.count != 2 || second.count == 1 || isDigit(peek())) {
            return false;
        }
        return setTime(hour.value, minute.value, second.value, 3) && takeFraction(us_per_second);
    }

    bool takeDate(Digits first, char separator) {
        ++at_;
        moment_.date_separator = separator;
        if (isLetter(peek())) {
            const int month = monthNamed(takeLetters());
            if (month == 0 || peek() != separator) {
                return false;
            }
            ++at_;
            const Digits third = takeDigits(4);
            if (third.count == 0) {
                return false;
            }
            moment_.date = Moment::Date::named;
            moment_.month = month;
            moment_.day = first.count > 2 ? third.value : first.value;
            moment_.year = first.count > 2 ? first.value : fullYear(third.value, third.count);
            return true;
        }
        const Digits second = takeDigits(4);
        if (separator == '.' && peek() == ':') {
            moment_.has_days = true; // d.hh:mm:ss
            days_ = first.value;
            return takeTime(second);
        }
        if (peek() != separator) {
            return false;
        }
        ++at_;
        const Digits third = takeDigits(4);
        if (third.count == 0 || isDigit(peek()) || second.count > 2) {
            return false;
        }
        if (first.count > 2 || (first.value > 31 && third.count <= 2)) {
            moment_.date = Moment::Date::yearFirst;
            moment_.year = fullYear(first.value, first.count);
            moment_.month = second.value;
            moment_.day = third.value;
            return first.count <= 4;
        }
        moment_.date = Moment::Date::dayOrMonthFirst;
        moment_.first = first.value;
        moment_.second = second.value;
        moment_.year = fullYear(third.value, third.count);
        return third.count == 2 || third.count == 4;
    }

    bool takeTime(Digits hour) {
        if (moment_.has_time || hour.count > 5) {
            return false;
        }
        ++at_;
        const Digits minute = takeDigits(2);
        if (minute.count == 0 || isDigit(peek())) {
            return false;
        }
        if (peek() != ':') {
            // A fraction of the second field: mm:ss.f
            return setTime(hour.value, minute.value, 0, 2) && takeFraction(60 * us_per_second);
        }
        ++at_;
        const Digits second = takeDigits(2);
        if (second.count == 0 || isDigit(peek())) {
            return false;
        }
        if (peek() == ':' && isDigit(peek(1))) {
            ++at_;
            const Digits fourth = takeDigits(3);
            if (fourth.count == 3) { // hh:mm:ss:fff
                moment_.has_fraction = true;
                return setTime(hour.value, minute.value, second.value, 3, fourth.value * 1000);
            }
            if (moment_.has_days || isDigit(peek())) {
                return false;
            }
            moment_.has_days = true; // d:hh:mm:ss
            days_ = hour.value;
            return setTime(minute.value, second.value, fourth.value, 3);
        }
        return setTime(hour.value, minute.value, second.value, 3) && takeFraction(us_per_second);
    }

    bool setTime(int hour, int minute, int second, int fields, int fraction_us = 0) {
        if (minute > 59 || second > 60) { // 60: a leap second
            return false;
        }
        moment_.has_time = true;
        moment_.time_fields = fields;
        hour_ = hour;
        moment_.time_us = ((static_cast<std::int64_t>(hour) * 60 + minute) * 60 + second) * us_per_second + fraction_us;
        return true;
    }

    // A point or comma and digits; below a microsecond they are dropped.
    bool takeFraction(std::int64_t unit_us) {
        if ((peek() != '.' && peek() != ',') || !isDigit(peek(1))) {
            return true;
        }
        ++at_;
        std::int64_t scale = us_per_second;
        std::int64_t millionths = 0;
        while (isDigit(peek())) {
            scale /= 10;
            millionths += scale * (text_[at_++] - '0');
        }
        moment_.has_fraction = true;
        moment_.time_us += millionths * (unit_us / us_per_second);
        return true;
    }

    std::string_view takeLetters() {
        std::size_t count = 0;
        while (isLetter(peek()) && count < word_.size()) {
            const char c = text_[at_++];
            word_[count++] = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
        }
        return {word_.data(), count};
    }

    bool takeWord() {
        const std::size_t start = at_;
        const std::string_view word = takeLetters();
        if (word == "t") {
            return moment_.date != Moment::Date::none && !moment_.has_time;
        }
        if (word == "z" || word == "utc" || word == "gmt") {
            if (!moment_.has_time) {
                return false;
            }
            if (!((peek() == '+' || peek() == '-') && isDigit(peek(1)))) {
                moment_.offset_s = 0;
            }
            return true;
        }
        if (word == "am" || word == "pm") {
            return takeMeridiem(word == "pm");
        }
        if ((word == "a" || word == "p") && moment_.has_time) {
            if (peek() == '.' && (peek(1) == 'm' || peek(1) == 'M')) {
                at_ += peek(2) == '.' ? 3 : 2;
            }
            return takeMeridiem(word == "p");
        }
        if (word == "day" || word == "days" || word == "d") {
            if (loose_count_ != 1 || moment_.has_time || moment_.has_days) {
                return false;
            }
            moment_.has_days = true;
            days_ = loose_[0].value;
            loose_count_ = 0;
            return true;
        }
        if (const int month = monthNamed(word); month != 0) {
            if (month_ != 0 || moment_.date != Moment::Date::none) {
                return false;
            }
            month_ = month;
            at_ += peek() == '.' ? 1 : 0;
            return true;
        }
        if (isWeekday(word)) {
            at_ += peek() == '.' ? 1 : 0;
            return true;
        }
        // The name of a zone behind the time: its offset is not known, so the time stays a local one.
        bool capitals = moment_.has_time && at_ - start <= 5 && at_ - start >= 2;
        for (std::size_t i = start; i < at_; ++i) {
            capitals = capitals && text_[i] <= 'Z';
        }
        return capitals;
    }

    bool takeMeridiem(bool afternoon) {
        if (!moment_.has_time || moment_.has_meridiem || hour_ > 23) {
            return false;
        }
        moment_.has_meridiem = true;
        const int shift = afternoon ? (hour_ < 12 ? 12 : 0) : (hour_ == 12 ? -12 : 0);
        moment_.time_us += shift * std::int64_t{3600} * us_per_second;
        hour_ += shift;
        return true;
    }

    bool takeOffset() {
        const int sign = text_[at_++] == '-' ? -1 : 1;
        const Digits hour = takeDigits(2);
        if (peek() == ':') {
            ++at_;
        }
        const Digits minute = takeDigits(2);
        if (hour.count == 0 || hour.value > 18 || minute.value > 59 || minute.count == 1 || isDigit(peek())) {
            return false;
        }
        moment_.offset_s = sign * (hour.value * 3600 + minute.value * 60);
        return true;
    }

    std::optional<Moment> finished() {
        if (month_ != 0) {
            if (loose_count_ != 2) {
                return std::nullopt;
            }
            const bool year_first = loose_[0].count > 2;
            const Digits day = year_first ? loose_[1] : loose_[0];
            const Digits year = year_first ? loose_[0] : loose_[1];
            moment_.date = Moment::Date::named;
            moment_.month = month_;
            moment_.day = day.value;
            moment_.year = fullYear(year.value, year.count);
            moment_.date_separator = ' ';
        } else if (loose_count_ != 0) {
            return std::nullopt;
        }
        const bool has_date = moment_.date != Moment::Date::none;
        if ((!has_date && !moment_.has_time) || (has_date && (moment_.has_days || negative_))) {
            return std::nullopt;
        }
        if (moment_.has_days) {
            moment_.time_us += days_ * us_per_day;
        }
        if (negative_) {
            moment_.time_us = -moment_.time_us;
        }
        return moment_;
    }

    std::string_view text_;
    std::size_t at_ = 0;
    Moment moment_;
    bool negative_ = false;
    int hour_ = 0;
    std::int64_t days_ = 0;
    int month_ = 0;
    std::array<Digits, 2> loose_{};
    std::size_t loose_count_ = 0;
    std::array<char, 12> word_{};
};

} // namespace

std::optional<Moment> readMoment(std::string_view text) {
    // The longest sensible text, a weekday and a month in full with a zone, is well under this.
    constexpr std::size_t longest = 64;
    if (text.size() < 4 || text.size() > longest) {
        return std::nullopt;
    }
    return MomentReader{text}.read();
}

std::optional<std::int64_t> microseconds(const Moment& moment, DateOrder order) {
    if (moment.date == Moment::Date::none) {
        return moment.time_us;
    }
    int month = moment.month;
    int day = moment.day;
    if (moment.date == Moment::Date::dayOrMonthFirst) {
        day = order == DateOrder::dayFirst ? moment.first : moment.second;
        month = order == DateOrder::dayFirst ? moment.second : moment.first;
    }
    const std::chrono::year_month_day date{std::chrono::year{moment.year},
                                           std::chrono::month{static_cast<unsigned>(month)},
                                           std::chrono::day{static_cast<unsigned>(day)}};
    // 24:00 is the end of the day, and a leap second the start of the next minute.
    if (!date.ok() || moment.time_us < 0 || moment.time_us > us_per_day || month > 12 || day > 31) {
        return std::nullopt;
    }
    const std::int64_t days = std::chrono::sys_days{date}.time_since_epoch().count();
    return days * us_per_day + moment.time_us - moment.offset_s.value_or(0) * us_per_second;
}

} // namespace potwatch::csv
