// SPDX-License-Identifier: GPL-3.0-or-later
// Books that cannot be opened, or only be read: a clear notice, and nothing is lost.
#include "io/book/run_writer.h"
#include "tests/app/window/window_fixture.h"

#include <QDir>
#include <QFile>
#include <QLineEdit>
#include <QPushButton>

#include <span>
#include <sqlite3.h>
#include <unistd.h>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;
using testing::HasSubstr;

class BookFaults : public Window {
protected:
    // A sound book with a run, closed again.
    QString soundBook() {
        import({csv("a.csv")});
        EXPECT_TRUE(close());
        return path(standard_book);
    }
    void execute(const QString& book, const char* sql) {
        sqlite3* handle = nullptr;
        ASSERT_EQ(sqlite3_open(book.toUtf8().constData(), &handle), SQLITE_OK);
        EXPECT_EQ(sqlite3_exec(handle, sql, nullptr, nullptr, nullptr), SQLITE_OK) << sqlite3_errmsg(handle);
        sqlite3_close(handle);
    }
    std::string noticeOf(const QString& book) {
        open(book);
        EXPECT_TRUE(waitFor([&] { return !notices().isEmpty(); }));
        return notices().isEmpty() ? std::string() : notices().front().toStdString();
    }
    bool offers(const char* words) {
        for (const QPushButton* const button : window->findChildren<QPushButton*>(u"noticeAction"_s)) {
            if (button->text() == QString::fromUtf8(words)) {
                return true;
            }
        }
        return false;
    }
};

TEST_F(BookFaults, aFileThatIsNoBookIsNamedAndLeftAlone) {
    const QString letter = path("letter.potbook.txt");
    std::ofstream(letter.toStdString()) << "Dear all,\n";
    window.reset();
    EXPECT_THAT(noticeOf(letter), HasSubstr("letter.potbook.txt"));
    EXPECT_FALSE(offers("Make a repaired copy...")) << "there is nothing to repair";
    EXPECT_EQ(book().state(), OpenBook::State::none);
    QFile file(letter);
    ASSERT_TRUE(file.open(QIODevice::ReadOnly));
    EXPECT_EQ(file.readAll(), QByteArray("Dear all,\n"));
}

TEST_F(BookFaults, aNewerBookIsRefused) {
    const QString newer = soundBook();
    execute(newer, "PRAGMA user_version = 999");
    EXPECT_THAT(noticeOf(newer), HasSubstr("newer"));
    EXPECT_TRUE(lines().isEmpty());
}

TEST_F(BookFaults, aDamagedBookOffersARepairedCopy) {
    const QString damaged = soundBook();
    QFile file(damaged);
    ASSERT_TRUE(file.open(QIODevice::ReadWrite));
    for (qint64 at = 4096; at + 512 < file.size(); at += 4096) {
        file.seek(at);
        file.write(QByteArray(512, '\xA5'));
    }
    file.close();
    EXPECT_FALSE(noticeOf(damaged).empty());
    EXPECT_TRUE(offers("Make a repaired copy..."));
}

TEST_F(BookFaults, aBookInAReadOnlyFolderIsShownAndEditsAreRefusedInWords) {
    if (::geteuid() == 0) {
        GTEST_SKIP() << "root may write everywhere";
    }
    const QString sound = soundBook();
    QFile::setPermissions(sound, QFile::ReadOwner);
    QFile::setPermissions(folder.path(), QFile::ReadOwner | QFile::ExeOwner);
    EXPECT_THAT(noticeOf(sound), HasSubstr("changes are not kept"));
    ASSERT_TRUE(waitFor([&] { return analysed(); }));
    book().rename(book().shownId(), u"other"_s);
    EXPECT_EQ(lines(), QStringList{u"a"_s});
    EXPECT_FALSE(named<QAction>("deleteRuns")->isEnabled());
    QFile::setPermissions(folder.path(), QFile::ReadOwner | QFile::WriteOwner | QFile::ExeOwner);
}

TEST_F(BookFaults, editsOfABookThatIsOpenForReadingAreRefusedInWords) {
    const QString sound = soundBook();
    open(sound);
    ASSERT_TRUE(waitFor([&] { return analysed(); }));
    book().open(sound, book::Access::read);
    ASSERT_TRUE(waitFor([&] { return book().isReadOnly() && analysed(); }));
    book().rename(book().shownId(), u"other"_s);
    EXPECT_EQ(lines(), QStringList{u"a"_s});
    ASSERT_FALSE(notices().isEmpty());
    EXPECT_THAT(notices().front().toStdString(), HasSubstr("can only be read"));
    EXPECT_FALSE(named<QAction>("deleteRuns")->isEnabled());
    EXPECT_THAT(window->windowTitle().toStdString(), HasSubstr("read only"));
}

TEST_F(BookFaults, aBookThatAnotherProgramHoldsIsSaidToBeLocked) {
    const QString sound = soundBook();
    sqlite3* other = nullptr;
    ASSERT_EQ(sqlite3_open(sound.toUtf8().constData(), &other), SQLITE_OK);
    ASSERT_EQ(sqlite3_exec(other, "PRAGMA locking_mode = EXCLUSIVE; BEGIN EXCLUSIVE;", nullptr, nullptr, nullptr),
              SQLITE_OK);
    EXPECT_THAT(noticeOf(sound), HasSubstr("locked"));
    EXPECT_TRUE(offers("Try again"));
    sqlite3_close(other);
    for (QPushButton* const button : window->findChildren<QPushButton*>(u"noticeAction"_s)) {
        if (button->text() == u"Try again"_s) {
            QTest::mouseClick(button, Qt::LeftButton);
            break;
        }
    }
    EXPECT_TRUE(waitFor([&] { return lines() == QStringList{u"a"_s}; }));
}

TEST_F(BookFaults, theOpenBookStaysOpenWhenAnotherIsRefused) {
    import({csv("a.csv")});
    const QString letter = path("letter.txt");
    std::ofstream(letter.toStdString()) << "Dear all,\n";
    book().open(letter, book::Access::write);
    ASSERT_TRUE(waitFor([&] { return !notices().isEmpty(); }));
    EXPECT_EQ(book().state(), OpenBook::State::open);
    EXPECT_EQ(lines(), QStringList{u"a"_s});
    book().rename(book().shownId(), u"still mine"_s);
    EXPECT_EQ(lines(), QStringList{u"still mine"_s});
}

TEST_F(BookFaults, whatAnotherProcessWritesIsFollowed) {
    import({csv("a.csv")});
    const book::RunId id = book().shownId();
    auto other = book::Book::open(path(standard_book).toStdString(), book::Access::write);
    ASSERT_TRUE(other);
    book::Notes notes;
    notes.batch.name = "named elsewhere";
    ASSERT_TRUE(other->book.setNotes(id, notes));
    EXPECT_TRUE(waitFor([&] { return lines() == QStringList{u"named elsewhere"_s}; }));
}

// Another program that records into the book: its own connection, its own lease.
book::RunWriter recorder(const QString& book) {
    auto started =
        book::RunWriter::start(book.toStdString(), {.name = "live", .channels = {{.name = "pot_c", .unit = "degC"}}});
    EXPECT_TRUE(started) << describe(started.error());
    return std::move(started->writer);
}

void record(book::RunWriter& writer, int from_s, int to_s) {
    for (int t = from_s; t < to_s; ++t) {
        const double temperature_c = 20.0 + 0.1 * t;
        EXPECT_TRUE(writer.append(t, std::span(&temperature_c, 1)));
    }
    EXPECT_TRUE(writer.commit());
}

TEST_F(BookFaults, aRunBeingRecordedElsewhereIsFollowedAndNotRecovered) {
    const QString file = soundBook();
    book::RunWriter writer = recorder(file);
    record(writer, 0, 100);
    open(file);
    ASSERT_TRUE(waitFor([&] { return book().runs().size() == 2; }));
    EXPECT_EQ(book().runs()[1].row.state, book::RunState::recording);
    EXPECT_TRUE(notices().isEmpty()) << notices().join(u'\n').toStdString();
    record(writer, 100, 6000); // more than a chunk
    EXPECT_TRUE(writer.end()) << "the window took nothing from under its recorder";
    EXPECT_TRUE(waitFor([&] { return book().runs()[1].row.state == book::RunState::complete; }));
    EXPECT_EQ(book().runs()[1].row.samples, 6000U);
    auto opened = book::Book::open(file.toStdString(), book::Access::read);
    ASSERT_TRUE(opened);
    EXPECT_THAT(*opened->book.check(), testing::IsEmpty());
}

TEST_F(BookFaults, aRecordingThatWasCutOffIsRecoveredAndSaidSo) {
    const QString file = soundBook();
    {
        book::RunWriter writer = recorder(file);
        record(writer, 0, 100);
    } // gone without a word
    const std::string notice = noticeOf(file);
    EXPECT_THAT(notice, HasSubstr("live"));
    EXPECT_THAT(notice, HasSubstr("100"));
    ASSERT_TRUE(waitFor([&] { return book().runs().size() == 2; }));
    EXPECT_EQ(book().runs()[1].row.state, book::RunState::recovered);
}

} // namespace
} // namespace potwatch::window
