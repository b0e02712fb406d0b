// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/watch_text.h"

#include "app/format/number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::format {

namespace {

constexpr double longest_told_s = 2.0 * 3600.0; // further ahead no trend holds

// "64.2 °C", with the decimal that a thermometer has.
std::string temperature(double celsius) {
    return fmt::format("{:.1f} °C", celsius);
}

// A limit as it was set: "95 °C", "95.5 °C".
std::string limit(double celsius) {
    return numberText(celsius, 4) + " °C";
}

std::string rate(double k_per_min) {
    return fmt::format("{:.{}f} K/min", k_per_min, k_per_min < 9.95 ? 1 : 0);
}

// "9 min", never more than it is: to five seconds under two minutes, then to the minute.
std::string atLeast(double seconds) {
    constexpr double by_seconds = 120.0;
    constexpr double by_minutes = 3600.0;
    if (seconds < by_seconds) {
        return fmt::format("{:.0f} s", 5.0 * std::floor(seconds / 5.0));
    }
    return seconds < by_minutes ? fmt::format("{:.0f} min", std::floor(seconds / 60.0)) : "an hour from now";
}

// "95 °C not before 4 min": a bound, as a trend that quickens is sooner there than it looks.
std::string notBefore(const WatchState& state) {
    constexpr double at_once_s = 5.0;
    return *state.seconds_to_limit < at_once_s
               ? limit(state.limit_c) + " may come at any moment."
               : fmt::format("{} not before {}.", limit(state.limit_c), atLeast(*state.seconds_to_limit));
}

std::string percent(double share) {
    return fmt::format("{:.0f} %", 100.0 * share);
}

const Alarm* find(const WatchState& state, AlarmKind kind) {
    const auto found =
        std::find_if(state.alarms.begin(), state.alarms.end(), [&](const Alarm& a) { return a.kind == kind; });
    return found == state.alarms.end() ? nullptr : &*found;
}

constexpr double hardly_k_per_min = 1.0; // under it the pot stands still, for what to advise

// What can still be done against the heat, by what is going on. Nothing of dosing once the dose has ended.
std::string coolDown(const WatchState& state) {
    if (state.rate_k_per_min && *state.rate_k_per_min < -hardly_k_per_min) {
        return "It is coming down: go on cooling.";
    }
    const std::string cool = "Cool the pot now; if it climbs on, spread it in a shallow tray or quench it.";
    if (state.dose_phase != DosePhase::during) {
        return cool;
    }
    return state.stop_no_longer_helps ? "Stopping the dose no longer helps: cool, spread or quench."
                                      : "Stop the dose. " + cool;
}

std::string waitForIt(const WatchState& state) {
    if (state.dose_phase != DosePhase::during) {
        return coolDown(state);
    }
    std::string text = "Stop dosing and wait until the temperature follows.";
    if (state.latest_useful_stop_s) {
        const double left_s = *state.latest_useful_stop_s - state.time_s;
        if (left_s >= 5.0) {
            text += fmt::format(" By the forecast, stopping helps for {} more.", atLeast(left_s));
        }
    }
    return state.stop_no_longer_helps ? coolDown(state) : text;
}

// Reached is what the figure beside it shows; the warning stands on for a while below the limit.
std::string limitReached(const WatchState& state) {
    const auto shown = [](double celsius) { return std::round(10.0 * celsius) / 10.0; };
    const std::optional<double> now_c = state.temperature_c ? state.temperature_c : state.reading_c;
    if (!now_c) {
        return fmt::format("The limit of {} was reached when the pot was last seen.", limit(state.limit_c));
    }
    if (shown(*now_c) < state.limit_c) {
        return fmt::format("The limit of {} was reached; it is at {} now.", limit(state.limit_c), temperature(*now_c));
    }
    std::string text = fmt::format("The limit of {} is reached: {}", limit(state.limit_c), temperature(*now_c));
    if (state.reading_c && shown(*state.reading_c) < state.limit_c) {
        text += fmt::format(", by the trend; the probe lags behind and reads {}", temperature(*state.reading_c));
    }
    return text + ".";
}

AlarmText sensorText(const Alarm& alarm, const WatchState& state) {
    const std::string check = alarm.level == AlarmLevel::warning
                                  ? "The pot is not being watched. Check the probe, its plug and its cable."
                                  : "Check the probe, its plug and its cable.";
    switch (alarm.kind) {
    case AlarmKind::sensor_open:
        return {.what = alarm.channel + " gives no reading.", .advice = check};
    case AlarmKind::sensor_frozen:
        return {.what =
                    fmt::format("{} shows the same reading again and again although it should move.", alarm.channel),
                .advice = check};
    default:
        return {.what = fmt::format("No reading has come since {} of the run.", durationText(alarm.since_s)),
                .advice = state.temperature_c ? std::string()
                                              : "The pot is not being watched. Check the device and its cable."};
    }
}

} // namespace

std::string temperatureSentence(const WatchState& state) {
    if (find(state, AlarmKind::readings_stopped) != nullptr) {
        return "No readings are coming.";
    }
    if (!state.temperature_c) {
        return state.reading_c ? temperature(*state.reading_c) + "." : "No reading of the pot.";
    }
    std::string text = temperature(*state.temperature_c);
    if (state.rate_k_per_min) {
        constexpr double least_told = 0.1;
        const double steady = std::max(least_told, 2.0 * state.rate_u_k_per_min.value_or(0.0));
        const double speed = std::abs(*state.rate_k_per_min);
        text += speed < steady ? ", steady" : (*state.rate_k_per_min > 0.0 ? ", rising " : ", falling ") + rate(speed);
    }
    return text + ".";
}

std::string watchSentence(const WatchState& state) {
    std::string text = temperatureSentence(state);
    if (!state.temperature_c || find(state, AlarmKind::readings_stopped) != nullptr) {
        return text;
    }
    if (state.seconds_to_limit && *state.seconds_to_limit <= 0.0) {
        text += fmt::format(" Over the limit of {}.", limit(state.limit_c));
    } else if (state.seconds_to_limit && *state.seconds_to_limit < longest_told_s) {
        text += " " + notBefore(state);
    }
    return text;
}

std::string couldReachText(const WatchState& state) {
    const auto whole = [](double celsius) { return fmt::format("{:.0f}", celsius); };
    if (!state.mtsr_high_c) {
        return state.mtsr_c ? "at least " + whole(*state.mtsr_c) + " °C" : std::string();
    }
    constexpr double alike_k = 2.0;
    const double low_c = state.mtsr_c.value_or(*state.mtsr_high_c);
    const bool is_range = *state.mtsr_high_c - low_c >= alike_k;
    return (is_range ? whole(low_c) + " to " : std::string()) + whole(*state.mtsr_high_c) + " °C";
}

AlarmText alarmText(const Alarm& alarm, const WatchState& state) {
    switch (alarm.kind) {
    case AlarmKind::limit_reached:
        return {.what = limitReached(state), .advice = coolDown(state)};
    case AlarmKind::limit_near:
        return {.what = state.seconds_to_limit && *state.seconds_to_limit > 0.0
                            ? "Close to the limit: " + notBefore(state)
                            : fmt::format("Close to the limit of {}.", limit(state.limit_c)),
                .advice = coolDown(state)};
    case AlarmKind::rising_fast:
        return {.what = state.rate_limit_k_per_min && state.rate_k_per_min.value_or(0.0) > *state.rate_limit_k_per_min
                            ? fmt::format("Rising {}; the limit is {}.", rate(*state.rate_k_per_min),
                                          rate(*state.rate_limit_k_per_min))
                            : std::string("It rose faster than it should a moment ago."),
                .advice = coolDown(state)};
    case AlarmKind::self_heating:
        return {.what = "The pot heats itself, and faster and faster.",
                .advice = alarm.level == AlarmLevel::warning ? coolDown(state)
                          : state.dose_phase == DosePhase::during
                              ? "Dose slower or stop for a while, and have the cooling at hand."
                              : "Have the cooling at hand."};
    case AlarmKind::accumulation:
        if (state.dose_phase != DosePhase::during) {
            const bool still = state.rate_k_per_min && std::abs(*state.rate_k_per_min) < hardly_k_per_min;
            return {.what = fmt::format("At least {} has still to react. That could take the pot to {}.",
                                        percent(state.unreacted_share_low.value_or(0.0)), couldReachText(state)),
                    .advice = still ? "Have the cooling at hand, or spread it in a shallow tray while it is slow."
                                    : coolDown(state)};
        }
        return {.what = fmt::format("You have added more than has reacted: {} of the dose is in, {} has reacted at the "
                                    "most. What is in the pot could take it to {}.",
                                    percent(state.dosed_share.value_or(0.0)),
                                    percent(state.reacted_share_high.value_or(0.0)), couldReachText(state)),
                .advice = waitForIt(state)};
    case AlarmKind::slow_to_start:
        return {.what = fmt::format("You may have added more than has reacted: {} of the dose is in, and the pot has "
                                    "hardly warmed.",
                                    percent(state.dosed_share.value_or(0.0))),
                .advice = waitForIt(state)};
    case AlarmKind::sensor_open:
    case AlarmKind::sensor_frozen:
    case AlarmKind::readings_stopped:
        return sensorText(alarm, state);
    }
    return {};
}

std::string alarmTitle(const Alarm& alarm) {
    std::string title(nameOf(alarm.kind));
    if (!alarm.channel.empty()) {
        title += ": " + alarm.channel;
    }
    return title;
}

} // namespace potwatch::format
