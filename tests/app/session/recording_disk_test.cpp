// SPDX-License-Identifier: GPL-3.0-or-later
// A disk that is full for a while, and one that fails at its first, second, third ... operation, under a recording that
// goes on.
#include "app/session/recording.h"
#include "tests/app/session/scripted_source.h"
#include "tests/app/session/temporary_folder.h"
#include "tests/io/book/failing_disk.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <cerrno>
#include <chrono>
#include <cstring>
#include <fcntl.h>
#include <functional>
#include <sched.h>
#include <sys/mount.h>
#include <thread>
#include <unistd.h>

namespace potwatch::session {
namespace {

using namespace std::chrono_literals;
using book::FailingDisk;
using testing::IsEmpty;
using testing::SizeIs;
using Clock = std::chrono::steady_clock;

// The n-th line, and the value in it.
double valueOf(std::size_t n) {
    return static_cast<double>(2000 + n % 7000) / 100.0;
}
std::string lineOf(std::size_t n) {
    return fmt::format("{:.2f},{:.2f}\n", valueOf(n), 25.0);
}

class RecordingOnABadDisk : public TemporaryFolder {
protected:
    [[nodiscard]] std::string bookPath() const { return path("live.potbook"); }
    [[nodiscard]] RunWanted wanted() const { return {.book = bookPath(), .name = "live", .keep_awake = false}; }

    // Every line up to `count` is in the book once, in its order.
    void expectAll(const book::RunId& id, std::size_t count) const {
        Result<book::Opened> opened = book::Book::open(bookPath(), book::Access::write);
        ASSERT_TRUE(opened) << describe(opened.error());
        EXPECT_THAT(*opened->book.check(), IsEmpty());
        const Result<book::StoredRun> stored = opened->book.read(id);
        ASSERT_TRUE(stored) << describe(stored.error());
        const std::vector<double>& values = stored->run.channels[0].values;
        ASSERT_EQ(values.size(), count);
        for (std::size_t n = 0; n < count; ++n) {
            ASSERT_EQ(values[n], valueOf(n)) << n;
        }
        EXPECT_TRUE(std::is_sorted(stored->run.time_s.begin(), stored->run.time_s.end()));
    }

    // A recording at 20 lines a second on a disk that is full for a while.
    void recordThroughAFullDisk(std::chrono::seconds full_for, const std::function<void()>& fill,
                                const std::function<void()>& makeRoom) const {
        constexpr auto pace = 50ms;
        Script script;
        Heard heard;
        std::size_t sent = 0;
        const auto sendFor = [&](std::chrono::milliseconds time) {
            for (const Clock::time_point until = Clock::now() + time; Clock::now() < until;) {
                script.send(lineOf(sent++));
                std::this_thread::sleep_for(pace);
            }
        };
        Recording recording(script.source(), {}, wanted(), heard.tell());
        script.connect();
        sendFor(2s);
        ASSERT_THAT(heard.wait<RunInBook>(), SizeIs(1));
        ASSERT_THAT(heard.all<StorageNews>(), IsEmpty());
        fill();
        sendFor(2s);
        ASSERT_THAT(heard.all<StorageNews>(), SizeIs(1)) << "said within two seconds";
        ASSERT_TRUE(heard.all<StorageNews>().front().trouble);
        EXPECT_TRUE(recording.state().storage_trouble);
        sendFor(full_for - 2s);
        EXPECT_THAT(heard.all<StorageNews>(), SizeIs(1)) << "and once";
        const RecordingState state = recording.state();
        EXPECT_LT(state.in_book, state.scans);
        makeRoom();
        sendFor(2s);
        const std::vector<StorageNews> news = heard.wait<StorageNews>(2);
        ASSERT_THAT(news, SizeIs(2));
        EXPECT_FALSE(news[1].trouble);
        recording.stop();
        ASSERT_THAT(heard.wait<RecordingEnded>(), SizeIs(1));
        const RecordingEnded ended = heard.all<RecordingEnded>().front();
        EXPECT_EQ(ended.scans, sent);
        EXPECT_EQ(ended.scans_lost, 0U);
        EXPECT_FALSE(ended.fault);
        expectAll(ended.id, sent);
    }
    void recordThroughAFailingDisk(std::chrono::seconds full_for) const {
        FailingDisk disk;
        recordThroughAFullDisk(
            full_for, [&] { disk.failAt(1, FailingDisk::Failure::full, true); }, [&] { disk.failNothing(); });
    }
};

TEST_F(RecordingOnABadDisk, writesWhenThereIsRoomAgain) {
    recordThroughAFailingDisk(3s);
}

TEST_F(RecordingOnABadDisk, countsWhatIsLostWhereThereIsNever) {
    FailingDisk disk;
    Script script;
    Heard heard;
    Recording recording(script.source(), {}, wanted(), heard.tell());
    script.connect();
    for (std::size_t n = 0; n < 10; ++n) {
        script.send(lineOf(n));
    }
    ASSERT_THAT(heard.wait<RunInBook>(), SizeIs(1));
    while (recording.state().in_book < 10) {
        std::this_thread::sleep_for(20ms);
    }
    disk.failAt(1, FailingDisk::Failure::full, true);
    for (std::size_t n = 10; n < 15; ++n) {
        script.send(lineOf(n));
    }
    recording.stop(2s);
    ASSERT_THAT(heard.wait<RecordingEnded>(), SizeIs(1));
    const RecordingEnded ended = heard.all<RecordingEnded>().front();
    EXPECT_EQ(ended.scans, 10U);
    EXPECT_EQ(ended.scans_lost, 5U);
    ASSERT_TRUE(ended.fault);
    const Fault loss = lossFault(ended);
    EXPECT_THAT(loss.what,
                testing::StartsWith("5 samples could not be written and are lost: the book cannot be written"));
    EXPECT_THAT(loss.remedy, testing::Not(testing::HasSubstr("as it was before")));
    EXPECT_THAT(heard.all<BookChanged>(), IsEmpty());
    for (const auto& entry : std::filesystem::directory_iterator(folder_)) {
        EXPECT_EQ(entry.path().string().find("-2.potbook"), std::string::npos) << "nothing is left of the attempt";
    }
}

// Ran by the slow program alone.
class RecordingOnABadDiskSlowly : public RecordingOnABadDisk {};

TEST_F(RecordingOnABadDiskSlowly, outlivesAMinuteOfAFullDisk) {
    recordThroughAFailingDisk(60s);
}

TEST_F(RecordingOnABadDiskSlowly, losesNothingWhicheverOperationFails) {
    constexpr std::size_t lines = 40;
    constexpr std::size_t too_many = 500;
    std::size_t recorded = 0;
    for (const FailingDisk::Failure failure : {FailingDisk::Failure::full, FailingDisk::Failure::inputOutput}) {
        bool failed = true;
        for (std::size_t k = 1; failed; ++k) {
            ASSERT_LT(k, too_many);
            std::filesystem::remove_all(folder_);
            std::filesystem::create_directory(folder_);
            Script script;
            Heard heard;
            {
                FailingDisk disk;
                disk.failAt(k, failure, false);
                Recording recording(script.source(), {}, wanted(), heard.tell());
                script.connect();
                for (std::size_t n = 0; n < lines; ++n) {
                    script.send(lineOf(n));
                    if (n == lines / 2) {
                        heard.wait<RunInBook>(1, 1s); // so that it is written in more than one go
                    }
                }
                recording.addEvent("gel");
                recording.stop(20s);
                ASSERT_THAT(heard.wait<RecordingEnded>(1, 30s), SizeIs(1)) << "operation " << k;
                failed = disk.hasFailed();
            }
            const RecordingEnded ended = heard.all<RecordingEnded>().front();
            if (ended.fault) {
                // It could not even make the book: told at once, before anything was recorded.
                EXPECT_TRUE(ended.id.empty()) << describe(*ended.fault) << " at operation " << k;
                EXPECT_THAT(heard.all<RunInBook>(), IsEmpty());
                continue;
            }
            ++recorded;
            EXPECT_EQ(ended.scans, lines) << "operation " << k;
            EXPECT_EQ(ended.scans_lost, 0U);
            expectAll(ended.id, lines);
            if (HasFailure()) {
                FAIL() << "at operation " << k;
            }
        }
    }
    EXPECT_GT(recorded, 20U);
    fmt::print("{} recordings went through a failure\n", recorded);
}

// A file system of 4 MiB in memory, where this machine lets the test mount one; it goes with the process.
class RecordingOnASmallDisk : public RecordingOnABadDisk {
protected:
    void SetUp() override {
        RecordingOnABadDisk::SetUp();
        const bool is_mounted = ::unshare(CLONE_NEWNS) == 0 &&
                                ::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) == 0 &&
                                ::mount("none", folder_.c_str(), "tmpfs", 0, "size=4m") == 0;
        if (!is_mounted) {
            GTEST_SKIP() << "no file system may be mounted here: " << std::strerror(errno);
        }
        is_mounted_ = true;
    }
    void TearDown() override {
        if (is_mounted_) {
            EXPECT_EQ(::umount2(folder_.c_str(), MNT_DETACH), 0);
        }
        RecordingOnABadDisk::TearDown();
    }
    // To the last byte; what is in the way goes again with it.
    void fill() const {
        const int file = ::open(path("ballast").c_str(), O_WRONLY | O_CREAT | O_APPEND, 0600);
        ASSERT_GE(file, 0);
        const std::string block(4096, 'x');
        while (::write(file, block.data(), block.size()) > 0) {
        }
        EXPECT_EQ(errno, ENOSPC);
        ::close(file);
    }
    void makeRoom() const { std::filesystem::remove(path("ballast")); }

private:
    bool is_mounted_ = false;
};

TEST_F(RecordingOnASmallDisk, writesWhenThereIsRoomAgain) {
    recordThroughAFullDisk(
        5s, [this] { fill(); }, [this] { makeRoom(); });
}

class RecordingOnASmallDiskSlowly : public RecordingOnASmallDisk {};

TEST_F(RecordingOnASmallDiskSlowly, outlivesAMinuteOfAFullDisk) {
    recordThroughAFullDisk(
        60s, [this] { fill(); }, [this] { makeRoom(); });
}

} // namespace
} // namespace potwatch::session
