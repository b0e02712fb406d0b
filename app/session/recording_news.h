// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/event.h"
#include "analysis/values/fault.h"
#include "analysis/values/watch_state.h"
#include "io/book/book.h"
#include "io/serial/line_format.h"

#include <cstddef>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace potwatch::session {

// What a recording tells, as values that nobody changes any more. All times are seconds of the run, counted from its
// first scan; before it, from the connection.

// How the device's lines are read, found by looking or as its device file says; told before anything is recorded.
struct FormatFound {
    serial::LineFormat format;
    bool was_stated = false;          // by a device file
    std::string in_words;             // "lines of 3 values, a comma between them, decimal point"
    std::vector<std::string> lines;   // that it was found on, as they may be shown
    std::vector<std::string> remarks; // what was taken for granted: "no unit is stated: taken as °C"
};

// A channel as it is recorded.
struct LiveChannel {
    std::string name;
    std::string unit;            // as received
    bool is_temperature = false; // then it is shown in °C
    std::string open;            // the word that stands for its reading now: its sensor is open; empty = it reads

    bool operator==(const LiveChannel&) const = default;
};

// Values are as shown: temperatures in °C, others as received; NaN = no reading.
struct LiveScan {
    double time_s = 0.0;
    std::vector<double> values; // one a channel

    bool operator==(const LiveScan&) const = default;
};

// The first scan is there: the run goes on from now.
struct RunBegan {
    std::string name;
    WallTime started;
    std::vector<LiveChannel> channels;
};

// The run is in the book (its first scans follow within a second), and what was noticed when the book was opened.
struct RunInBook {
    book::RunId id;
    std::string book;
    std::vector<std::string> notices;
};

// Several at a time where they come fast: at most ten such news a second.
struct ScansCame {
    std::vector<LiveScan> scans;
};

enum class DeviceChange {
    connected,
    not_there,       // cannot be opened; it is tried again and again
    lost,            // it was there: a gap begins
    back,            // and ends
    not_understood,  // lines come, but how they are built cannot be found
    silent,          // connected, but no scan for longer than usual
    talking,         // again
    sensor_open,     // of `channel`: the device says so by a word
    sensor_back,     // of `channel`
    calibrated,      // `channel` is corrected by what is known of its probe
    channel_missing, // the batch names channels that this device does not have
    clock_changed,   // somebody set this computer's clock; no time of the run changes
    ended            // the source is at its end
};

struct DeviceNews {
    double time_s = 0.0;
    DeviceChange what = DeviceChange::connected;
    std::string channel;
    std::string text; // a sentence, with what to do
};

// A line that was not understood; it is counted and kept in the book, never turned into numbers.
struct RefusedLine {
    double time_s = 0.0;
    std::string line; // as it may be shown, cut short where it is long
    std::string reason;

    bool operator==(const RefusedLine&) const = default;
};
struct LinesRefused {
    std::size_t count = 0;          // in all so far
    std::vector<RefusedLine> lines; // the new ones, the last 20 of very many
};

// The book takes nothing (a full disk ...): what comes waits in memory. Told at once, and when it is over.
struct StorageNews {
    double time_s = 0.0;
    std::optional<Fault> trouble; // empty = over: all that waited is in the book
    std::size_t scans_waiting = 0;
};

// The watch on the pot: an alarm began, became a warning, or ended.
struct WatchNews {
    double time_s = 0.0;
    AlarmChange change;
    std::string what;   // as format::alarmText() says it at that moment
    std::string advice; // empty where there is nothing to do
};

// The command of the person's that a warning runs could not be started.
struct CommandNews {
    double time_s = 0.0;
    std::string text; // a sentence
};

// An event was entered, by whomever (a warning enters one too), or taken back.
struct EventNews {
    Event event;
    bool withdrawn = false;
};

// Whether this computer is kept from falling asleep; told once, soon after the start.
struct AwakeNews {
    bool kept_awake = false;
    std::string text; // a sentence
};

// The probes compared with each other at rest, before anything was dosed; told once.
struct RestNews {
    double time_s = 0.0;
    std::string text; // sentences, with what to do
};

// The book was deleted, moved or replaced, or cannot be written to the end: the run goes on in a new book beside it,
// which has all of the run.
struct BookChanged {
    double time_s = 0.0;
    std::string book; // the new one
    std::string text; // a sentence
};

struct RecordingEnded {
    book::RunId id;             // empty where nothing was recorded
    std::string book;           // that it is in
    std::size_t scans = 0;      // in the book
    std::size_t scans_lost = 0; // that could not be written to the end
    std::optional<Fault> fault; // why it ended by itself, or what went wrong at the end
};

using RecordingNews = std::variant<FormatFound, RunBegan, RunInBook, ScansCame, DeviceNews, LinesRefused, StorageNews,
                                   BookChanged, WatchNews, CommandNews, EventNews, AwakeNews, RestNews, RecordingEnded>;

// That samples were lost at the end, with the cause and what helps against it.
[[nodiscard]] Fault lossFault(const RecordingEnded& ended);

} // namespace potwatch::session
