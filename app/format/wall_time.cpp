// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/wall_time.h"

#include <fmt/format.h>

#include <chrono>
#include <cstdlib>

namespace potwatch::format {

std::string wallTimeText(const WallTime& time) {
    const std::chrono::microseconds shown(time.utc_us + 1'000'000LL * time.offset_s.value_or(0));
    const auto day = std::chrono::floor<std::chrono::days>(shown);
    const std::chrono::year_month_day date{std::chrono::sys_days(day)};
    const std::chrono::hh_mm_ss clock(shown - day);
    std::string text = fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", static_cast<int>(date.year()),
                                   static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                                   clock.hours().count(), clock.minutes().count(), clock.seconds().count());
    if (clock.subseconds().count() != 0) {
        text += fmt::format(".{:06}", clock.subseconds().count());
    }
    if (time.offset_s) {
        const int minutes = std::abs(*time.offset_s) / 60;
        text += fmt::format("{}{:02}:{:02}", *time.offset_s < 0 ? '-' : '+', minutes / 60, minutes % 60);
    }
    return text;
}

} // namespace potwatch::format
