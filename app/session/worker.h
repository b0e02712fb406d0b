// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <deque>
#include <functional>
#include <mutex>
#include <stop_token>
#include <string>
#include <thread>

namespace potwatch::session {

// A thread that does one job after another, in the order in which they were posted.
// Threads: every function may be called from any thread, also from within a job (but for the destructor).
class Worker {
public:
    using Job = std::function<void(const std::stop_token&)>;

    // `idle` is done when nothing was to do for that long; empty = never.
    explicit Worker(Job idle = {}, std::chrono::milliseconds idle_after = std::chrono::seconds(1));
    // What is told of a job that was given up because memory ran out: the thread goes on with the next. On the worker's
    // thread. Nothing where nobody asks to be told.
    void tellGivenUp(std::function<void()> tell);
    ~Worker();
    Worker(const Worker&) = delete;
    Worker& operator=(const Worker&) = delete;

    // A job that must not be lost: done even where the worker ends first. It can still be told to stop by cancel().
    void post(Job job, std::string key = {});
    // The latest wins: jobs of the same key that are waiting are dropped, one that is being done is told to stop.
    // Dropped as well when the worker ends.
    void postLatest(std::string key, Job job);
    // Tells the job of that key to stop, and drops those waiting that may be dropped.
    void cancel(const std::string& key);

    // Stops and drops what may be dropped, does the rest, and ends the thread. What is posted afterwards is dropped.
    // Not from within a job.
    void end();

    // Jobs that are waiting or being done.
    [[nodiscard]] std::size_t pending() const;

private:
    struct Task {
        std::string key;
        Job job;
        bool must_be_done = false;
        std::stop_source stop;
    };

    void work(const std::stop_token& end);
    void doJob(const Job& job, const std::stop_token& stop);
    void drop(const std::string& key);

    mutable std::mutex mutex_;
    std::condition_variable_any changed_;
    std::deque<Task> waiting_;
    bool ended_ = false; // takes no more that may be dropped
    bool busy_ = false;
    std::string doing_key_;
    bool doing_must_be_done_ = false;
    std::stop_source doing_stop_{std::nostopstate};
    Job idle_;
    std::function<void()> tell_given_up_;
    std::chrono::milliseconds idle_after_;
    std::jthread thread_; // last: it uses all of the above
};

} // namespace potwatch::session
