// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/opening.h"
#include "tests/io/book/book_folder.h"

#include <gmock/gmock.h>

#include <array>
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

namespace potwatch::book {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

class BadBook : public BookFolder {
protected:
    // The fault of opening a file, which must be left as it is.
    static Fault faultOf(const std::string& file, Access access = Access::write) {
        const std::string before = bytesOf(file);
        const Result<Opened> opened = Book::open(file, access);
        EXPECT_FALSE(opened) << file;
        EXPECT_EQ(bytesOf(file), before) << "it was changed";
        const Fault fault = opened ? Fault() : opened.error();
        EXPECT_EQ(fault.where.file, file);
        EXPECT_FALSE(fault.what.empty());
        EXPECT_FALSE(fault.remedy.empty());
        return fault;
    }
    RunId addRun(std::size_t samples = 9000) {
        run_ = oddRun("rod 05", samples);
        run_.batch = statedBatch("rod 05");
        return book().add({.run = run_})->id;
    }

    potwatch::Run run_;
};

TEST_F(BadBook, fileThatIsNotThereIsNamed) {
    const Fault fault = faultOf(path("nowhere.potbook"));
    EXPECT_EQ(fault.kind, FaultKind::input);
    EXPECT_THAT(fault.what, HasSubstr("no such file"));
    EXPECT_FALSE(std::filesystem::exists(path("nowhere.potbook")));
    EXPECT_EQ(Book::open("", Access::create).error().kind, FaultKind::input);
}

TEST_F(BadBook, tableIsNoBook) {
    const std::string csv = file("rod.csv", "time_s,pot_c\n0,20\n1,21\n");
    for (const Access access : {Access::read, Access::write, Access::create}) {
        const Fault fault = faultOf(csv, access);
        EXPECT_EQ(fault.kind, FaultKind::input);
        EXPECT_THAT(fault.what, HasSubstr("is no batch book"));
        EXPECT_THAT(fault.remedy, HasSubstr("import"));
    }
}

TEST_F(BadBook, emptyFileIsNoBookButMayBecomeOne) {
    const std::string empty = file("empty.potbook", "");
    EXPECT_THAT(faultOf(empty, Access::read).what, HasSubstr("empty"));
    EXPECT_THAT(faultOf(empty, Access::write).what, HasSubstr("empty"));
    EXPECT_TRUE(Book::open(empty, Access::create));
}

TEST_F(BadBook, anotherProgramsDatabaseIsLeftAlone) {
    runSql(path("other.db"), "CREATE TABLE run(id); INSERT INTO run VALUES(1)");
    for (const Access access : {Access::read, Access::write, Access::create}) {
        EXPECT_THAT(faultOf(path("other.db"), access).what, HasSubstr("another program's database"));
    }
}

TEST_F(BadBook, folderAndPipeAreNoBooks) {
    std::filesystem::create_directory(path("folder"));
    EXPECT_THAT(Book::open(path("folder"), Access::create).error().what, HasSubstr("is a folder"));
    ASSERT_EQ(::mkfifo(path("pipe").c_str(), 0600), 0);
    EXPECT_THAT(Book::open(path("pipe"), Access::read).error().what, HasSubstr("no plain file"));
}

TEST_F(BadBook, newerBookIsUnsupportedAndLeftAlone) {
    (void)addRun(10);
    runSql(bookPath(), "PRAGMA user_version = 99");
    for (const Access access : {Access::read, Access::write, Access::create}) {
        const Fault fault = faultOf(bookPath(), access);
        EXPECT_EQ(fault.kind, FaultKind::unsupported);
        EXPECT_THAT(fault.what, HasSubstr("format 99"));
        EXPECT_THAT(fault.remedy, HasSubstr("newer Potwatch"));
    }
    EXPECT_EQ(repairedCopy(bookPath(), path("copy.potbook")).error().kind, FaultKind::unsupported);
}

TEST_F(BadBook, lockedBookIsReadButNotWrittenAndNamesWhoHoldsIt) {
    const RunId id = addRun(10);
    Book book = this->book(Access::write);
    std::array<int, 2> ends{};
    ASSERT_EQ(::pipe(ends.data()), 0);
    const pid_t other = ::fork();
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
    const Result<void> refused = book.setWithdrawn(id, true);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, FaultKind::storage);
    EXPECT_THAT(refused.error().what, HasSubstr("locked by"));
    EXPECT_THAT(refused.error().what, HasSubstr("process " + std::to_string(other)));
    EXPECT_TRUE(book.read(id)) << "reading goes on";
    ::kill(other, SIGKILL);
    ::waitpid(other, nullptr, 0);
    EXPECT_TRUE(book.setWithdrawn(id, true));
    ::close(ends[0]);
    ::close(ends[1]);
}

TEST_F(BadBook, bookInAFolderOfOnesOwnButNotWritableIsReadAndSaysSo) {
    const RunId id = addRun();
    std::filesystem::permissions(bookPath(), std::filesystem::perms::owner_read | std::filesystem::perms::others_read);
    std::filesystem::permissions(folder_, std::filesystem::perms::owner_read | std::filesystem::perms::owner_exec |
                                              std::filesystem::perms::others_read |
                                              std::filesystem::perms::others_exec);
    const auto look = [&] {
        const Result<Opened> opened = Book::open(bookPath(), Access::write);
        if (!opened) {
            return 1;
        }
        Book& book = const_cast<Book&>(opened->book);
        const bool says_so =
            opened->notices.size() == 1 && opened->notices.front().find("reading only") != std::string::npos;
        const Result<StoredRun> read = book.read(id);
        const Result<void> refused = book.setWithdrawn(id, true);
        return !says_so                                                      ? 2
               : !book.isReadOnly()                                          ? 3
               : !read || !sameBits(read->run, run_)                         ? 4
               : refused || refused.error().kind != FaultKind::storage       ? 5
               : Book::open(path("new.potbook"), Access::create).has_value() ? 6
               : Book::open(path("new.potbook"), Access::create).error().what.find("may not be written to") ==
                       std::string::npos
                   ? 7
                   : 0;
    };
    // Root may write everywhere: a process of nobody looks instead.
    const pid_t child = ::fork();
    if (child == 0) {
        const bool unprivileged = ::geteuid() != 0 || (::setgid(65534) == 0 && ::setuid(65534) == 0);
        ::_exit(unprivileged ? look() : 77);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    std::filesystem::permissions(folder_, std::filesystem::perms::owner_all);
    ASSERT_TRUE(WIFEXITED(status));
    EXPECT_EQ(WEXITSTATUS(status), 0) << "see the numbers above";
}

TEST_F(BadBook, newBookInAFolderThatIsNotThereSaysSo) {
    const Fault fault = Book::open(path("nowhere/new.potbook"), Access::create).error();
    EXPECT_EQ(fault.kind, FaultKind::storage);
    EXPECT_THAT(fault.what, HasSubstr("there is no folder"));
}

TEST_F(BadBook, changesBehindTheProgramsBackAreFound) {
    (void)addRun(10);
    for (const char* const sql :
         {"UPDATE run SET batch_toml = replace(batch_toml, '115', '116')", "DELETE FROM event WHERE kind = 'note'",
          "UPDATE event SET time_s = 9e999", "UPDATE run SET started_us = started_us + 1"}) {
        std::filesystem::copy_file(bookPath(), path("changed.potbook"));
        runSql(path("changed.potbook"), sql);
        EXPECT_THAT(*Book::open(path("changed.potbook"), Access::read)->book.check(),
                    testing::Contains(HasSubstr("not those that Potwatch wrote")))
            << sql;
        std::filesystem::remove(path("changed.potbook"));
    }
    runSql(bookPath(), "UPDATE run SET notes_hash = ''"); // as in a book of before
    EXPECT_THAT(*book(Access::read).check(), IsEmpty());
}

TEST_F(BadBook, twoThatMakeOneBookAtOnceBothSucceed) {
    constexpr int at_once = 8;
    std::array<pid_t, at_once> children{};
    for (int i = 0; i < at_once; ++i) {
        children[static_cast<std::size_t>(i)] = ::fork();
        if (children[static_cast<std::size_t>(i)] == 0) {
            Result<Opened> opened = Book::open(bookPath(), Access::create);
            ::_exit(opened && opened->book.add({.run = oddRun("rod", 20, static_cast<unsigned>(i))}) ? 0 : 1);
        }
    }
    for (const pid_t child : children) {
        int status = 0;
        ::waitpid(child, &status, 0);
        EXPECT_EQ(status, 0);
    }
    EXPECT_THAT(*book().list(), SizeIs(at_once));
}

TEST_F(BadBook, missingTableIsDamage) {
    const RunId id = addRun(10);
    runSql(bookPath(), "DROP TABLE annotation");
    const Result<StoredRun> read = book(Access::read).read(id);
    ASSERT_FALSE(read);
    EXPECT_EQ(read.error().kind, FaultKind::input);
    EXPECT_THAT(read.error().remedy, HasSubstr("--repaired"));
}

TEST_F(BadBook, batchTextThatCannotBeReadIsDamage) {
    const RunId id = addRun(10);
    runSql(bookPath(), "UPDATE run SET batch_toml = 'resin = '");
    EXPECT_THAT(book(Access::read).row(id).error().remedy, HasSubstr("--repaired"));
    EXPECT_THAT(*book(Access::read).check(), testing::Contains(HasSubstr("batch data that cannot be read")));
}

// Migrations, on steps of the test's own.

std::vector<Migration> stepsWithOneMore() {
    std::vector<Migration> steps(migrations().begin(), migrations().end());
    steps.push_back({.what = "a note a run", .sql = "ALTER TABLE run ADD COLUMN note TEXT"});
    return steps;
}

TEST_F(BadBook, olderBookIsBroughtUpToDateAndKeepsItsRuns) {
    const RunId id = addRun(10);
    {
        const Result<OpenedDatabase> opened = openDatabase(bookPath(), Access::write, stepsWithOneMore());
        ASSERT_TRUE(opened) << describe(opened.error());
    }
    EXPECT_EQ(askSql(bookPath(), "PRAGMA user_version"), "4");
    EXPECT_EQ(askSql(bookPath(), "SELECT group_concat(what, '; ') FROM migration"),
              "the first format; lines that a recorder refused; marks of its log and its notes; a note a run");
    EXPECT_EQ(askSql(bookPath(), "SELECT count(*) FROM run WHERE note IS NULL AND uuid = '" + id + "'"), "1");
    EXPECT_EQ(faultOf(bookPath()).kind, FaultKind::unsupported) << "to the program of before it is a newer one";
}

TEST_F(BadBook, failedMigrationLeavesTheOlderBook) {
    (void)addRun(10);
    std::vector<Migration> steps = stepsWithOneMore();
    steps.push_back({.what = "breaks", .sql = "ALTER TABLE nowhere ADD COLUMN note TEXT"});
    EXPECT_FALSE(openDatabase(bookPath(), Access::write, steps));
    EXPECT_EQ(askSql(bookPath(), "PRAGMA user_version"), "3");
    EXPECT_EQ(askSql(bookPath(), "SELECT count(*) FROM pragma_table_info('run') WHERE name = 'note'"), "0");
    EXPECT_THAT(*book().check(), IsEmpty());
}

TEST_F(BadBook, bookOfTheFirstFormatIsBroughtUpToDateAndKeepsItsRuns) {
    const RunId id = [&] {
        const Result<OpenedDatabase> opened = openDatabase(bookPath(), Access::create, migrations().first(1));
        EXPECT_TRUE(opened) << describe(opened.error());
        EXPECT_EQ(askSql(bookPath(), "PRAGMA user_version"), "1");
        EXPECT_TRUE(Book::open(bookPath(), Access::read)) << "a copy of it is brought up to date";
        EXPECT_EQ(askSql(bookPath(), "PRAGMA user_version"), "1");
        return addRun(10);
    }();
    EXPECT_EQ(askSql(bookPath(), "PRAGMA user_version"), "3");
    EXPECT_THAT(*book().refusedLines(id), IsEmpty());
    EXPECT_EQ(book().row(id)->samples, 10U);
}

} // namespace
} // namespace potwatch::book
