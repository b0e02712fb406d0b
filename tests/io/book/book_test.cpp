// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/book/book_folder.h"

#include <gmock/gmock.h>

#include <algorithm>

namespace potwatch::book {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

using BookTest = BookFolder;

NewRun newRun(const std::string& name, std::size_t samples = 5000, unsigned seed = 1) {
    NewRun added{.run = oddRun(name, samples, seed)};
    added.run.batch = statedBatch(name);
    return added;
}

RunId add(Book& book, const NewRun& run) {
    const Result<Added> added = book.add(run);
    EXPECT_TRUE(added) << describe(added.error());
    return added ? added->id : RunId();
}

Notes notesOf(Book& book, const RunId& id) {
    const Result<RunRow> row = book.row(id);
    EXPECT_TRUE(row) << describe(row.error());
    return row ? row->notes : Notes();
}

TEST_F(BookTest, keepsTimesAndValuesBitForBit) {
    for (const std::size_t samples : {0U, 1U, 5U, 4096U, 4097U, 20000U}) {
        NewRun added = newRun("rod " + std::to_string(samples), samples);
        Book book = this->book();
        const RunId id = add(book, added);
        const Result<StoredRun> read = book.read(id);
        ASSERT_TRUE(read) << describe(read.error());
        EXPECT_TRUE(sameBits(read->run, added.run)) << samples;
        EXPECT_THAT(*book.check(), IsEmpty());
    }
}

TEST_F(BookTest, keepsEvenTimesBitForBitInLittleSpace) {
    NewRun added = newRun("even", 50'000);
    for (std::size_t i = 0; i < added.run.time_s.size(); ++i) {
        added.run.time_s[i] = static_cast<double>(i) / 10.0; // as the text 0.3 is read, which is not 3 times 0.1
    }
    Book book = this->book();
    const Result<StoredRun> read = book.read(add(book, added));
    ASSERT_TRUE(read);
    EXPECT_TRUE(sameBits(read->run, added.run));
    EXPECT_EQ(askSql(bookPath(), "SELECT count(*) FROM chunk WHERE number = 0 AND coding = 'raw'"), "0");
    EXPECT_EQ(askSql(bookPath(), "SELECT max(length(data)) FROM chunk WHERE number = 0"), "24");
}

TEST_F(BookTest, keepsEverythingElseOfARun) {
    NewRun added = newRun("rod 03", 20);
    added.conversion = {.thermocouple = "K", .cold_junction = "21.5"};
    added.tags = {"barrel", "slow"};
    added.remarks = {"column 2 has no name"};
    added.photos = {{.name = "rod.jpg", .media_type = "image/jpeg", .bytes = std::string("\0\xFFx", 3)}};
    added.run.overrides = {{.landmark = LandmarkKind::onset, .time_s = 301.25}};
    added.run.annotations = {{.kind = AnnotationKind::arrow,
                              .pane = PaneKind::heat_flow,
                              .time_s = 1.5,
                              .value = -2.0,
                              .to_time_s = 3.0,
                              .to_value = 1e-300,
                              .text = "läuft davon"}};
    {
        Book book = this->book();
        add(book, added);
    }
    Book book = this->book(Access::read);
    const Result<std::vector<RunRow>> list = book.list();
    ASSERT_TRUE(list) << describe(list.error());
    ASSERT_THAT(*list, SizeIs(1));
    const RunRow& row = list->front();
    EXPECT_EQ(row.name, "rod 03");
    EXPECT_EQ(row.started, added.run.started);
    EXPECT_EQ(row.state, RunState::complete);
    EXPECT_FALSE(row.withdrawn);
    EXPECT_EQ(row.source_file, "logs/rod 03.csv");
    EXPECT_EQ(row.samples, 20U);
    EXPECT_EQ(row.rows_refused, 3U);
    EXPECT_DOUBLE_EQ(row.span_s, 1.9);
    EXPECT_THAT(row.channels, ElementsAre("pot_c", ""));
    EXPECT_THAT(row.content_hash, SizeIs(32));
    EXPECT_THAT(row.id, SizeIs(36));
    EXPECT_EQ(row.notes.batch, added.run.batch);
    EXPECT_THAT(row.notes.tags, ElementsAre("barrel", "slow"));

    const Result<StoredRun> read = book.read(row.id);
    ASSERT_TRUE(read) << describe(read.error());
    EXPECT_EQ(read->conversion, added.conversion);
    EXPECT_EQ(read->tags, added.tags);
    EXPECT_EQ(read->remarks, added.remarks);
    EXPECT_EQ(read->run.name, added.run.name);
    EXPECT_EQ(read->run.file, added.run.file);
    EXPECT_EQ(read->run.batch, added.run.batch);
    EXPECT_EQ(read->run.overrides, added.run.overrides);
    EXPECT_EQ(read->run.annotations, added.run.annotations);
    EXPECT_EQ(read->run.channels[1].unit, "mV");
    EXPECT_EQ(*book.photo(row.id, "rod.jpg"), added.photos.front());
}

TEST_F(BookTest, noticesThatTheSameSamplesComeAgain) {
    Book book = this->book();
    const RunId id = add(book, newRun("rod 03"));
    NewRun again = newRun("another name");
    again.run.file = "elsewhere.csv";
    const Result<Added> added = book.add(again);
    ASSERT_TRUE(added);
    EXPECT_TRUE(added->was_there);
    EXPECT_EQ(added->id, id);
    EXPECT_THAT(*book.list(), SizeIs(1));
}

TEST_F(BookTest, takesOtherSamplesNamesOrUnitsForAnotherRun) {
    Book book = this->book();
    add(book, newRun("rod 03"));
    NewRun value = newRun("rod 03");
    value.run.channels[0].values[4999] = std::nextafter(value.run.channels[0].values[4999], 0.0);
    NewRun name = newRun("rod 03");
    name.run.channels[0].name = "pot";
    NewRun unit = newRun("rod 03");
    unit.run.channels[0].unit = "degF";
    for (const NewRun& other : {value, name, unit}) {
        EXPECT_FALSE(book.add(other)->was_there);
    }
}

TEST_F(BookTest, deletedRunStaysAndComesBackWhenItIsAddedAgain) {
    Book book = this->book();
    const RunId id = add(book, newRun("rod 03"));
    ASSERT_TRUE(book.setWithdrawn(id, true));
    EXPECT_TRUE(book.row(id)->withdrawn);
    ASSERT_TRUE(book.setWithdrawn(id, false));
    EXPECT_FALSE(book.row(id)->withdrawn);
    ASSERT_TRUE(book.setWithdrawn(id, true));
    const Result<Added> again = book.add(newRun("rod 03"));
    EXPECT_TRUE(again->was_there && again->was_withdrawn);
    EXPECT_FALSE(book.row(id)->withdrawn);
}

TEST_F(BookTest, notesAreReplacedAsAWhole) {
    Book book = this->book();
    const RunId id = add(book, newRun("rod 03"));
    const Notes before = notesOf(book, id);
    Notes notes = before;
    notes.batch.charge.resin_g = 80.0;
    notes.batch.events.push_back({.time_s = 500.0, .kind = "gel"});
    notes.overrides = {{.landmark = LandmarkKind::peak, .time_s = 40.0}};
    notes.annotations = {{.text = "a"}, {.text = "b"}};
    notes.tags = {"x"};
    ASSERT_TRUE(book.setNotes(id, notes));
    EXPECT_EQ(notesOf(book, id), notes);
    ASSERT_TRUE(book.setNotes(id, before));
    EXPECT_EQ(notesOf(book, id), before);
}

TEST_F(BookTest, eventThatIsTakenAwayStaysAsWithdrawn) {
    Book book = this->book();
    const RunId id = add(book, newRun("rod 03"));
    const Notes before = notesOf(book, id);
    Notes notes = before;
    notes.batch.events.erase(notes.batch.events.begin());
    ASSERT_TRUE(book.setNotes(id, notes));
    EXPECT_EQ(notesOf(book, id).batch.events, notes.batch.events);
    EXPECT_EQ(askSql(bookPath(), "SELECT kind FROM event WHERE withdrawn"), "dose start");
    ASSERT_TRUE(book.setNotes(id, before)); // undone
    EXPECT_EQ(notesOf(book, id), before);
    EXPECT_EQ(askSql(bookPath(), "SELECT count(*) FROM event"), "2");
}

TEST_F(BookTest, equalEventsAreCounted) {
    Book book = this->book();
    const RunId id = add(book, newRun("rod 03"));
    Notes notes = notesOf(book, id);
    notes.batch.events = {{.time_s = 1.0, .kind = "drop"}, {.time_s = 1.0, .kind = "drop"}};
    ASSERT_TRUE(book.setNotes(id, notes));
    EXPECT_THAT(notesOf(book, id).batch.events, SizeIs(2));
    notes.batch.events.pop_back();
    ASSERT_TRUE(book.setNotes(id, notes));
    EXPECT_THAT(notesOf(book, id).batch.events, SizeIs(1));
}

TEST_F(BookTest, nameAndStartFollowTheBatch) {
    Book book = this->book();
    NewRun added = newRun("rod 03");
    added.run.batch = Batch();
    const RunId id = add(book, added);
    Notes notes = notesOf(book, id);
    notes.batch.name = "rod three";
    notes.batch.started = WallTime{.utc_us = 5};
    ASSERT_TRUE(book.setNotes(id, notes));
    EXPECT_EQ(book.row(id)->name, "rod three");
    EXPECT_EQ(book.row(id)->started, notes.batch.started);
    EXPECT_EQ(book.read(id)->run.name, "rod three");
    ASSERT_TRUE(book.setNotes(id, Notes()));
    EXPECT_EQ(book.row(id)->name, "rod 03");
    EXPECT_EQ(book.row(id)->started, added.run.started);
}

TEST_F(BookTest, refusesNotesThatContradictThemselves) {
    Book book = this->book();
    const RunId id = add(book, newRun("rod 03"));
    const Notes before = notesOf(book, id);
    Notes notes = before;
    notes.batch.charge.resin_g = -1.0;
    const Result<void> refused = book.setNotes(id, notes);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, FaultKind::range);
    EXPECT_THAT(refused.error().what, HasSubstr("resin_g"));
    notes = before;
    notes.overrides = {{.landmark = LandmarkKind::peak}, {.landmark = LandmarkKind::peak}};
    EXPECT_FALSE(book.setNotes(id, notes));
    notes = before;
    notes.annotations = {{.value = std::numeric_limits<double>::quiet_NaN()}};
    EXPECT_FALSE(book.setNotes(id, notes));
    EXPECT_EQ(notesOf(book, id), before);
}

TEST_F(BookTest, keepsFindingsUntilWhatTheyCameFromChanges) {
    Book book = this->book();
    const RunId id = add(book, newRun("rod 03"));
    ASSERT_TRUE(book.keepFindings(id, 3, "{\"peak\":1}"));
    EXPECT_EQ(book.row(id)->findings, "{\"peak\":1}");
    EXPECT_EQ(book.row(id)->findings_version, 3);
    Notes notes = notesOf(book, id);
    notes.tags = {"seen"};
    ASSERT_TRUE(book.setNotes(id, notes));
    EXPECT_FALSE(book.row(id)->findings.empty());
    notes.batch.charge.resin_g = 50.0;
    ASSERT_TRUE(book.setNotes(id, notes));
    EXPECT_TRUE(book.row(id)->findings.empty());
}

TEST_F(BookTest, photosAreAddedReplacedAndRemoved) {
    Book book = this->book();
    const RunId id = add(book, newRun("rod 03"));
    ASSERT_TRUE(book.setPhoto(id, {.name = "a.png", .media_type = "image/png", .bytes = "one"}));
    ASSERT_TRUE(book.setPhoto(id, {.name = "b.png", .media_type = "image/png", .bytes = ""}));
    ASSERT_TRUE(book.setPhoto(id, {.name = "a.png", .media_type = "image/png", .bytes = "two"}));
    EXPECT_THAT(*book.photoNames(id), ElementsAre("a.png", "b.png"));
    EXPECT_EQ(book.photo(id, "a.png")->bytes, "two");
    ASSERT_TRUE(book.removePhoto(id, "a.png"));
    EXPECT_THAT(*book.photoNames(id), ElementsAre("b.png"));
    EXPECT_EQ(book.photo(id, "a.png").error().kind, FaultKind::input);
}

TEST_F(BookTest, namesARunThatItDoesNotHave) {
    Book book = this->book();
    const RunId nobody = "00000000-0000-4000-8000-000000000000";
    EXPECT_THAT(book.read(nobody).error().what, HasSubstr(nobody));
    EXPECT_EQ(book.row(nobody).error().kind, FaultKind::input);
    EXPECT_EQ(book.setNotes(nobody, {}).error().kind, FaultKind::input);
    EXPECT_EQ(book.setWithdrawn(nobody, true).error().kind, FaultKind::input);
    EXPECT_EQ(book.keepFindings(nobody, 1, "{}").error().kind, FaultKind::input);
    EXPECT_EQ(book.photoNames(nobody).error().kind, FaultKind::input);
}

TEST_F(BookTest, refusesChannelsOfAnotherLength) {
    Book book = this->book();
    NewRun added = newRun("rod 03");
    added.run.channels[1].values.pop_back();
    EXPECT_EQ(book.add(added).error().where.channel, added.run.channels[1].name);
    EXPECT_THAT(*book.list(), IsEmpty());
}

TEST_F(BookTest, stoppedAddLeavesNothing) {
    Book book = this->book();
    std::stop_source stop;
    const Progress stop_midway = [&](double fraction, std::string_view) {
        EXPECT_LT(fraction, 0.9);
        stop.request_stop();
    };
    const Result<Added> added = book.add(newRun("long", 2'000'000), stop_midway, stop.get_token());
    ASSERT_FALSE(added);
    EXPECT_EQ(added.error().kind, FaultKind::cancelled);
    EXPECT_THAT(*book.list(), IsEmpty());
    EXPECT_THAT(*book.check(), IsEmpty());
    EXPECT_EQ(askSql(bookPath(), "SELECT count(*) FROM chunk"), "0");
}

TEST_F(BookTest, stoppedReadSaysSo) {
    Book book = this->book();
    const RunId id = add(book, newRun("rod 03"));
    std::stop_source stop;
    stop.request_stop();
    EXPECT_EQ(book.read(id, {}, stop.get_token()).error().kind, FaultKind::cancelled);
    EXPECT_EQ(book.check({}, stop.get_token()).error().kind, FaultKind::cancelled);
}

TEST_F(BookTest, progressNeverRunsBackwardsAndEndsAtOne) {
    Book book = this->book();
    std::vector<double> told;
    const Progress listen = [&](double fraction, std::string_view) { told.push_back(fraction); };
    const Result<Added> added = book.add(newRun("long", 300'000), listen);
    ASSERT_TRUE(added);
    ASSERT_FALSE(told.empty());
    EXPECT_TRUE(std::is_sorted(told.begin(), told.end()));
    EXPECT_EQ(told.back(), 1.0);
    told.clear();
    ASSERT_TRUE(book.read(added->id, listen));
    EXPECT_TRUE(std::is_sorted(told.begin(), told.end()));
    EXPECT_EQ(told.back(), 1.0);
}

TEST_F(BookTest, revisionTellsOwnAndOthersChanges) {
    Book ours = this->book();
    Book theirs = this->book(Access::write);
    const std::int64_t first = *ours.revision();
    EXPECT_EQ(*ours.revision(), first);
    const RunId id = add(theirs, newRun("rod 03"));
    const std::int64_t second = *ours.revision();
    EXPECT_NE(second, first);
    ASSERT_TRUE(ours.setWithdrawn(id, true));
    EXPECT_NE(*ours.revision(), second);
}

TEST_F(BookTest, copyIsAWholeBook) {
    Book book = this->book();
    const NewRun added = newRun("rod 03");
    const RunId id = add(book, added);
    ASSERT_TRUE(book.copyTo(path("copy.potbook")));
    Result<Opened> copy = Book::open(path("copy.potbook"), Access::write);
    ASSERT_TRUE(copy) << describe(copy.error());
    EXPECT_THAT(*copy->book.check(), IsEmpty());
    EXPECT_TRUE(sameBits(copy->book.read(id)->run, added.run));
    EXPECT_EQ(book.copyTo(path("copy.potbook")).error().kind, FaultKind::input);
    EXPECT_EQ(book.copyTo(path("nowhere/copy.potbook")).error().kind, FaultKind::storage);
}

TEST_F(BookTest, namesWithSpecialMeaningsAreFileNames) {
    for (const std::string& name : {std::string(":memory:"), std::string("a?b#c%41.potbook"), std::string("file:x")}) {
        const Result<Opened> opened = Book::open(path(name), Access::create);
        ASSERT_TRUE(opened) << describe(opened.error());
        EXPECT_TRUE(std::filesystem::exists(path(name))) << name;
    }
}

TEST_F(BookTest, thatWasMovedTakesNoChangeWhichNobodyWouldFind) {
    Book book = this->book();
    const RunId id = book.add({.run = oddRun("rod", 20)})->id;
    std::filesystem::rename(bookPath(), path("elsewhere.potbook"));
    const Result<void> refused = book.setWithdrawn(id, true);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, FaultKind::storage);
    EXPECT_TRUE(book.read(id)) << "reading goes on";
}

} // namespace
} // namespace potwatch::book
