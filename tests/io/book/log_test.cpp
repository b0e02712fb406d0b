// SPDX-License-Identifier: GPL-3.0-or-later
// Logs beside a book that are not its own, older than it, cut off or damaged.
#include "io/book/log.h"
#include "io/book/log_sum.h"
#include "io/book/run_writer.h"
#include "tests/io/book/book_folder.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <map>
#include <random>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

namespace potwatch::book {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

constexpr std::size_t samples_a_commit = 10;

// The three files of a book as a crash leaves them.
struct Crashed {
    std::string book;
    std::string log;
    std::string index;
    std::size_t recorded = 0; // samples of the run that was being recorded
};

class LogBeside : public BookFolder {
protected:
    [[nodiscard]] Crashed snapshot(const std::string& name, std::size_t recorded) const {
        return {.book = bytesOf(path(name)),
                .log = bytesOf(path(name + "-wal")),
                .index = bytesOf(path(name + "-shm")),
                .recorded = recorded};
    }
    void put(const std::string& book, const std::string& log, const std::string& index = {}) const {
        for (const auto& entry : std::filesystem::directory_iterator(folder_)) {
            if (entry.path().filename().string().rfind("rods.potbook", 0) == 0) {
                std::filesystem::remove(entry.path());
            }
        }
        (void)file("rods.potbook", book);
        (void)file("rods.potbook-wal", log);
        if (!index.empty()) {
            (void)file("rods.potbook-shm", index);
        }
    }

    // A book with some runs, and a recorder at work on one more: a snapshot each few commits, and at the end one of the
    // book when all is written and closed, with no log.
    std::vector<Crashed> history(const std::string& name, unsigned seed, std::size_t commits) const {
        std::vector<Crashed> snapshots;
        add(name, "first", seed, 40);
        add(name, "second", seed + 1, 400);
        snapshots.push_back(snapshot(name, 0));
        {
            const potwatch::Run run = live(seed);
            Result<StartedRecording> started = RunWriter::start(path(name), {.name = "live",
                                                                             .source = "here",
                                                                             .channels = titles(run.channels),
                                                                             .conversion = {},
                                                                             .batch = {},
                                                                             .tags = {}});
            EXPECT_TRUE(started);
            for (std::size_t commit = 1; commit <= commits; ++commit) {
                append(started->writer, run, (commit - 1) * samples_a_commit);
                EXPECT_TRUE(started->writer.commit());
                if (commit % 5 == 0) {
                    snapshots.push_back(snapshot(name, commit * samples_a_commit));
                }
            }
            EXPECT_TRUE(started->writer.end());
        }
        snapshots.push_back(snapshot(name, 0));
        add(name, "third", seed + 2, 200);
        snapshots.push_back(snapshot(name, 0));
        return snapshots;
    }

    static potwatch::Run live(unsigned seed) { return oddRun("live", 1000, seed + 100); }

    void add(const std::string& name, const std::string& run, unsigned seed, std::size_t samples) const {
        Result<Opened> opened = Book::open(path(name), Access::create);
        ASSERT_TRUE(opened) << describe(opened.error());
        ASSERT_TRUE(opened->book.add({.run = oddRun(run, samples, seed)}));
    }

    static std::vector<Channel> titles(std::vector<Channel> channels) {
        for (Channel& channel : channels) {
            channel.values.clear();
        }
        return channels;
    }
    static void append(RunWriter& writer, const potwatch::Run& run, std::size_t first) {
        for (std::size_t i = first; i < first + samples_a_commit; ++i) {
            ASSERT_TRUE(
                writer.append(run.time_s[i], std::vector{run.channels[0].values[i], run.channels[1].values[i]}));
        }
    }

    // The finished runs of a book's file alone, as UUID and hash.
    std::map<std::string, std::string> finishedIn(const std::string& book) const {
        std::map<std::string, std::string> runs;
        (void)file("alone.potbook", book);
        if (!book.empty()) {
            Result<Opened> opened = Book::open(path("alone.potbook"), Access::read);
            EXPECT_TRUE(opened) << describe(opened.error());
            const Result<std::vector<RunRow>> rows = opened->book.list();
            EXPECT_TRUE(rows) << describe(rows.error());
            for (const RunRow& row : *rows) {
                if (row.state != RunState::recording) {
                    runs[row.id] = row.content_hash;
                }
            }
        }
        for (const char* const part : {"", "-wal", "-shm"}) {
            std::filesystem::remove(path(std::string("alone.potbook") + part));
        }
        return runs;
    }

    // What opening the book gave.
    struct Found {
        std::vector<std::string> notices;
        std::vector<std::string> losses;
        std::size_t live = 0; // samples of the run that was recorded
    };

    // Opens it, sees that it is sound and has all of `runs`, and that the live run is a beginning of what was recorded.
    Found open(Access access, const std::map<std::string, std::string>& runs, unsigned seed) const {
        Result<Opened> opened = Book::open(bookPath(), access);
        if (!opened) {
            ADD_FAILURE() << describe(opened.error());
            return {};
        }
        Found found{.notices = opened->notices, .losses = opened->losses};
        EXPECT_THAT(*opened->book.check(), IsEmpty());
        std::map<std::string, std::string> there;
        const potwatch::Run truth = live(seed);
        const Result<std::vector<RunRow>> rows = opened->book.list();
        EXPECT_TRUE(rows) << describe(rows.error());
        for (const RunRow& row : *rows) {
            there[row.id] = row.content_hash;
            const Result<StoredRun> run = opened->book.read(row.id);
            EXPECT_TRUE(run) << describe(run.error());
            if (run && row.name == "live") {
                found.live = run->run.time_s.size();
                potwatch::Run beginning = truth;
                beginning.time_s.resize(found.live);
                for (Channel& channel : beginning.channels) {
                    channel.values.resize(found.live);
                }
                EXPECT_TRUE(sameBits(run->run, beginning));
            }
        }
        for (const auto& run : runs) {
            EXPECT_EQ(there[run.first], run.second) << "a run that the book had is lost";
        }
        return found;
    }

    // As open(), for a book whose log is not its own: the files stay as they are while it is only looked at.
    void expectNothingTaken(const Crashed& book, const std::string& log, unsigned seed) const {
        const std::map<std::string, std::string> runs = finishedIn(book.book);
        put(book.book, log);
        for (const Access access : {Access::read, Access::recover}) {
            (void)open(access, runs, seed);
            EXPECT_EQ(bytesOf(bookPath()), book.book);
            EXPECT_EQ(bytesOf(bookPath() + "-wal"), log);
        }
        (void)open(Access::write, runs, seed);
        EXPECT_EQ(bytesOf(bookPath() + "-wal-kept-1"), log);
        (void)open(Access::write, runs, seed);
    }
};

TEST_F(LogBeside, ownLogOfACrashedRecorderIsTaken) {
    const std::vector<Crashed> history = this->history("a.potbook", 1, 30);
    for (std::size_t i = 1; i + 2 < history.size(); ++i) {
        put(history[i].book, history[i].log);
        const Found found = open(Access::write, finishedIn(history[i].book), 1);
        EXPECT_EQ(found.live, history[i].recorded);
        EXPECT_THAT(found.losses, IsEmpty());
        EXPECT_THAT(found.notices, ElementsAre(HasSubstr("was not ended by its recorder")));
    }
}

TEST_F(LogBeside, logOfAnotherBookIsNotTaken) {
    const std::vector<Crashed> a = history("a.potbook", 1, 10);
    const std::vector<Crashed> b = history("b.potbook", 50, 10);
    for (const Crashed& book : {a.front(), a.back()}) {
        expectNothingTaken(book, b[1].log, 1);
    }
    put(a.back().book, b[1].log);
    EXPECT_THAT(Book::open(bookPath(), Access::read)->notices, ElementsAre(HasSubstr("is of another book, or older")));
}

TEST_F(LogBeside, logThatIsOlderThanTheBookIsNotTaken) {
    const std::vector<Crashed> a = history("a.potbook", 1, 10);
    expectNothingTaken(a[a.size() - 2], a[1].log, 1);
    expectNothingTaken(a.back(), a[2].log, 1);
}

TEST_F(LogBeside, logWhoseBookIsGoneIsKeptAside) {
    const std::vector<Crashed> a = history("a.potbook", 1, 10);
    (void)file("rods.potbook-wal", a[1].log);
    const Result<Opened> opened = Book::open(bookPath(), Access::create);
    ASSERT_TRUE(opened) << describe(opened.error());
    EXPECT_EQ(bytesOf(bookPath() + "-wal-kept-1"), a[1].log);
}

TEST_F(LogBeside, oneWrongByteLosesNothingOrTheLossIsTold) {
    const Crashed crashed = history("a.potbook", 1, 30)[6];
    const std::map<std::string, std::string> runs = finishedIn(crashed.book);
    std::mt19937 chance(7);
    int whole = 0;
    constexpr int trials = 40;
    for (int trial = 0; trial < trials; ++trial) {
        std::string log = crashed.log;
        const std::size_t at = std::uniform_int_distribution<std::size_t>(0, log.size() - 1)(chance);
        log[at] = static_cast<char>(log[at] ^ static_cast<char>(1 + trial));
        put(crashed.book, log);
        const Found found = open(Access::write, runs, 1);
        whole += found.live == crashed.recorded ? 1 : 0;
        EXPECT_EQ(found.losses.empty(), found.live == crashed.recorded) << at;
    }
    EXPECT_GE(whole, trials * 9 / 10);
}

TEST_F(LogBeside, whatADamagedLogHasLostIsCountedAndTheLogIsKept) {
    const Crashed crashed = history("a.potbook", 1, 30)[6];
    std::string log = crashed.log;
    const std::size_t middle = log.size() / 2;
    std::fill_n(log.begin() + static_cast<std::ptrdiff_t>(middle), 20'000, 'x');
    put(crashed.book, log);
    for (const Access access : {Access::recover, Access::write}) {
        const Found found = open(access, finishedIn(crashed.book), 1);
        ASSERT_LT(found.live, crashed.recorded);
        ASSERT_THAT(found.losses, SizeIs(1));
        EXPECT_THAT(found.losses.front(), HasSubstr("changes could not be recovered"));
        EXPECT_THAT(found.losses.front(),
                    HasSubstr(fmt::format("{} samples of run \"live\" are lost", crashed.recorded - found.live)));
    }
    EXPECT_EQ(bytesOf(bookPath() + "-wal-kept-1"), log);
}

TEST_F(LogBeside, cutOffLogIsNoticedByWhatLiesBesideIt) {
    const Crashed crashed = history("a.potbook", 1, 30)[6];
    put(crashed.book, crashed.log.substr(0, crashed.log.size() / 2), crashed.index);
    const Found found = open(Access::write, finishedIn(crashed.book), 1);
    EXPECT_LT(found.live, crashed.recorded);
    ASSERT_THAT(found.losses, SizeIs(1));
    EXPECT_THAT(found.losses.front(), HasSubstr("is cut off"));
}

// Runs SQL on a book and dies before it is closed.
void changeAndDie(const std::string& book, const std::string& sql) {
    const pid_t child = ::fork();
    if (child == 0) {
        sqlite3* database = nullptr;
        const bool done = sqlite3_open(book.c_str(), &database) == SQLITE_OK &&
                          sqlite3_exec(database, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK;
        ::_exit(done ? 0 : 1);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    ASSERT_EQ(status, 0);
}

TEST_F(LogBeside, bookWithoutAMarkIsJudgedByWhatItHolds) {
    for (const char* const name : {"a.potbook", "b.potbook"}) {
        add(name, "first", name[0] == 'a' ? 1U : 2U, 4000);
        runSql(path(name),
               "DROP TABLE mark; ALTER TABLE run DROP COLUMN notes_hash; DELETE FROM migration WHERE version "
               "= 3; PRAGMA user_version = 2");
        changeAndDie(path(name), "INSERT INTO remark(run, text) VALUES (1, 'still here'); UPDATE run SET name = 'new'");
    }
    const Crashed a = snapshot("a.potbook", 0);
    const Crashed b = snapshot("b.potbook", 0);
    put(a.book, a.log);
    (void)open(Access::write, finishedIn(a.book), 1);
    EXPECT_EQ(askSql(bookPath(), "SELECT text FROM remark"), "still here");
    expectNothingTaken(a, b.log, 1);
    EXPECT_EQ(askSql(bookPath(), "SELECT name FROM run"), "first");
}

// A book of format 2 beside the log of another, as it happened to someone: every command that only read destroyed it.
TEST_F(LogBeside, bookThatWasDestroyedByReadingIsLeftAsItIs) {
    const std::string repro = std::string(POTWATCH_SHARED_DIR) + "/repro/stale.potbook";
    if (!std::filesystem::exists(repro)) {
        GTEST_SKIP() << "the file is not here";
    }
    const std::string book = bytesOf(repro);
    const std::string log = bytesOf(repro + "-wal");
    put(book, log);
    for (const Access access : {Access::read, Access::recover}) {
        Result<Opened> opened = Book::open(bookPath(), access);
        ASSERT_TRUE(opened) << describe(opened.error());
        EXPECT_THAT(opened->notices, ElementsAre(HasSubstr("of another book")));
        EXPECT_THAT(*opened->book.list(), SizeIs(5));
        EXPECT_THAT(*opened->book.check(), IsEmpty());
    }
    EXPECT_TRUE(repairedCopy(bookPath(), path("repaired.potbook")));
    EXPECT_THAT(*Book::open(path("repaired.potbook"), Access::read)->book.list(), SizeIs(5));
    EXPECT_EQ(bytesOf(bookPath()), book);
    EXPECT_EQ(bytesOf(bookPath() + "-wal"), log);
    Result<Opened> opened = Book::open(bookPath(), Access::write);
    ASSERT_TRUE(opened) << describe(opened.error());
    EXPECT_THAT(*opened->book.list(), SizeIs(5));
    EXPECT_EQ(bytesOf(bookPath() + "-wal-kept-1"), log);
}

// None of them may cost the book a run that it had. The slow program tries 500.
#ifndef POTWATCH_BAD_LOGS
#define POTWATCH_BAD_LOGS 100
#endif
TEST_F(LogBeside, badLogsCostNoRunAndLossesAreTold) {
    const std::vector<Crashed> a = history("a.potbook", 1, 30);
    const std::vector<Crashed> b = history("b.potbook", 50, 30);
    std::map<const Crashed*, std::map<std::string, std::string>> runs;
    for (const Crashed& crashed : a) {
        runs[&crashed] = finishedIn(crashed.book);
    }
    std::mt19937 chance(42);
    const auto below = [&](std::size_t limit) {
        return std::uniform_int_distribution<std::size_t>(0, limit - 1)(chance);
    };
    constexpr int cases = POTWATCH_BAD_LOGS;
    std::size_t whole = 0;
    std::size_t told = 0;
    for (int i = 0; i < cases && !HasFailure(); ++i) {
        const Crashed& book = a[below(a.size())];
        const int kind = i % 4;
        const Crashed& own = a[1 + below(6)];
        std::string log = own.log;
        std::string index;
        if (kind == 0) { // of another book
            log = b[1 + below(6)].log;
        } else if (kind == 2) { // cut off
            log.resize(below(log.size() + 1));
            index = below(2) == 0 ? own.index : std::string();
        } else if (kind == 3) { // damaged
            for (std::size_t flips = 1 + below(30); flips > 0; --flips) {
                log[below(log.size())] = static_cast<char>(below(256));
            }
        }
        const Crashed& under = kind < 2 ? book : own;
        put(under.book, log, index);
        const Access access = below(2) == 0 ? Access::recover : Access::write;
        const Found found = open(access, runs[&under], 1);
        if (kind < 2) {
            continue;
        }
        whole += found.live == own.recorded ? 1U : 0U;
        told += found.losses.empty() ? 0U : 1U;
        if (found.live < own.recorded && (kind == 3 || !index.empty())) {
            EXPECT_THAT(found.notices, testing::Contains(testing::AnyOf(HasSubstr("could not be recovered"),
                                                                        HasSubstr("cut off"), HasSubstr("damaged"))))
                << "case " << i;
        }
        if (HasFailure()) {
            ADD_FAILURE() << "case " << i << " of kind " << kind;
        }
    }
    fmt::print("of {} own logs {} gave all samples, {} told of losses\n", cases / 2, whole, told);
}

// Source: the two sums worked out by hand, from the SQLite file format, 4.2.
TEST(LogSum, goesOnAndFindsTheWrongWord) {
    const std::string bytes("\x01\x00\x00\x00\x02\x00\x00\x00\x03\x00\x00\x00\x04\x00\x00\x00", 16);
    const LogSum sum = sumOf({}, bytes, WordOrder::least_first);
    EXPECT_EQ(sum.s0, 7U);  // 1, then 1 + 3 + 3
    EXPECT_EQ(sum.s1, 14U); // 3, then 3 + 4 + 7
    for (std::size_t at = 0; at < bytes.size(); ++at) {
        std::string wrong = bytes;
        wrong[at] = static_cast<char>(wrong[at] + 77);
        const auto found = wrongWord(wrong, sumOf({}, wrong, WordOrder::least_first), sum, WordOrder::least_first);
        ASSERT_TRUE(found) << at;
        EXPECT_EQ(found->at, at / 4 * 4);
        EXPECT_EQ(found->was, wordAt(bytes, at / 4 * 4, WordOrder::least_first));
    }
}

} // namespace
} // namespace potwatch::book
