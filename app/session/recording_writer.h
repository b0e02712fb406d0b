// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/recording_news.h"
#include "io/book/run_writer.h"

#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

namespace potwatch::session {

// The thread of a recording that alone touches the book. What it is given it keeps in memory until it is in the book,
// however long that takes. Threads: every function may be called from any thread, and returns at once (append() of more
// than any device sends, once the disk has caught up).
class RecordingWriter {
public:
    // Told on the writer's thread: RunInBook, StorageNews, BookChanged, and at the end RecordingEnded.
    using Tell = std::function<void(RecordingNews)>;
    // Told after each commit: how many scans of the run are in the book.
    using Count = std::function<void(std::size_t in_book)>;

    RecordingWriter(Tell tell, Count count);
    ~RecordingWriter(); // ends without waiting for a book that takes nothing
    RecordingWriter(const RecordingWriter&) = delete;
    RecordingWriter& operator=(const RecordingWriter&) = delete;

    // Opens the book, so that a fault is told before anything depends on it (RecordingEnded).
    void open(const std::string& book);
    // The run begins; what follows belongs to it.
    void begin(book::NewRecording recording);
    void append(const LiveScan& scan); // as received, times from the first scan
    void add(const Event& event);
    void withdraw(const Event& event);
    void refuse(book::RefusedLine line);
    void restate(const Batch& batch); // of a run that has begun
    // Ends the run; a book that takes nothing is tried for that long.
    void end(std::chrono::steady_clock::duration patience);

private:
    struct Work { // that waits
        std::string book;
        std::optional<book::NewRecording> recording;
        std::vector<LiveScan> scans;
        struct Change {
            Event event;
            bool withdraws = false;
        };
        std::vector<Change> events;
        std::vector<book::RefusedLine> refused;
        std::optional<Batch> batch;
        std::optional<std::chrono::steady_clock::time_point> give_up; // the run has ended
    };

    void run(const std::stop_token& stop);
    [[nodiscard]] RecordingEnded writeUntilTheEnd(const std::stop_token& stop);
    [[nodiscard]] std::optional<Fault> openBook();
    [[nodiscard]] std::optional<Fault> write();
    [[nodiscard]] Result<void> goOnBeside(const std::string& why);
    void noteTrouble(const std::optional<Fault>& trouble);
    void take(Work&& work);

    const Tell tell_;
    const Count count_;

    std::mutex mutex_;
    std::condition_variable_any changed_;
    Work waiting_;           // given by others, not yet taken
    bool keeps_all_ = false; // the book takes nothing: whatever comes waits

    // Of the thread alone.
    Work held_; // taken, and not yet handed to the run's writer
    std::string book_;
    std::vector<std::string> notices_;
    std::optional<book::RunWriter> writer_;
    bool is_in_trouble_ = false;
    double last_s_ = 0.0; // time of the latest scan

    std::jthread thread_; // last: it uses all of the above
};

} // namespace potwatch::session
