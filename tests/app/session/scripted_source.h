// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/recording.h"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <memory>
#include <mutex>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::session {

// A device that says what a test wants, when it wants it.
class Script {
public:
    [[nodiscard]] std::unique_ptr<serial::ByteSource> source() { return std::make_unique<Source>(*this); }

    void connect() { say(serial::Connected{.to = "a script", .may_start_midway = false}, serial::now()); }
    void lose() {
        say(
            serial::Lost{
                .fault = {.kind = FaultKind::device, .what = "the device is gone", .where = {}, .remedy = "wait"}},
            serial::now());
    }
    void end() { say(serial::SourceEnded{}, serial::now()); }
    void send(std::string bytes, serial::Moment at = serial::now()) {
        say(serial::BytesCame{.bytes = std::move(bytes)}, at);
    }

private:
    class Source final : public serial::ByteSource {
    public:
        explicit Source(Script& script)
            : script_(script) {}
        ~Source() override { script_.become({}); }
        Source(const Source&) = delete;
        Source& operator=(const Source&) = delete;
        void start(Tell tell) override { script_.become(std::move(tell)); }

    private:
        Script& script_;
    };

    void become(serial::ByteSource::Tell tell) {
        const std::lock_guard lock(mutex_);
        tell_ = std::move(tell);
        was_started_ = was_started_ || tell_ != nullptr;
        started_.notify_all();
    }
    void say(decltype(serial::SourceNews::what) what, serial::Moment at) {
        std::unique_lock lock(mutex_);
        started_.wait(lock, [&] { return was_started_; });
        if (tell_) {
            tell_({.at = at, .what = std::move(what)});
        }
    }

    std::mutex mutex_;
    std::condition_variable started_;
    bool was_started_ = false;
    serial::ByteSource::Tell tell_;
};

// All that a recording tells.
class Heard {
public:
    [[nodiscard]] Recording::Tell tell() {
        return [this](RecordingNews news) {
            const std::lock_guard lock(mutex_);
            news_.push_back(std::move(news));
            changed_.notify_all();
        };
    }

    // Those of one kind so far.
    template<class News>
    [[nodiscard]] std::vector<News> all() const {
        const std::lock_guard lock(mutex_);
        return of<News>();
    }
    // Waits until so many have come, 10 s at the most; then what is there.
    template<class News>
    std::vector<News> wait(std::size_t count = 1, std::chrono::milliseconds most = std::chrono::seconds(10)) {
        std::unique_lock lock(mutex_);
        changed_.wait_for(lock, most, [&] { return of<News>().size() >= count; });
        return of<News>();
    }
    [[nodiscard]] bool hasDevice(DeviceChange what) const {
        const std::vector<DeviceNews> news = all<DeviceNews>();
        return std::any_of(news.begin(), news.end(), [&](const DeviceNews& n) { return n.what == what; });
    }
    [[nodiscard]] std::vector<LiveScan> scans() const {
        std::vector<LiveScan> scans;
        for (const ScansCame& came : all<ScansCame>()) {
            scans.insert(scans.end(), came.scans.begin(), came.scans.end());
        }
        return scans;
    }

private:
    template<class News>
    [[nodiscard]] std::vector<News> of() const {
        std::vector<News> found;
        for (const RecordingNews& news : news_) {
            if (const auto* const one = std::get_if<News>(&news)) {
                found.push_back(*one);
            }
        }
        return found;
    }

    mutable std::mutex mutex_;
    std::condition_variable changed_;
    std::vector<RecordingNews> news_;
};

} // namespace potwatch::session
