// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/watch_state.h"

#include <string>

namespace potwatch::format {

// All that matters now, in one sentence or two, to be read from two metres away: "64.2 °C, rising 3.1 K/min. 95 °C in
// about 9 min at this trend."
[[nodiscard]] std::string watchSentence(const WatchState& state);

// Its first part: "64.2 °C, rising 3.1 K/min."
[[nodiscard]] std::string temperatureSentence(const WatchState& state);

// How far what is in the pot could take it: "131 °C", "112 to 131 °C", "at least 112 °C"; empty where it is not known.
[[nodiscard]] std::string couldReachText(const WatchState& state);

// What an alarm says at this moment, and what to do about it. After the dose has ended it never speaks of dosing.
struct AlarmText {
    std::string what;   // "Over the limit: 96.3 °C, the limit is 95 °C."
    std::string advice; // "Cool the pot, ..."; empty where there is nothing to do
};
[[nodiscard]] AlarmText alarmText(const Alarm& alarm, const WatchState& state);

// For the log and the event: "limit near", "sensor open: core_c".
[[nodiscard]] std::string alarmTitle(const Alarm& alarm);

} // namespace potwatch::format
