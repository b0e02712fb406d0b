// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/cli/exit_code.h"
#include "app/cli/live_screen.h"
#include "app/session/recording.h"

#include <atomic>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::cli {

// A recording as a terminal shows it: a log that scrolls, one sentence below it, events by key; and at the end what
// became of it. Threads: take() from any, the rest from one.
class RecordFace {
public:
    // batch: what is stated of the pot; drops are added to it.
    RecordFace(bool json, bool reads_keys, Batch batch);

    void take(session::RecordingNews news);

    void show(const session::RecordingState& state);
    void takeKeys(session::Recording& recording);
    [[nodiscard]] bool hasEnded() const { return has_ended_; }
    [[nodiscard]] bool wantsToEnd() const { return wants_to_end_; }

    [[nodiscard]] const session::RecordingEnded& ended() const { return ended_; }

    // Prints the answer of the command, tells faults, and returns the exit code.
    [[nodiscard]] ExitCode finish(std::vector<Fault> faults, const std::string& book, const std::string& findings = {});

private:
    void tell(const session::RecordingNews& news);
    void takeBack(session::Recording& recording);
    void retellStanding(const WatchState& now);
    void log(double time_s, const std::string& text);
    [[nodiscard]] std::string jsonText(const std::vector<Fault>& faults, const std::string& book) const;

    const bool json_;
    LiveScreen screen_;
    std::mutex mutex_;
    std::vector<session::RecordingNews> news_; // not told yet
    std::atomic<bool> has_ended_ = false;
    bool wants_to_end_ = false;
    bool was_connected_ = false;
    bool shows_keys_ = false;

    std::vector<Fault> faults_;
    session::RecordingState last_;
    std::optional<session::RunBegan> began_;
    std::optional<session::FormatFound> format_;
    std::vector<std::string> notices_;
    std::vector<std::string> calibrations_; // in sentences
    std::size_t times_lost_ = 0;
    std::size_t refused_ = 0;
    Batch batch_;
    std::vector<std::optional<Event>> entered_; // by key, not taken back; nothing = a drop
    session::RecordingEnded ended_;
};

} // namespace potwatch::cli
