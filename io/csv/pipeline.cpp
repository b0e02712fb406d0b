// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/pipeline.h"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace potwatch::csv {
namespace {

class Pipeline {
public:
    Pipeline(BlockReader& reader, const RowParser& parser, TableBuilder& builder, const std::stop_token& stop)
        : reader_(reader)
        , parser_(parser)
        , builder_(builder)
        , stop_(stop) {}

    // `told`: called with the bytes read after each block.
    template<class Told>
    void work(const Told& told) {
        try {
            Block block;
            BlockRows rows;
            while (takeBlock(block)) {
                parser_.parse(block.text(), rows);
                if (!append(rows, block)) {
                    return;
                }
                told(bytes_read_now_.load(std::memory_order_relaxed));
            }
        } catch (...) { // out of memory: the caller's thread throws it again
            const std::scoped_lock lock(turn_mutex_);
            exception_ = exception_ ? exception_ : std::current_exception();
            over_ = true;
            turn_changed_.notify_all();
        }
    }

    Result<void> outcome() {
        if (exception_) {
            std::rethrow_exception(exception_);
        }
        if (fault_) {
            return tl::unexpected(*fault_);
        }
        return {};
    }

private:
    // Blocks are numbered as they are read; false at the end, on a fault and when stopped.
    bool takeBlock(Block& block) {
        std::unique_lock lock(reader_mutex_);
        if (ended_) {
            return false;
        }
        Result<bool> more = stop_.stop_requested() ? Result<bool>{tl::unexpected(Fault{.kind = FaultKind::cancelled,
                                                                                       .what = "the import was stopped",
                                                                                       .where = {},
                                                                                       .remedy = "nothing was kept"})}
                                                   : reader_.next(block);
        bytes_read_now_.store(reader_.bytesRead(), std::memory_order_relaxed);
        if (more && *more) {
            block.number = blocks_read_++;
            return true;
        }
        ended_ = true;
        const std::size_t number = blocks_read_;
        lock.unlock();
        if (!more) {
            // A line number counts from the start of the block: the lines before it are known when all of them are
            // appended.
            std::unique_lock turn_lock(turn_mutex_);
            turn_changed_.wait(turn_lock, [&] { return over_ || turn_ == number; });
            if (!over_) {
                fault_ = more.error();
                if (fault_->where.line) {
                    *fault_->where.line += builder_.nextLine();
                }
            }
        }
        return false;
    }

    bool append(BlockRows& rows, const Block& block) {
        std::unique_lock lock(turn_mutex_);
        turn_changed_.wait(lock, [&] { return over_ || turn_ == block.number; });
        if (over_) {
            return false;
        }
        builder_.append(rows, block.text().size());
        ++turn_;
        turn_changed_.notify_all();
        return true;
    }

    BlockReader& reader_;
    const RowParser& parser_;
    TableBuilder& builder_;
    const std::stop_token& stop_;
    std::mutex reader_mutex_;
    std::size_t blocks_read_ = 0;
    bool ended_ = false;
    std::atomic<std::uint64_t> bytes_read_now_{0};
    std::mutex turn_mutex_;
    std::condition_variable turn_changed_;
    std::size_t turn_ = 0;
    bool over_ = false; // an exception ended the work
    std::optional<Fault> fault_;
    std::exception_ptr exception_;
};

} // namespace

Result<void> readAllRows(BlockReader& reader, const RowParser& parser, TableBuilder& builder, int workers,
                         std::optional<std::uint64_t> bytes_expected, const Progress& progress,
                         const std::stop_token& stop) {
    Pipeline pipeline(reader, parser, builder, stop);
    {
        std::vector<std::jthread> others;
        for (int i = 1; i < workers; ++i) {
            others.emplace_back([&pipeline] { pipeline.work([](std::uint64_t) {}); });
        }
        pipeline.work([&](std::uint64_t bytes_read) {
            if (progress && bytes_expected && *bytes_expected > 0) {
                progress(std::min(1.0, static_cast<double>(bytes_read) / static_cast<double>(*bytes_expected)),
                         "reading the table");
            }
        });
    }
    return pipeline.outcome();
}

} // namespace potwatch::csv
