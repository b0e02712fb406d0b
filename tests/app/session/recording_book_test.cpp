// SPDX-License-Identifier: GPL-3.0-or-later
// What becomes of a recording whose book goes away, or is held by another to the end.
#include "app/session/recording.h"
#include "tests/app/session/scripted_source.h"
#include "tests/app/session/temporary_folder.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <array>
#include <csignal>
#include <filesystem>
#include <functional>
#include <sqlite3.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace potwatch::session {
namespace {

using namespace std::chrono_literals;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

class RecordingBook : public TemporaryFolder {
protected:
    [[nodiscard]] std::string bookPath() const { return path("live.potbook"); }

    void send(std::size_t lines) {
        for (; lines > 0; --lines, ++sent_) {
            script_.send(fmt::format("{:.2f},{:.2f}\n", 20.0 + 0.01 * static_cast<double>(sent_), 30.0));
        }
    }
    template<class Condition>
    static bool soon(const Condition& condition) {
        const auto until = std::chrono::steady_clock::now() + 15s;
        while (!condition() && std::chrono::steady_clock::now() < until) {
            std::this_thread::sleep_for(5ms);
        }
        return condition();
    }
    // Records ten lines, does harm, sends ten more and ends.
    RecordingEnded recordThrough(const std::function<void()>& harm, std::chrono::seconds patience = 20s) {
        {
            Recording recording(script_.source(), {}, {.book = bookPath(), .name = "live", .keep_awake = false},
                                heard_.tell());
            script_.connect();
            send(10);
            EXPECT_TRUE(soon([&] { return recording.state().in_book == 10; }));
            harm();
            send(10);
            std::this_thread::sleep_for(1s);
            recording.stop(patience);
            EXPECT_THAT(heard_.wait<RecordingEnded>(1, 60s), SizeIs(1));
        }
        return heard_.all<RecordingEnded>().front();
    }
    void expectAllIn(const RecordingEnded& ended) const {
        EXPECT_EQ(ended.book, path("live-2.potbook"));
        EXPECT_EQ(ended.scans, sent_);
        EXPECT_EQ(ended.scans_lost, 0U);
        EXPECT_FALSE(ended.fault) << describe(*ended.fault);
        Result<book::Opened> opened = book::Book::open(ended.book, book::Access::read);
        ASSERT_TRUE(opened) << describe(opened.error());
        EXPECT_THAT(*opened->book.check(), IsEmpty());
        EXPECT_EQ(opened->book.row(ended.id)->state, book::RunState::complete);
        EXPECT_THAT(opened->book.read(ended.id)->run.time_s, SizeIs(sent_));
    }

    Script script_;
    Heard heard_;
    std::size_t sent_ = 0;
};

TEST_F(RecordingBook, goesOnBesideWhereTheBookIsDeletedAndSaysSo) {
    const RecordingEnded ended = recordThrough([this] { std::filesystem::remove(bookPath()); });
    expectAllIn(ended);
    ASSERT_THAT(heard_.all<BookChanged>(), SizeIs(1));
    EXPECT_THAT(heard_.all<BookChanged>().front().text, HasSubstr("deleted, moved or replaced"));
    EXPECT_EQ(heard_.all<BookChanged>().front().book, path("live-2.potbook"));
}

TEST_F(RecordingBook, bookThatIsHeldLockedToTheEndCostsNothing) {
    pid_t other = -1;
    const RecordingEnded ended = recordThrough(
        [&] {
            std::array<int, 2> ends{};
            ASSERT_EQ(::pipe(ends.data()), 0);
            other = ::fork();
            if (other == 0) {
                sqlite3* held = nullptr;
                sqlite3_open(bookPath().c_str(), &held);
                sqlite3_exec(held, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr);
                (void)!::write(ends[1], "x", 1);
                while (true) {
                    ::pause();
                }
            }
            char ready = 0;
            ASSERT_EQ(::read(ends[0], &ready, 1), 1);
            ::close(ends[0]);
            ::close(ends[1]);
        },
        1s);
    ::kill(other, SIGKILL);
    ::waitpid(other, nullptr, 0);
    expectAllIn(ended);
    ASSERT_THAT(heard_.all<BookChanged>(), SizeIs(1));
    EXPECT_THAT(heard_.all<BookChanged>().front().text, HasSubstr("locked by"));
}

TEST(LossFault, namesTheCauseAndWhatHelpsAgainstIt) {
    const Fault fault = lossFault({.id = "x",
                                   .book = "b",
                                   .scans = 3,
                                   .scans_lost = 105,
                                   .fault = Fault{.kind = FaultKind::storage,
                                                  .what = "is held locked by process 7",
                                                  .where = {.file = "b"},
                                                  .remedy = "close it"}});
    EXPECT_EQ(fault.kind, FaultKind::storage);
    EXPECT_EQ(fault.what, "105 samples could not be written and are lost: the book is held locked by process 7");
    EXPECT_EQ(fault.remedy, "close it");
}

} // namespace
} // namespace potwatch::session
