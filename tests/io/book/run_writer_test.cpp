// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/lease.h"
#include "io/book/run_writer.h"
#include "tests/io/book/book_folder.h"

#include <gmock/gmock.h>

#include <array>
#include <atomic>
#include <csignal>
#include <functional>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace potwatch::book {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

NewRecording recordingOf(const potwatch::Run& run) {
    NewRecording recording{.name = run.name, .started = run.started, .source = "pretend pot"};
    for (const Channel& channel : run.channels) {
        recording.channels.push_back({.name = channel.name, .unit = channel.unit});
    }
    return recording;
}

// A process of its own that is told apart by nothing but its memory.
class ChildProcess {
public:
    // The work writes to the pipe what it has done; the process ends without clean-up when it returns.
    explicit ChildProcess(const std::function<void(int pipe)>& work) {
        EXPECT_EQ(::pipe(ends_.data()), 0);
        process_ = ::fork();
        if (process_ == 0) {
            ::close(ends_[0]);
            work(ends_[1]);
            ::_exit(0);
        }
        ::close(ends_[1]);
    }
    ~ChildProcess() {
        kill();
        ::close(ends_[0]);
    }
    ChildProcess(const ChildProcess&) = delete;
    ChildProcess& operator=(const ChildProcess&) = delete;

    // Waits for the next word of the child; 0 where it has ended.
    std::size_t hear() {
        std::size_t word = 0;
        return ::read(ends_[0], &word, sizeof(word)) == static_cast<ssize_t>(sizeof(word)) ? word : 0;
    }
    void kill() {
        if (process_ > 0) {
            ::kill(process_, SIGKILL);
            ::waitpid(process_, nullptr, 0);
            process_ = -1;
        }
    }

private:
    std::array<int, 2> ends_{-1, -1};
    pid_t process_ = -1;
};

void say(int pipe, std::size_t word) {
    (void)!::write(pipe, &word, sizeof(word));
}

class Recording : public BookFolder {
protected:
    [[nodiscard]] RunWriter start(const potwatch::Run& run) const {
        Result<StartedRecording> started = RunWriter::start(bookPath(), recordingOf(run));
        if (!started) {
            std::abort();
        }
        return std::move(started->writer);
    }

    // Appends the scans from first up to last.
    static void append(RunWriter& writer, const potwatch::Run& run, std::size_t first, std::size_t last) {
        std::vector<double> values(run.channels.size());
        for (std::size_t i = first; i < last; ++i) {
            for (std::size_t c = 0; c < values.size(); ++c) {
                values[c] = run.channels[c].values[i];
            }
            if (!writer.append(run.time_s[i], values)) {
                std::abort();
            }
        }
    }

    // Records a run with a commit every so many scans and says after each how many are safe.
    void record(const potwatch::Run& run, std::size_t scans_per_commit, int pipe) const {
        RunWriter writer = start(run);
        for (std::size_t done = 0; done < run.time_s.size();) {
            const std::size_t next = std::min(done + scans_per_commit, run.time_s.size());
            append(writer, run, done, next);
            if (!writer.commit()) {
                ::_exit(1);
            }
            done = next;
            say(pipe, writer.committed());
        }
        while (true) {
            ::pause();
        }
    }
};

// The beginning of a run.
potwatch::Run firstOf(potwatch::Run run, std::size_t samples) {
    run.time_s.resize(samples);
    for (Channel& channel : run.channels) {
        channel.values.resize(samples);
    }
    return run;
}

TEST_F(Recording, readsBackBitForBitHoweverItWasCommitted) {
    for (const std::size_t scans : {0U, 1U, 4095U, 4096U, 4097U, 13'000U}) {
        for (const std::size_t per_commit : {700U, 4096U, 9000U}) {
            const potwatch::Run run = oddRun("rod", scans, static_cast<unsigned>(scans + per_commit));
            RunWriter writer = start(run);
            for (std::size_t done = 0; done < scans; done += per_commit) {
                append(writer, run, done, std::min(done + per_commit, scans));
                ASSERT_TRUE(writer.commit());
            }
            ASSERT_TRUE(writer.end());
            Book book = this->book(Access::write);
            const Result<StoredRun> read = book.read(writer.id());
            ASSERT_TRUE(read) << describe(read.error());
            EXPECT_TRUE(sameBits(read->run, run)) << scans << " by " << per_commit;
            EXPECT_EQ(book.row(writer.id())->state, RunState::complete);
            EXPECT_TRUE(book.add({.run = run})->was_there) << "its hash is that of the same samples in a file";
        }
    }
    EXPECT_THAT(*book().check(), IsEmpty());
}

TEST_F(Recording, timesCountFromTheFirstScan) {
    const potwatch::Run run{.name = "late", .channels = {{.name = "pot_c", .unit = "degC"}}};
    RunWriter writer = start(run);
    const std::array<double, 1> value{20.0};
    writer.add({.time_s = 1000.5, .kind = "pour"});
    ASSERT_TRUE(writer.append(1000.0, value));
    ASSERT_TRUE(writer.append(1001.0, value));
    ASSERT_TRUE(writer.end());
    const Result<StoredRun> read = book().read(writer.id());
    EXPECT_THAT(read->run.time_s, ElementsAre(0.0, 1.0));
    EXPECT_THAT(read->run.batch.events, ElementsAre(Event{.time_s = 0.5, .kind = "pour"}));
}

TEST_F(Recording, othersSeeWhatIsCommittedAndNothingElse) {
    const potwatch::Run run = oddRun("rod", 6000);
    RunWriter writer = start(run);
    append(writer, run, 0, 5000);
    ASSERT_TRUE(writer.commit());
    append(writer, run, 5000, 6000);
    EXPECT_EQ(writer.committed(), 5000U);
    EXPECT_EQ(writer.waiting(), 1000U);
    Book book = this->book(Access::write); // with no notice: it is left alone
    const Result<RunRow> row = book.row(writer.id());
    EXPECT_EQ(row->state, RunState::recording);
    EXPECT_EQ(row->samples, 5000U);
    EXPECT_DOUBLE_EQ(row->span_s, run.time_s[4999]);
    EXPECT_TRUE(sameBits(book.read(writer.id())->run, firstOf(run, 5000)));
    EXPECT_THAT(*book.check(), IsEmpty());
    ASSERT_TRUE(writer.end());
    EXPECT_EQ(book.row(writer.id())->samples, 6000U);
}

TEST_F(Recording, eventsAreKeptAndWithdrawnOnesStayMarked) {
    const potwatch::Run run = oddRun("rod", 10);
    RunWriter writer = start(run);
    append(writer, run, 0, 10);
    const Event pour{.time_s = 0.2, .kind = "pour"};
    const Event gel{.time_s = 0.7, .kind = "gel", .text = "stringy"};
    writer.add(pour);
    ASSERT_TRUE(writer.commit());
    writer.add(gel);
    writer.withdraw(pour);
    ASSERT_TRUE(writer.end());
    EXPECT_THAT(book().row(writer.id())->notes.batch.events, ElementsAre(gel));
    EXPECT_EQ(askSql(bookPath(), "SELECT kind FROM event WHERE withdrawn"), "pour");
}

TEST_F(Recording, leaseIsThereWhileItGoesOnAndGoneAfterwards) {
    const potwatch::Run run = oddRun("rod", 10);
    RunWriter writer = start(run);
    const std::string lease = leasePath(bookPath(), writer.id());
    EXPECT_THAT(bytesOf(lease), HasSubstr("process = " + std::to_string(::getpid())));
    ASSERT_TRUE(writer.end());
    EXPECT_FALSE(std::filesystem::exists(lease));
}

TEST_F(Recording, nothingCanBeAppendedToAnEndedRun) {
    const potwatch::Run run = oddRun("rod", 10);
    RunWriter writer = start(run);
    const std::array<double, 3> too_many{};
    EXPECT_EQ(writer.append(0.0, too_many).error().kind, FaultKind::input);
    ASSERT_TRUE(writer.end());
    EXPECT_FALSE(writer.append(0.0, std::span(too_many).first(2)));
}

TEST_F(Recording, killedRecorderLosesNothingThatWasCommitted) {
    for (const std::size_t commits : {1U, 3U, 60U}) {
        const potwatch::Run run = oddRun("rod " + std::to_string(commits), 8000, static_cast<unsigned>(commits));
        ChildProcess recorder([&](int pipe) { record(run, 100, pipe); });
        std::size_t safe = 0;
        for (std::size_t i = 0; i < commits; ++i) {
            safe = recorder.hear();
        }
        recorder.kill();
        Result<Opened> opened = Book::open(bookPath(), Access::write);
        ASSERT_TRUE(opened) << describe(opened.error());
        ASSERT_THAT(opened->notices, SizeIs(1));
        const RunRow row = opened->book.list()->back();
        EXPECT_THAT(opened->notices.front(), HasSubstr("run \"" + run.name + "\" was not ended by its recorder: " +
                                                       std::to_string(row.samples) + " samples recovered"));
        EXPECT_GE(row.samples, safe);
        EXPECT_EQ(row.state, RunState::recovered);
        EXPECT_TRUE(sameBits(opened->book.read(row.id)->run, firstOf(run, row.samples)));
        EXPECT_THAT(*opened->book.check(), IsEmpty());
        EXPECT_FALSE(std::filesystem::exists(leasePath(bookPath(), row.id)));
        EXPECT_THAT(Book::open(bookPath(), Access::write)->notices, IsEmpty()) << "told once";
    }
}

TEST_F(Recording, readerRecoversNothing) {
    const potwatch::Run run = oddRun("rod", 500);
    ChildProcess recorder([&](int pipe) { record(run, 100, pipe); });
    (void)recorder.hear();
    recorder.kill();
    Result<Opened> opened = Book::open(bookPath(), Access::read);
    ASSERT_TRUE(opened) << describe(opened.error());
    EXPECT_THAT(opened->notices, IsEmpty());
    EXPECT_EQ(opened->book.list()->front().state, RunState::recording);
}

TEST_F(Recording, otherProcessesMayOpenReadAndEditMeanwhile) {
    const potwatch::Run run = oddRun("rod", 12'000);
    RunId other;
    {
        Book book = this->book();
        other = book.add({.run = oddRun("other", 100, 9)})->id;
    }
    ChildProcess recorder([&](int pipe) { record(run, 100, pipe); });
    std::size_t safe = recorder.hear();
    for (int round = 0; safe < run.time_s.size(); ++round) {
        Book book = this->book(Access::write);
        const RunRow row = book.list()->back();
        ASSERT_EQ(row.state, RunState::recording);
        ASSERT_GE(row.samples, safe);
        const Result<StoredRun> read = book.read(row.id);
        ASSERT_TRUE(read) << describe(read.error());
        ASSERT_TRUE(sameBits(read->run, firstOf(run, read->run.time_s.size())));
        Notes notes;
        notes.tags = {std::to_string(round)};
        ASSERT_TRUE(book.setNotes(other, notes));
        for (int i = 0; i < 20 && safe < run.time_s.size(); ++i) {
            safe = recorder.hear();
            ASSERT_GT(safe, 0U) << "the recorder ended by a fault";
        }
    }
    Book book = this->book(Access::write);
    EXPECT_THAT(*book.check(), IsEmpty());
    EXPECT_TRUE(sameBits(book.read(book.list()->back().id)->run, run));
}

TEST_F(Recording, readersOnOtherThreadsSeeABeginningOfIt) {
    const potwatch::Run run = oddRun("rod", 20'000);
    RunWriter writer = start(run);
    const RunId id = writer.id();
    std::atomic<bool> over = false;
    const auto read = [&] {
        Book book = this->book(Access::read);
        std::size_t before = 0;
        while (!over) {
            const Result<StoredRun> part = book.read(id);
            ASSERT_TRUE(part) << describe(part.error());
            ASSERT_GE(part->run.time_s.size(), before);
            before = part->run.time_s.size();
            ASSERT_TRUE(sameBits(part->run, firstOf(run, before)));
        }
    };
    {
        const std::jthread first(read);
        const std::jthread second(read);
        for (std::size_t done = 0; done < run.time_s.size(); done += 250) {
            append(writer, run, done, done + 250);
            EXPECT_TRUE(writer.commit());
        }
        EXPECT_TRUE(writer.end());
        over = true;
    }
    EXPECT_TRUE(sameBits(book().read(id)->run, run));
}

TEST_F(Recording, leaseCanBeHeldOnce) {
    Result<std::optional<Lease>> first = Lease::take(bookPath(), "x");
    ASSERT_TRUE(first && *first);
    EXPECT_FALSE(*Lease::take(bookPath(), "x"));
    EXPECT_TRUE(*Lease::take(bookPath(), "y"));
    (*first)->release();
    EXPECT_TRUE(*Lease::take(bookPath(), "x"));
    EXPECT_EQ(Lease::take(path("nowhere/book"), "x").error().kind, FaultKind::storage);
}

// A run that goes on elsewhere, whole.
void expectRun(const std::string& book, const RunId& id, const potwatch::Run& run) {
    Result<Opened> opened = Book::open(book, Access::read);
    ASSERT_TRUE(opened) << describe(opened.error());
    EXPECT_TRUE(opened->notices.empty());
    EXPECT_TRUE(opened->book.check()->empty());
    const Result<StoredRun> read = opened->book.read(id);
    ASSERT_TRUE(read) << describe(read.error());
    EXPECT_TRUE(sameBits(read->run, run));
    EXPECT_EQ(read->run.batch.events.size(), 1U);
}

TEST_F(Recording, bookThatTookThePlaceOfTheRecordersIsSafeWhileItGoesOn) {
    const potwatch::Run run = oddRun("rod", 300);
    RunId other;
    {
        Book book = this->book();
        other = book.add({.run = oddRun("other", 500, 9)})->id;
    }
    std::filesystem::copy_file(bookPath(), path("other.potbook"));
    RunWriter writer = start(run);
    writer.add({.time_s = 1.0, .kind = "gel"});
    append(writer, run, 0, 100);
    ASSERT_TRUE(writer.commit());
    std::filesystem::rename(path("other.potbook"), bookPath()); // a backup is put back while it is recorded
    {
        Result<Opened> opened = Book::open(bookPath(), Access::write);
        ASSERT_TRUE(opened) << describe(opened.error());
        EXPECT_THAT(*opened->book.list(), SizeIs(1)) << "the recorder's log is not its own";
        EXPECT_TRUE(opened->book.add({.run = oddRun("more", 50, 3)}));
        append(writer, run, 100, 200);
        EXPECT_TRUE(writer.goOnIn(path("beside.potbook")));
        append(writer, run, 200, 300);
        EXPECT_TRUE(writer.end());
        EXPECT_TRUE(opened->book.add({.run = oddRun("last", 60, 4)}));
    }
    expectRun(path("beside.potbook"), writer.id(), run);
    Book book = this->book(Access::write);
    EXPECT_THAT(*book.list(), SizeIs(3));
    EXPECT_THAT(*book.check(), IsEmpty());
}

TEST_F(Recording, goesOnInABookBesideWhereItsOwnIsGone) {
    const potwatch::Run run = oddRun("rod", 5000);
    const auto recordAnd = [&](const std::function<void()>& harm) {
        RunWriter writer = start(run);
        writer.add({.time_s = 1.0, .kind = "gel"});
        append(writer, run, 0, 4200);
        EXPECT_TRUE(writer.commit());
        EXPECT_FALSE(writer.hasMoved());
        harm();
        EXPECT_TRUE(writer.hasMoved());
        append(writer, run, 4200, 4300);
        const Result<void> moved = writer.goOnIn(path("beside.potbook"));
        EXPECT_TRUE(moved) << describe(moved.error());
        EXPECT_FALSE(writer.hasMoved());
        append(writer, run, 4300, 5000);
        EXPECT_TRUE(writer.end());
        return writer.id();
    };
    const auto clear = [&] {
        for (const auto& entry : std::filesystem::directory_iterator(folder_)) {
            std::filesystem::remove(entry.path());
        }
    };
    // Deleted.
    expectRun(path("beside.potbook"), recordAnd([&] { std::filesystem::remove(bookPath()); }), run);
    EXPECT_FALSE(std::filesystem::exists(bookPath() + "-wal"));
    clear();
    // Moved: the book has all up to then where it is now.
    const RunId moved = recordAnd([&] { std::filesystem::rename(bookPath(), path("moved.potbook")); });
    expectRun(path("beside.potbook"), moved, run);
    EXPECT_EQ(Book::open(path("moved.potbook"), Access::write)->book.row(moved)->samples, 4200U);
    clear();
    // Replaced: the other book is not touched.
    RunId other;
    {
        Book book = this->book();
        other = book.add({.run = oddRun("other", 500, 9)})->id;
    }
    std::filesystem::rename(bookPath(), path("other.potbook"));
    const std::string bytes = bytesOf(path("other.potbook"));
    expectRun(path("beside.potbook"), recordAnd([&] { std::filesystem::rename(path("other.potbook"), bookPath()); }),
              run);
    EXPECT_EQ(bytesOf(bookPath()), bytes);
    const Result<Opened> replaced = Book::open(bookPath(), Access::write);
    ASSERT_TRUE(replaced) << describe(replaced.error());
    EXPECT_TRUE(const_cast<Book&>(replaced->book).read(other));
    EXPECT_TRUE(const_cast<Book&>(replaced->book).check()->empty());
}

} // namespace
} // namespace potwatch::book
