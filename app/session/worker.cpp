// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/worker.h"

#include <algorithm>
#include <new>
#include <utility>

namespace potwatch::session {

Worker::Worker(Job idle, std::chrono::milliseconds idle_after)
    : idle_(std::move(idle))
    , idle_after_(idle_after)
    , thread_([this](const std::stop_token& end) { work(end); }) {}

Worker::~Worker() {
    end();
}

void Worker::end() {
    if (!thread_.joinable()) {
        return;
    }
    {
        const std::lock_guard lock(mutex_);
        ended_ = true;
        std::erase_if(waiting_, [](const Task& task) { return !task.must_be_done; });
        if (busy_ && !doing_must_be_done_) {
            doing_stop_.request_stop();
        }
    }
    thread_.request_stop();
    thread_.join();
}

void Worker::tellGivenUp(std::function<void()> tell) {
    const std::lock_guard lock(mutex_);
    tell_given_up_ = std::move(tell);
}

// A run too large for this machine ends its own job, not the program: a recording may be going on.
void Worker::doJob(const Job& job, const std::stop_token& stop) {
    try {
        job(stop);
    } catch (const std::bad_alloc&) {
        std::function<void()> tell;
        {
            const std::lock_guard lock(mutex_);
            tell = tell_given_up_;
        }
        if (tell) {
            tell();
        }
    }
}

void Worker::post(Job job, std::string key) {
    const std::lock_guard lock(mutex_);
    waiting_.push_back({.key = std::move(key), .job = std::move(job), .must_be_done = true, .stop = {}});
    changed_.notify_all();
}

void Worker::postLatest(std::string key, Job job) {
    const std::lock_guard lock(mutex_);
    if (ended_) {
        return;
    }
    drop(key);
    waiting_.push_back({.key = std::move(key), .job = std::move(job), .must_be_done = false, .stop = {}});
    changed_.notify_all();
}

void Worker::cancel(const std::string& key) {
    const std::lock_guard lock(mutex_);
    drop(key);
    for (Task& task : waiting_) {
        if (task.key == key) {
            task.stop.request_stop();
        }
    }
}

void Worker::drop(const std::string& key) {
    std::erase_if(waiting_, [&](const Task& task) { return !task.must_be_done && task.key == key; });
    if (busy_ && doing_key_ == key) {
        doing_stop_.request_stop();
    }
}

std::size_t Worker::pending() const {
    const std::lock_guard lock(mutex_);
    return waiting_.size() + (busy_ ? 1U : 0U);
}

void Worker::work(const std::stop_token& end) {
    std::unique_lock lock(mutex_);
    for (;;) {
        const auto something = [this] { return !waiting_.empty(); };
        if (!idle_) {
            changed_.wait(lock, end, something);
        } else if (!changed_.wait_for(lock, end, idle_after_, something) && !end.stop_requested()) {
            // Nobody is told to wait for it: it is no job.
            lock.unlock();
            doJob(idle_, end);
            lock.lock();
            continue;
        }
        if (waiting_.empty()) {
            return;
        }
        Task task = std::move(waiting_.front());
        waiting_.pop_front();
        busy_ = true;
        doing_key_ = task.key;
        doing_must_be_done_ = task.must_be_done;
        doing_stop_ = task.stop;
        lock.unlock();
        doJob(task.job, task.stop.get_token());
        task.job = nullptr; // what it holds may be large, and must not be freed under the lock
        lock.lock();
        busy_ = false;
    }
}

} // namespace potwatch::session
