// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/run_writer.h"
#include "tests/io/book/book_folder.h"
#include "tests/io/book/failing_disk.h"

#include <gmock/gmock.h>

#include <array>

namespace potwatch::book {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

using Failure = FailingDisk::Failure;
using FullDisk = BookFolder;

TEST_F(FullDisk, saysSoAndLeavesTheBookAsItWas) {
    FailingDisk disk;
    Book book = this->book();
    const RunId id = book.add({.run = oddRun("old", 100)})->id;
    disk.failAt(3, Failure::full, true);
    const Result<Added> refused = book.add({.run = oddRun("new", 50'000, 2)});
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, FaultKind::storage);
    EXPECT_THAT(refused.error().what, HasSubstr("the disk is full"));
    disk.failNothing();
    EXPECT_THAT(*book.list(), SizeIs(1));
    EXPECT_TRUE(book.read(id));
    EXPECT_TRUE(book.add({.run = oddRun("new", 50'000, 2)})) << "once there is room";
    EXPECT_THAT(*book.check(), IsEmpty());
}

TEST_F(FullDisk, recordingGoesOnInMemoryAndIsWrittenWhenThereIsRoom) {
    FailingDisk disk;
    const potwatch::Run run = oddRun("live", 300);
    Result<StartedRecording> recording =
        RunWriter::start(bookPath(), {.name = "live", .channels = {{.name = "pot_c", .unit = "degC"}, {.unit = "mV"}}});
    ASSERT_TRUE(recording);
    RunWriter& writer = recording->writer;
    for (std::size_t i = 0; i < run.time_s.size(); ++i) {
        if (i == 100) {
            disk.failAt(1, Failure::full, true);
        } else if (i == 200) {
            EXPECT_EQ(writer.waiting(), 100U);
            disk.failNothing();
        }
        const std::array<double, 2> values{run.channels[0].values[i], run.channels[1].values[i]};
        ASSERT_TRUE(writer.append(run.time_s[i], values));
        if (i % 10 == 9) {
            EXPECT_EQ(writer.commit().has_value(), i < 100 || i >= 200);
        }
    }
    ASSERT_TRUE(writer.end());
    EXPECT_TRUE(sameBits(book().read(writer.id())->run, run));
}

} // namespace
} // namespace potwatch::book
