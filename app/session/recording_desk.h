// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/watch/watch.h"
#include "app/session/keep_awake.h"
#include "app/session/line_reader.h"
#include "app/session/live_channels.h"
#include "app/session/recording.h"
#include "app/session/recording_inbox.h"
#include "app/session/recording_writer.h"
#include "app/session/rest_check.h"
#include "app/session/warning_command.h"

#include <chrono>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <variant>
#include <vector>

namespace potwatch::session {

// The thread of a recording at which everything comes together: bytes of the device, what a person asks for, news of
// the writer. It decodes, hands over to the writer, lets the watch look on, and tells.
class RecordingDesk {
public:
    struct Begin {
        RunWanted wanted;
    };
    struct Enter {
        Event event;
        bool withdraws = false;
    };
    struct Restate {
        Batch batch;
    };
    struct Stop {
        std::chrono::steady_clock::duration patience;
    };
    struct WriterEnded {
        RecordingEnded news;
    };
    using Input = std::variant<serial::SourceNews, Begin, Enter, Restate, Stop, WriterEnded>;

    // at_once: what is done before the source is started.
    RecordingDesk(std::unique_ptr<serial::ByteSource> source, serial::Device device, Recording::Tell tell,
                  RecordingClock clock, std::optional<Begin> at_once = {});
    ~RecordingDesk();
    RecordingDesk(const RecordingDesk&) = delete;
    RecordingDesk& operator=(const RecordingDesk&) = delete;

    // From any thread.
    void post(Input input);
    [[nodiscard]] double nowS() const;
    [[nodiscard]] double eventTimeS() const; // of an event that happens now: 0 before the run's first scan
    [[nodiscard]] RecordingState state() const;

private:
    void work(const std::optional<Begin>& at_once);
    void handle(Input& input);
    void handleSource(serial::SourceNews& news);
    void begin(const RunWanted& wanted);
    void restate(const Batch& batch);
    void finish(std::chrono::steady_clock::duration patience);

    void take(ReadLines lines);
    void takeScans(std::vector<ReadScan>& scans);
    void takeRefused(std::vector<ReadRefusal>& refused);
    void beginRun(Moment first);
    void leaveOutMissing(); // channels that the batch names and this device does not have
    void calibrate();       // what is known of the probes goes into the batch, and the readings are corrected by it
    void noteOpen(const ReadScan& scan, double time_s);
    void startWatch();
    void takeAlarms(const std::vector<AlarmChange>& changes);
    void enter(const Event& event, bool withdraws);
    void enterNow(const std::string& kind, const std::string& text, double time_s);
    void tellDevice(DeviceChange what, std::string text, std::string channel = {});

    void tick(Moment now);
    void compareAtRest(Moment now);
    void watchForSilence(Moment now);
    void watchTheClock(Moment now);
    void flush(Moment now);

    void tell(RecordingNews news) const;
    [[nodiscard]] double secondsAt(Moment moment) const;

    const Recording::Tell tell_;
    mutable std::mutex telling_;
    const RecordingClock clock_;
    const serial::Device device_;
    std::unique_ptr<serial::ByteSource> source_;
    Inbox<Input> inbox_;

    mutable std::mutex state_mutex_;
    RecordingState state_;
    Moment zero_; // of the run's time; before the run begins, that of the connection

    // Of the thread alone.
    LineReader reader_;
    LiveChannels channels_;
    std::unique_ptr<RecordingWriter> writer_;
    std::optional<watch::Watch> watch_;
    std::vector<std::size_t> watched_; // channels that the watch sees
    std::optional<RunWanted> wanted_;
    std::optional<KeepAwake> awake_;
    std::optional<bool> awake_told_;
    WarningCommand warning_command_;
    bool has_begun_ = false; // the first scan is recorded
    bool is_finishing_ = false;
    bool is_over_ = false;
    std::string source_name_;
    std::string missing_told_; // of channels
    std::optional<Moment> lost_at_;
    std::optional<Moment> connected_at_;
    std::optional<Moment> last_scan_;
    double last_s_ = 0.0;
    bool is_silent_ = false;
    struct OpenSensor {
        double last_s = 0.0; // when the word last came
    };
    std::map<std::size_t, OpenSensor> open_;
    RestCheck rest_;
    bool rest_is_told_ = false;
    std::optional<std::int64_t> wall_minus_steady_us_;
    std::vector<LiveScan> scans_to_tell_;
    LinesRefused refused_to_tell_;
    bool has_refused_to_tell_ = false;
    Moment last_flush_;
    Moment next_tick_;

    std::jthread thread_; // last: it uses all of the above
};

} // namespace potwatch::session
