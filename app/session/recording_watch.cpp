// SPDX-License-Identifier: GPL-3.0-or-later
// What the desk of a recording looks after while scans come: the pot, the sensors, the device's silence, the clock.
#include "app/format/number.h"
#include "app/format/watch_text.h"
#include "app/session/recording_desk.h"
#include "io/csv/encoding.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::session {
namespace {

using namespace std::chrono_literals;

constexpr double reads_again_after_s = 5.0; // without a word for an open sensor
constexpr double clock_jump_s = 2.0;        // a clock that is only slewed stays below

} // namespace

void RecordingDesk::startWatch() {
    watch::Plan plan{.limit_c = wanted_->watch.limit_c,
                     .rate_limit_k_per_min = wanted_->watch.rate_limit_k_per_min,
                     .kinetics = wanted_->watch.kinetics};
    const std::size_t pot = potOf(channels_.list(), wanted_->batch);
    watched_.clear();
    for (std::size_t i = 0; i < channels_.list().size(); ++i) {
        if (channels_.list()[i].is_temperature) {
            plan.pot = i == pot ? watched_.size() : plan.pot;
            plan.channels.push_back(channels_.list()[i].name);
            watched_.push_back(i);
        }
    }
    if (!watched_.empty()) {
        watch_.emplace(std::move(plan));
        watch_->setBatch(wanted_->batch);
        const std::lock_guard lock(state_mutex_);
        watch_->setEvents(state_.events);
    }
}

// A word that comes and goes is told of once, until there was none for some time.
void RecordingDesk::noteOpen(const ReadScan& scan, double time_s) {
    for (std::size_t i = 0; i < scan.open.size(); ++i) {
        const std::string& channel = channels_.list()[i].name;
        const auto found = open_.find(i);
        if (!scan.open[i].empty()) {
            if (found == open_.end()) {
                const std::string word = csv::excerpt(scan.open[i], csv::Encoding::latin1);
                enterNow("sensor open", fmt::format("{}: {}", channel, word), time_s);
                tellDevice(DeviceChange::sensor_open,
                           fmt::format("{} gives no reading: the device says \"{}\". Look at the probe and its plug.",
                                       channel, word),
                           channel);
            }
            open_[i] = {.last_s = time_s};
            channels_.setOpen(i, scan.open[i]);
        } else if (found != open_.end()) {
            channels_.setOpen(i, {});
            if (time_s - found->second.last_s >= reads_again_after_s) {
                open_.erase(found);
                enterNow("sensor back", channel, time_s);
                tellDevice(DeviceChange::sensor_back, fmt::format("{} reads again.", channel), channel);
            }
        }
    }
}

void RecordingDesk::takeAlarms(const std::vector<AlarmChange>& changes) {
    if (changes.empty()) {
        return;
    }
    const WatchState& state = watch_->state();
    for (const AlarmChange& change : changes) {
        const format::AlarmText text = format::alarmText(change.alarm, state);
        const bool begins = change.kind != AlarmChange::Kind::ended;
        if (begins && change.alarm.level == AlarmLevel::warning) {
            enterNow("warning", text.what, std::max(0.0, state.time_s));
            if (const std::optional<Fault> fault = warning_command_.run(text.what)) {
                tell(CommandNews{.time_s = state.time_s, .text = describe(*fault)});
            }
        }
        tell(WatchNews{.time_s = state.time_s, .change = change, .what = text.what, .advice = text.advice});
    }
}

void RecordingDesk::tick(Moment now) {
    take(reader_.look(now));
    compareAtRest(now);
    watchForSilence(now);
    watchTheClock(now);
    if (watch_) {
        takeAlarms(watch_->tick(secondsAt(now)));
        const std::lock_guard lock(state_mutex_);
        state_.watch = watch_->state();
    }
    // It may be refused late, or be taken away while the run goes on.
    if (const std::optional<bool> kept = awake_ ? awake_->isKept() : std::nullopt; kept && kept != awake_told_) {
        awake_told_ = kept;
        tell(AwakeNews{.kept_awake = *kept,
                       .text = *kept ? "This computer is kept awake while it records."
                                     : "This computer could not be kept awake: turn its sleep off by hand, or it may "
                                       "fall asleep while it records."});
    }
}

// Only before the dose: afterwards probes that differ may well be right.
void RecordingDesk::compareAtRest(Moment now) {
    std::string text = rest_.inWords(channels_.list());
    {
        const std::lock_guard lock(state_mutex_);
        const DosePhase dose = state_.watch.dose_phase;
        if (dose == DosePhase::during || dose == DosePhase::after) {
            text.clear();
        }
        state_.rest = text;
    }
    if (has_begun_ && !rest_is_told_ && !text.empty()) {
        rest_is_told_ = true;
        tell(RestNews{.time_s = secondsAt(now), .text = std::move(text)});
    }
}

void RecordingDesk::watchForSilence(Moment now) {
    constexpr std::chrono::nanoseconds least = 5s;
    if (!connected_at_ || is_silent_) {
        return;
    }
    const Moment since = last_scan_ ? std::max(*last_scan_, *connected_at_) : *connected_at_;
    if (now - since < std::max(least, 5 * reader_.interval())) {
        return;
    }
    is_silent_ = true;
    const bool has_lines = reader_.lines() > 0;
    tellDevice(DeviceChange::silent,
               last_scan_  ? "The device is connected but sends no scan any more: look at it and its supply."
               : has_lines ? "Lines come, but none that is understood yet."
                           : "The device is connected but sends nothing: look at its supply, and at the speed in its "
                             "device file.");
}

// The clock on the wall against the one that never jumps.
void RecordingDesk::watchTheClock(Moment now) {
    constexpr double us_per_s = 1e6;
    const auto steady_us = std::chrono::duration_cast<std::chrono::microseconds>(now.time_since_epoch()).count();
    const std::int64_t difference = clock_.wall().utc_us - steady_us;
    const std::optional<std::int64_t> before = std::exchange(wall_minus_steady_us_, difference);
    const double jump_s = before ? static_cast<double>(difference - *before) / us_per_s : 0.0;
    if (std::abs(jump_s) < clock_jump_s) {
        return;
    }
    const std::string text =
        fmt::format("set {} by {}", jump_s > 0.0 ? "forward" : "back", format::durationText(std::abs(jump_s)));
    enterNow("clock changed", text, secondsAt(now));
    tellDevice(DeviceChange::clock_changed,
               fmt::format("This computer's clock was {}. The times of the run do not change.", text));
}

} // namespace potwatch::session
