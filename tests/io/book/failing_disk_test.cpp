// SPDX-License-Identifier: GPL-3.0-or-later
// 1. An addition, an edit and a recording are made to fail at their first, second, third ... operation on the disk,
//    until they go through unharmed.
// 2. Whatever failed, the book is sound afterwards, and holds either all or nothing of what was done.
#include "io/book/run_writer.h"
#include "tests/io/book/book_folder.h"
#include "tests/io/book/failing_disk.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <array>
#include <tuple>

namespace potwatch::book {
namespace {

using testing::IsEmpty;

using Failure = FailingDisk::Failure;

// The failure, and whether the disk stays broken.
class OnAFailingDisk : public BookFolder, public testing::WithParamInterface<std::tuple<Failure, bool>> {
protected:
    void SetUp() override {
        BookFolder::SetUp();
        Book book = this->book();
        old_.batch = statedBatch("old");
        old_id_ = book.add({.run = old_})->id;
    }
    // Each failure begins with the same book.
    void startAgain() {
        if (bytes_.empty()) {
            bytes_ = bytesOf(bookPath());
        }
        std::filesystem::remove_all(folder_);
        std::filesystem::create_directory(folder_);
        (void)file("rods.potbook", bytes_);
    }
    // Calls work() with its k-th operation failing, k = 1, 2, ..., until nothing fails any more; after each, judge(true
    // where the work says that it is done) looks at the book on a sound disk.
    template<class Work, class Judge>
    void failEachOperation(const Work& work, const Judge& judge, std::size_t step = 1) {
        constexpr std::size_t too_many = 2000;
        std::size_t operation = 1;
        for (bool failed = true; failed; operation += step) {
            ASSERT_LT(operation, too_many);
            bool done = false;
            startAgain();
            {
                FailingDisk disk;
                disk.failAt(operation, std::get<0>(GetParam()), std::get<1>(GetParam()));
                done = work();
                failed = disk.hasFailed();
            }
            judge(done);
            ASSERT_TRUE(done || failed) << "it failed by itself";
            if (testing::Test::HasFailure()) {
                FAIL() << "at operation " << operation;
            }
        }
        EXPECT_GT(operation, 3U) << "nothing was made to fail";
    }
    // The book on a sound disk again.
    [[nodiscard]] Book soundBook() const {
        Result<Opened> opened = Book::open(bookPath(), Access::write);
        if (!opened) {
            ADD_FAILURE() << describe(opened.error());
            std::abort();
        }
        EXPECT_THAT(*opened->book.check(), IsEmpty());
        EXPECT_TRUE(sameBits(opened->book.read(old_id_)->run, old_));
        return std::move(opened->book);
    }

    potwatch::Run old_ = oddRun("old", 100, 7);
    RunId old_id_;
    std::string bytes_;
};

TEST_P(OnAFailingDisk, aRunIsAddedAsAWholeOrNotAtAll) {
    failEachOperation(
        [&] {
            Result<Opened> opened = Book::open(bookPath(), Access::write);
            if (!opened) {
                EXPECT_EQ(opened.error().kind, FaultKind::storage) << describe(opened.error());
                return false;
            }
            NewRun run;
            run.run = oddRun("new", 5000, 2);
            run.photos = {{.name = "a.png", .bytes = std::string(9000, 'p')}};
            const Result<Added> added = opened->book.add(run);
            EXPECT_TRUE(added || added.error().kind == FaultKind::storage) << describe(added.error());
            return added.has_value();
        },
        [&](bool done) {
            Book book = soundBook();
            const std::size_t now = book.list()->size();
            constexpr std::size_t there = 1;
            // A failure after the last sync of the journal leaves it open whether the change is there.
            EXPECT_TRUE(now == there || now == there + 1);
            EXPECT_TRUE(!done || now == there + 1) << "what was said to be kept is not there";
            const std::vector<RunRow> rows = *book.list();
            for (const RunRow& row : rows) {
                EXPECT_TRUE(book.read(row.id));
            }
        });
}

TEST_P(OnAFailingDisk, notesAreReplacedAsAWholeOrNotAtAll) {
    const Notes before = book().row(old_id_)->notes;
    Notes after = before;
    after.batch.charge.resin_g = 99.0;
    after.batch.events.erase(after.batch.events.begin());
    after.batch.events.push_back({.time_s = 500.0, .kind = "gel"});
    after.tags.push_back("x");
    failEachOperation(
        [&] {
            Result<Opened> opened = Book::open(bookPath(), Access::write);
            return opened && opened->book.setNotes(old_id_, after);
        },
        [&](bool done) {
            Book book = soundBook();
            const Notes now = book.row(old_id_)->notes;
            EXPECT_TRUE(now == after || (!done && now == before));
        });
}

TEST_P(OnAFailingDisk, aRecordingKeepsWhatWaitsAndLosesNothingThatWasCommitted) {
    const potwatch::Run run = oddRun("live", 4200, 3);
    std::size_t committed = 0;
    bool started = false;
    failEachOperation(
        [&] {
            committed = 0;
            Result<StartedRecording> recording = RunWriter::start(
                bookPath(), {.name = "live", .channels = {{.name = "pot_c", .unit = "degC"}, {.unit = "mV"}}});
            started = recording.has_value();
            if (!started) {
                return false;
            }
            bool all = true;
            for (std::size_t i = 0; i < run.time_s.size(); ++i) {
                const std::array<double, 2> values{run.channels[0].values[i], run.channels[1].values[i]};
                EXPECT_TRUE(recording->writer.append(run.time_s[i], values));
                if (i % 1400 == 1399) {
                    all = recording->writer.commit().has_value() && all;
                }
            }
            committed = recording->writer.committed();
            EXPECT_EQ(committed + recording->writer.waiting(), run.time_s.size());
            return recording->writer.end().has_value() && all;
        },
        [&](bool done) {
            Book book = soundBook(); // recovers it where it was not ended
            const RunRow last = book.list()->back();
            if (started) {
                ASSERT_EQ(last.name, "live");
                EXPECT_GE(last.samples, committed);
                EXPECT_TRUE(!done || last.samples == run.time_s.size());
                const potwatch::Run kept = book.read(last.id)->run;
                EXPECT_TRUE(std::equal(kept.time_s.begin(), kept.time_s.end(), run.time_s.begin()));
            }
        },
        7); // not each of them, for the time it takes
}

INSTANTIATE_TEST_SUITE_P(Failures, OnAFailingDisk,
                         testing::Combine(testing::Values(Failure::inputOutput, Failure::full), testing::Bool()));

} // namespace
} // namespace potwatch::book
