// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/kinetics.h"
#include "analysis/values/watch_state.h"
#include "app/session/recording_news.h"
#include "io/serial/byte_source.h"
#include "io/serial/device.h"

#include <chrono>
#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::session {

// The two clocks of a recording: one that orders the samples and never jumps, and the one on the wall.
struct RecordingClock {
    std::function<serial::Moment()> now;
    std::function<WallTime()> wall;
};
[[nodiscard]] RecordingClock systemClock();

// What is watched while it is recorded, besides what the batch says.
struct WatchWanted {
    std::optional<double> limit_c; // empty = the watch's own
    std::optional<double> rate_limit_k_per_min = 30.0;
    std::optional<Kinetics> kinetics;

    bool operator==(const WatchWanted&) const = default;
};

// Where a run is recorded to, and what is stated of it beforehand.
struct RunWanted {
    std::string book; // made where there is none
    std::string name; // empty = the batch's, else the date and time of its start
    Batch batch;      // its events are those before the start
    std::vector<std::string> tags;
    WatchWanted watch;
    bool keep_awake = true;
    // What a warning runs besides: a program and its arguments, without a shell; what the warning says comes after them
    // as one more. Empty = nothing.
    std::vector<std::string> warning_command;
};

// How things stand now, for a face that looks now and then.
struct RecordingState {
    enum class Phase {
        looking,   // for the device, or for how its lines are built
        ready,     // scans come; nothing is recorded: begin() was not called
        waiting,   // begin() was called, no scan has come yet
        recording, // from the first scan on
        ending,    // stop() was called, the last scans are being written
        ended
    };
    Phase phase = Phase::looking;
    bool is_connected = false;
    double now_s = 0.0; // the run's time
    std::vector<LiveChannel> channels;
    std::optional<LiveScan> last;
    std::size_t scans = 0;                 // of the run
    std::size_t in_book = 0;               // of these, safe
    std::size_t refused = 0;               // lines
    std::vector<RefusedLine> last_refused; // at most 20, the newest last
    std::vector<Event> events;             // that stand, in the order of entering
    std::optional<Fault> storage_trouble;
    std::string rest; // the probes compared at rest, in words; empty = not at rest, or dosing has begun
    WatchState watch;
};

// Records a run from a device into a batch book, and watches the pot meanwhile: source -> lines -> numbers -> queue ->
// book, each on its own thread, so that a slow disk never delays the reading. Every scan is in the book within a second
// of its arrival. A lost device is waited for and the run goes on; a full disk is waited for too, with all scans in
// memory. The command line and the window record through this alone.
//
// Threads: every function may be called from any thread, and returns at once (the destructor, when all is written).
// `tell` is called on the recording's threads, one call at a time, and must not call back into the recording.
class Recording {
public:
    using Tell = std::function<void(RecordingNews)>;

    // Connects, and looks at what comes; what it is told of then is not recorded yet. `device` says how lines are built
    // where that is known.
    Recording(std::unique_ptr<serial::ByteSource> source, serial::Device device, Tell tell,
              RecordingClock clock = systemClock());

    // Records from the very first line that comes: no begin() is needed, and none may follow.
    Recording(std::unique_ptr<serial::ByteSource> source, serial::Device device, const RunWanted& wanted, Tell tell,
              RecordingClock clock = systemClock());

    // Stops, and waits until all is written; a book that takes nothing is tried for `patience` at most (see stop()).
    ~Recording();
    Recording(const Recording&) = delete;
    Recording& operator=(const Recording&) = delete;

    // From now on scans are recorded; the run begins with the first of them. Once only.
    void begin(const RunWanted& wanted);

    // Enters an event that happens now; the event as it stands in the run, by which it can be taken back.
    Event addEvent(const std::string& kind, const std::string& text = {});
    void withdrawEvent(const Event& event);

    // What is stated of the pot has changed (the form was filled in, a drop was added): for the watch, and for the
    // book. Where another channel is the pot now, the watch begins anew with that one. Its events do not count: they go
    // through addEvent() and withdrawEvent(). While a run is recorded its notes are changed through here alone:
    // Book::setNotes() would take back what was entered meanwhile. A batch that contradicts itself is told as
    // StorageNews, and not kept.
    void setBatch(const Batch& batch);

    // Ends the run cleanly and lets the device go. Told: RecordingEnded, when all is written. Where the book takes
    // nothing, it is tried again each second for that long; what is then not in it is lost, and counted.
    void stop(std::chrono::seconds patience = std::chrono::seconds(30));

    [[nodiscard]] RecordingState state() const;

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace potwatch::session
