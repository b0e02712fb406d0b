// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <deque>
#include <mutex>
#include <optional>
#include <utility>

namespace potwatch::session {

// What waits between two threads of a recording, in the order in which it came.
template<class Item>
class Inbox {
public:
    explicit Inbox(std::size_t most_bytes)
        : most_bytes_(most_bytes) {}

    // Puts an item in; `bytes` is about what it holds. Waits while very much is there: a file that is read faster than
    // it can be understood must not fill the memory. (A port never comes near it.) Dropped once it is closed.
    void put(Item item, std::size_t bytes) {
        std::unique_lock lock(mutex_);
        changed_.wait(lock, [&] { return is_closed_ || bytes_ <= most_bytes_ || bytes == 0; });
        if (is_closed_ && bytes > 0) {
            return;
        }
        bytes_ += bytes;
        items_.push_back({std::move(item), bytes});
        changed_.notify_all();
    }

    // The next item; nothing where none comes until then.
    [[nodiscard]] std::optional<Item> take(std::chrono::steady_clock::time_point until) {
        std::unique_lock lock(mutex_);
        if (!changed_.wait_until(lock, until, [&] { return !items_.empty(); })) {
            return std::nullopt;
        }
        Item item = std::move(items_.front().first);
        bytes_ -= items_.front().second;
        items_.pop_front();
        changed_.notify_all();
        return item;
    }

    // From now on nothing that holds bytes is taken in; what is there can still be taken out.
    void close() {
        const std::lock_guard lock(mutex_);
        is_closed_ = true;
        changed_.notify_all();
    }

private:
    std::mutex mutex_;
    std::condition_variable changed_;
    std::deque<std::pair<Item, std::size_t>> items_;
    std::size_t bytes_ = 0;
    const std::size_t most_bytes_;
    bool is_closed_ = false;
};

} // namespace potwatch::session
