// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/recording_desk.h"

#include "app/format/number.h"
#include "app/format/wall_time.h"
#include "io/csv/encoding.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::session {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t most_bytes_waiting = 16'000'000; // minutes of the fastest port; a file that is read waits
constexpr auto tick_every = 1s;
constexpr auto tell_every = 100ms;
constexpr auto patience_at_the_end = 30s;

std::string sinceText(double seconds) {
    return format::durationText(std::max(seconds, 0.0));
}

} // namespace

RecordingDesk::RecordingDesk(std::unique_ptr<serial::ByteSource> source, serial::Device device, Recording::Tell tell,
                             RecordingClock clock, std::optional<Begin> at_once)
    : tell_(std::move(tell))
    , clock_(std::move(clock))
    , device_(std::move(device))
    , source_(std::move(source))
    , inbox_(most_bytes_waiting)
    , zero_(clock_.now())
    , reader_(device_)
    , last_flush_(zero_)
    , next_tick_(zero_ + tick_every)
    , thread_([this, at_once = std::move(at_once)] { work(at_once); }) {}

RecordingDesk::~RecordingDesk() {
    post(Stop{.patience = patience_at_the_end});
    thread_.join();
}

void RecordingDesk::post(Input input) {
    std::size_t bytes = 0;
    if (const auto* const news = std::get_if<serial::SourceNews>(&input)) {
        const auto* const came = std::get_if<serial::BytesCame>(&news->what);
        bytes = came == nullptr ? 0 : came->bytes.size();
    }
    inbox_.put(std::move(input), bytes);
}

double RecordingDesk::secondsAt(Moment moment) const {
    constexpr double us_per_s = 1e6;
    const std::lock_guard lock(state_mutex_);
    return static_cast<double>(std::chrono::duration_cast<std::chrono::microseconds>(moment - zero_).count()) /
           us_per_s;
}

double RecordingDesk::nowS() const {
    return std::max(0.0, secondsAt(clock_.now()));
}

double RecordingDesk::eventTimeS() const {
    const double now_s = nowS();
    const std::lock_guard lock(state_mutex_);
    return state_.phase < RecordingState::Phase::recording ? 0.0 : now_s;
}

RecordingState RecordingDesk::state() const {
    const double now_s = nowS();
    const std::lock_guard lock(state_mutex_);
    RecordingState state = state_;
    state.now_s = now_s;
    return state;
}

void RecordingDesk::tell(RecordingNews news) const {
    const std::lock_guard lock(telling_);
    tell_(std::move(news));
}

void RecordingDesk::tellDevice(DeviceChange what, std::string text, std::string channel) {
    tell(DeviceNews{.time_s = nowS(), .what = what, .channel = std::move(channel), .text = std::move(text)});
}

void RecordingDesk::work(const std::optional<Begin>& at_once) {
    if (at_once) {
        begin(at_once->wanted);
    }
    source_->start([this](serial::SourceNews news) { post(std::move(news)); });
    while (!is_over_) {
        const bool has_to_tell = !scans_to_tell_.empty() || has_refused_to_tell_;
        const auto now = std::chrono::steady_clock::now();
        const auto until = now + (has_to_tell ? std::chrono::milliseconds(tell_every) : std::chrono::milliseconds(200));
        if (std::optional<Input> input = inbox_.take(until)) {
            handle(*input);
        }
        const Moment clock_now = clock_.now();
        if (clock_now - last_flush_ >= tell_every || is_over_) {
            flush(clock_now);
        }
        if (clock_now >= next_tick_ && !is_finishing_) {
            next_tick_ = clock_now + tick_every;
            tick(clock_now);
        }
    }
    inbox_.close();
    source_.reset();
}

void RecordingDesk::handle(Input& input) {
    if (auto* const news = std::get_if<serial::SourceNews>(&input)) {
        if (!is_finishing_) {
            handleSource(*news);
        }
    } else if (const auto* const wish = std::get_if<Begin>(&input)) {
        begin(wish->wanted);
    } else if (const auto* const change = std::get_if<Enter>(&input)) {
        enter(change->event, change->withdraws);
    } else if (const auto* const stated = std::get_if<Restate>(&input)) {
        restate(stated->batch);
    } else if (const auto* const stop = std::get_if<Stop>(&input)) {
        finish(stop->patience);
    } else if (auto* const ended = std::get_if<WriterEnded>(&input)) {
        flush(clock_.now());
        {
            const std::lock_guard lock(state_mutex_);
            state_.phase = RecordingState::Phase::ended;
        }
        awake_.reset();
        is_over_ = true;
        tell(std::move(ended->news));
    }
}

void RecordingDesk::handleSource(serial::SourceNews& news) {
    if (auto* const came = std::get_if<serial::BytesCame>(&news.what)) {
        take(reader_.take(came->bytes, news.at));
        return;
    }
    const bool is_connected = std::holds_alternative<serial::Connected>(news.what);
    {
        const std::lock_guard lock(state_mutex_);
        state_.is_connected = is_connected;
    }
    if (const auto* const connected = std::get_if<serial::Connected>(&news.what)) {
        source_name_ = connected->to;
        connected_at_ = news.at;
        is_silent_ = false;
        reader_.connected(connected->may_start_midway);
        if (const std::optional<Moment> lost = std::exchange(lost_at_, std::nullopt)) {
            const double gap_s = std::chrono::duration<double>(news.at - *lost).count();
            const std::string text = fmt::format("The device is back after {}: {}.", sinceText(gap_s), connected->to);
            tellDevice(DeviceChange::back, text);
            enterNow("device back", fmt::format("after {}", sinceText(gap_s)), secondsAt(news.at));
        } else {
            tellDevice(DeviceChange::connected, fmt::format("Connected to {}.", connected->to));
        }
    } else if (const auto* const missing = std::get_if<serial::NotConnected>(&news.what)) {
        tellDevice(DeviceChange::not_there, describe(missing->fault));
    } else if (const auto* const lost = std::get_if<serial::Lost>(&news.what)) {
        lost_at_ = news.at;
        connected_at_.reset();
        tellDevice(DeviceChange::lost, describe(lost->fault));
        enterNow("device lost", {}, secondsAt(news.at));
    } else if (const auto* const ended = std::get_if<serial::SourceEnded>(&news.what)) {
        take(reader_.end(news.at));
        tellDevice(DeviceChange::ended, ended->fault ? describe(*ended->fault) : "The lines have come to their end.");
        finish(patience_at_the_end);
    }
}

void RecordingDesk::begin(const RunWanted& wanted) {
    if (wanted_ || is_finishing_) {
        return;
    }
    wanted_ = wanted;
    warning_command_ = WarningCommand(wanted.warning_command);
    if (wanted.keep_awake) {
        awake_.emplace("a curing resin is being recorded");
    }
    {
        const std::lock_guard lock(state_mutex_);
        state_.phase = RecordingState::Phase::waiting;
        state_.events = wanted.batch.events;
    }
    writer_ = std::make_unique<RecordingWriter>(
        [this](RecordingNews news) {
            if (auto* const storage = std::get_if<StorageNews>(&news)) {
                const std::lock_guard lock(state_mutex_);
                state_.storage_trouble = storage->trouble;
            }
            if (auto* const ended = std::get_if<RecordingEnded>(&news)) {
                post(WriterEnded{.news = std::move(*ended)});
            } else {
                tell(std::move(news));
            }
        },
        [this](std::size_t in_book) {
            const std::lock_guard lock(state_mutex_);
            state_.in_book = in_book;
        });
    writer_->open(wanted.book);
}

void RecordingDesk::finish(std::chrono::steady_clock::duration patience) {
    if (is_finishing_) {
        if (writer_) {
            writer_->end(patience); // less patience than before
        }
        return;
    }
    is_finishing_ = true;
    {
        const std::lock_guard lock(state_mutex_);
        state_.phase = RecordingState::Phase::ending;
    }
    inbox_.close(); // the source may be waiting to put something in
    source_.reset();
    if (writer_) {
        writer_->end(patience);
    } else {
        post(WriterEnded{});
    }
}

void RecordingDesk::take(ReadLines lines) {
    if (lines.not_understood) {
        tellDevice(DeviceChange::not_understood, describe(*lines.not_understood));
    }
    if (lines.found) {
        rest_.clear();
        channels_ =
            LiveChannels(lines.found->format, {.type = device_.thermocouple, .cold_junction = device_.cold_junction});
        {
            const std::lock_guard lock(state_mutex_);
            state_.channels = channels_.list();
            if (state_.phase == RecordingState::Phase::looking) {
                state_.phase = RecordingState::Phase::ready;
            }
        }
        tell(std::move(*lines.found));
    }
    if (!lines.scans.empty()) {
        takeScans(lines.scans);
    }
    if (!lines.refused.empty()) {
        takeRefused(lines.refused);
    }
}

void RecordingDesk::flush(Moment now) {
    last_flush_ = now;
    if (!scans_to_tell_.empty()) {
        tell(ScansCame{.scans = std::exchange(scans_to_tell_, {})});
    }
    if (std::exchange(has_refused_to_tell_, false)) {
        tell(refused_to_tell_);
        refused_to_tell_.lines.clear();
    }
}

} // namespace potwatch::session
