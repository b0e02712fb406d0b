// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/calendar_words.h"

#include <array>

namespace potwatch::csv {

int monthNamed(std::string_view word) {
    static constexpr std::array<std::string_view, 12> names{"january",   "february", "march",    "april",
                                                            "may",       "june",     "july",     "august",
                                                            "september", "october",  "november", "december"};
    struct Alias {
        std::string_view name;
        int month;
    };
    static constexpr std::array<Alias, 13> aliases{{{"mai", 5},
                                                    {"maj", 5},
                                                    {"mei", 5},
                                                    {"mrz", 3},
                                                    {"okt", 10},
                                                    {"dez", 12},
                                                    {"ene", 1},
                                                    {"abr", 4},
                                                    {"ago", 8},
                                                    {"dic", 12},
                                                    {"fev", 2},
                                                    {"avr", 4},
                                                    {"out", 10}}};
    if (word.size() < 3) {
        return 0;
    }
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (names[i].starts_with(word)) {
            return static_cast<int>(i) + 1;
        }
    }
    for (const Alias& alias : aliases) {
        if (word == alias.name) {
            return alias.month;
        }
    }
    return 0;
}

bool isWeekday(std::string_view word) {
    static constexpr std::array<std::string_view, 7> names{"monday", "tuesday",  "wednesday", "thursday",
                                                           "friday", "saturday", "sunday"};
    for (const std::string_view name : names) {
        if (word.size() >= 3 && name.starts_with(word)) {
            return true;
        }
    }
    return false;
}

} // namespace potwatch::csv
