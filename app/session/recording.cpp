// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/recording.h"

#include "app/session/recording_desk.h"

#include <ctime>
#include <utility>

namespace potwatch::session {
namespace {

// This machine's offset from UTC at a moment.
int offsetAt(std::time_t moment) {
    std::tm local{};
    return ::localtime_r(&moment, &local) == nullptr ? 0 : static_cast<int>(local.tm_gmtoff);
}

} // namespace

RecordingClock systemClock() {
    const auto wall = [] {
        const auto now = std::chrono::system_clock::now();
        const auto us = std::chrono::duration_cast<std::chrono::microseconds>(now.time_since_epoch());
        return WallTime{.utc_us = us.count(), .offset_s = offsetAt(std::chrono::system_clock::to_time_t(now))};
    };
    return {.now = serial::now, .wall = wall};
}

struct Recording::Parts {
    RecordingDesk desk;
};

Recording::Recording(std::unique_ptr<serial::ByteSource> source, serial::Device device, Tell tell, RecordingClock clock)
    : parts_(
          new Parts{.desk = RecordingDesk(std::move(source), std::move(device), std::move(tell), std::move(clock))}) {}

Recording::Recording(std::unique_ptr<serial::ByteSource> source, serial::Device device, const RunWanted& wanted,
                     Tell tell, RecordingClock clock)
    : parts_(new Parts{.desk = RecordingDesk(std::move(source), std::move(device), std::move(tell), std::move(clock),
                                             RecordingDesk::Begin{.wanted = wanted})}) {}

Recording::~Recording() = default;

void Recording::begin(const RunWanted& wanted) {
    parts_->desk.post(RecordingDesk::Begin{.wanted = wanted});
}

Event Recording::addEvent(const std::string& kind, const std::string& text) {
    Event event{.time_s = parts_->desk.eventTimeS(), .kind = kind, .text = text};
    parts_->desk.post(RecordingDesk::Enter{.event = event, .withdraws = false});
    return event;
}

void Recording::withdrawEvent(const Event& event) {
    parts_->desk.post(RecordingDesk::Enter{.event = event, .withdraws = true});
}

void Recording::setBatch(const Batch& batch) {
    parts_->desk.post(RecordingDesk::Restate{.batch = batch});
}

void Recording::stop(std::chrono::seconds patience) {
    parts_->desk.post(RecordingDesk::Stop{.patience = patience});
}

RecordingState Recording::state() const {
    return parts_->desk.state();
}

} // namespace potwatch::session
