// SPDX-License-Identifier: GPL-3.0-or-later
// The run at the desk of a recording: its beginning, its scans, refused lines, events and notes.
#include "app/format/wall_time.h"
#include "app/session/calibrations.h"
#include "app/session/recording_desk.h"
#include "io/csv/encoding.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace potwatch::session {
namespace {

constexpr std::size_t refused_shown = 20;

} // namespace

// Events are entered one by one: those of the new statement do not count.
void RecordingDesk::restate(const Batch& batch) {
    if (!wanted_ || is_finishing_) {
        return;
    }
    const std::size_t pot = potOf(channels_.list(), wanted_->batch);
    const std::vector<Event> events = std::move(wanted_->batch.events);
    wanted_->batch = batch;
    wanted_->batch.events = events;
    if (has_begun_) {
        leaveOutMissing();
        calibrate();
        writer_->restate(wanted_->batch);
    }
    if (watch_ && potOf(channels_.list(), wanted_->batch) != pot) {
        startWatch();
    } else if (watch_) {
        watch_->setBatch(wanted_->batch);
    }
}

void RecordingDesk::beginRun(Moment first) {
    flush(clock_.now());
    {
        const std::lock_guard lock(state_mutex_);
        zero_ = first;
    }
    has_begun_ = true;
    last_s_ = -1.0;
    open_.clear();
    const auto ago = std::chrono::duration_cast<std::chrono::microseconds>(clock_.now() - first);
    WallTime started = clock_.wall();
    started.utc_us -= ago.count();
    leaveOutMissing();
    calibrate();
    book::NewRecording recording{
        .name = wanted_->name.empty() ? wanted_->batch.name : wanted_->name,
        .started = started,
        .source = source_name_,
        .channels = channels_.asReceived(),
        .conversion = {.thermocouple = device_.thermocouple, .cold_junction = device_.cold_junction},
        .batch = wanted_->batch,
        .tags = wanted_->tags};
    if (recording.name.empty()) {
        constexpr std::size_t to_the_second = 19; // two runs of one minute keep apart
        recording.name = format::wallTimeText(started).substr(0, to_the_second);
        std::replace(recording.name.begin(), recording.name.end(), 'T', ' ');
    }
    {
        const std::lock_guard lock(state_mutex_);
        state_.phase = RecordingState::Phase::recording;
        state_.scans = 0;
    }
    tell(RunBegan{.name = recording.name, .started = started, .channels = channels_.list()});
    writer_->begin(std::move(recording));
    for (const Probe& probe : wanted_->batch.probes) {
        if (const std::string text = calibrationText(probe, started); !text.empty()) {
            tellDevice(DeviceChange::calibrated, text, probe.channel);
        }
    }
    startWatch();
    if (std::string before = rest_.inWords(channels_.list()); !before.empty()) {
        rest_is_told_ = true;
        tell(RestNews{.time_s = 0.0, .text = std::move(before)});
    }
}

// What they were said to be would make the findings fail: "same as last run" on another device, a slip of the pen.
void RecordingDesk::leaveOutMissing() {
    const std::string text = takeOutMissingChannels(wanted_->batch, channels_.list());
    if (!text.empty() && text != missing_told_) {
        missing_told_ = text;
        tellDevice(DeviceChange::channel_missing, text);
    }
}

void RecordingDesk::calibrate() {
    std::vector<std::string> names;
    for (const LiveChannel& channel : channels_.list()) {
        if (channel.is_temperature) {
            names.push_back(channel.name);
        }
    }
    stateProbes(wanted_->batch, wanted_->calibrations, names);
    if (channels_.setProbes(wanted_->batch)) {
        rest_.clear(); // what it compared was corrected otherwise
    }
}

void RecordingDesk::takeScans(std::vector<ReadScan>& scans) {
    constexpr double least_step_s = 1e-6; // two samples of one run never have the same time
    if (wanted_ && !has_begun_) {
        beginRun(scans.front().at);
    }
    std::vector<LiveScan> shown;
    for (ReadScan& scan : scans) {
        last_s_ = std::max(secondsAt(scan.at), last_s_ + least_step_s);
        shown.push_back({.time_s = last_s_, .values = std::move(scan.values)});
        if (has_begun_) {
            writer_->append(shown.back());
        }
        noteOpen(scan, last_s_);
    }
    last_scan_ = scans.back().at;
    channels_.convert(shown);
    std::vector<double> watched(watched_.size());
    for (const LiveScan& scan : shown) {
        rest_.add(scan);
        for (std::size_t i = 0; i < watched_.size(); ++i) {
            watched[i] = scan.values[watched_[i]];
        }
        if (watch_) {
            takeAlarms(watch_->scan(scan.time_s, watched));
        }
    }
    {
        const std::lock_guard lock(state_mutex_);
        state_.scans += shown.size();
        state_.last = shown.back();
        state_.channels = channels_.list();
        if (watch_) {
            state_.watch = watch_->state();
        }
    }
    scans_to_tell_.insert(scans_to_tell_.end(), std::make_move_iterator(shown.begin()),
                          std::make_move_iterator(shown.end()));
    if (std::exchange(is_silent_, false)) {
        tellDevice(DeviceChange::talking, "Scans come again.");
    }
}

void RecordingDesk::takeRefused(std::vector<ReadRefusal>& refused) {
    for (ReadRefusal& line : refused) {
        const double time_s = has_begun_ ? secondsAt(line.at) : 0.0;
        refused_to_tell_.lines.push_back(
            {.time_s = time_s, .line = csv::excerpt(line.line, csv::Encoding::latin1), .reason = line.reason});
        if (writer_) {
            writer_->refuse({.time_s = time_s, .line = std::move(line.line), .reason = std::move(line.reason)});
        }
    }
    refused_to_tell_.count += refused.size();
    has_refused_to_tell_ = true;
    const auto keepLast = [](std::vector<RefusedLine>& lines) {
        const std::size_t extra = lines.size() > refused_shown ? lines.size() - refused_shown : 0;
        lines.erase(lines.begin(), lines.begin() + static_cast<std::ptrdiff_t>(extra));
    };
    keepLast(refused_to_tell_.lines);
    const std::lock_guard lock(state_mutex_);
    state_.refused = refused_to_tell_.count;
    state_.last_refused.insert(state_.last_refused.end(), refused_to_tell_.lines.begin(), refused_to_tell_.lines.end());
    keepLast(state_.last_refused);
}

void RecordingDesk::enterNow(const std::string& kind, const std::string& text, double time_s) {
    if (has_begun_) {
        enter({.time_s = time_s, .kind = kind, .text = text}, false);
    }
}

void RecordingDesk::enter(const Event& event, bool withdraws) {
    if (!writer_ || is_finishing_) {
        return;
    }
    std::vector<Event> events;
    {
        const std::lock_guard lock(state_mutex_);
        if (withdraws) {
            const auto found = std::find(state_.events.rbegin(), state_.events.rend(), event);
            if (found == state_.events.rend()) {
                return;
            }
            state_.events.erase(std::next(found).base());
        } else {
            state_.events.push_back(event);
        }
        events = state_.events;
    }
    withdraws ? writer_->withdraw(event) : writer_->add(event);
    if (watch_) {
        watch_->setEvents(events);
    }
    tell(EventNews{.event = event, .withdrawn = withdraws});
}

} // namespace potwatch::session
