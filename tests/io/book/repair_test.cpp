// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/book/book_folder.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>
#include <cstring>

namespace potwatch::book {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

class Repaired : public BookFolder {
protected:
    void SetUp() override {
        BookFolder::SetUp();
        run_ = oddRun("rod 05", 9000);
        run_.batch = statedBatch("rod 05");
        run_.annotations = {{.text = "here"}};
        Book book = this->book();
        const NewRun added{.run = run_,
                           .conversion = {.thermocouple = "K", .cold_junction = "20"},
                           .tags = {"x"},
                           .photos = {{.name = "a.png", .media_type = "image/png", .bytes = std::string(20'000, 'p')}}};
        id_ = book.add(added)->id;
        (void)book.add({.run = oddRun("rod 06", 300, 2)});
        EXPECT_TRUE(book.keepFindings(id_, 1, "{}"));
    }

    // Spoils the place in the file where these doubles lie.
    void spoil(const std::vector<double>& values, std::size_t first) const {
        std::string bytes = bytesOf(bookPath());
        const std::string_view wanted(reinterpret_cast<const char*>(values.data() + first), 4 * sizeof(double));
        const std::size_t at = bytes.find(wanted);
        ASSERT_NE(at, std::string::npos);
        bytes[at + 9] = static_cast<char>(bytes[at + 9] ^ 0x10);
        (void)file("rods.potbook", bytes);
    }

    // The repaired copy, which must be sound.
    Book repaired(const std::string& name = "repaired.potbook") {
        const Result<std::vector<std::string>> said = repairedCopy(bookPath(), path(name));
        EXPECT_TRUE(said) << describe(said.error());
        said_ = said ? *said : std::vector<std::string>();
        Result<Opened> opened = Book::open(path(name), Access::read);
        if (!opened) {
            ADD_FAILURE() << describe(opened.error());
            std::abort();
        }
        EXPECT_THAT(*opened->book.check(), IsEmpty());
        return std::move(opened->book);
    }

    potwatch::Run run_;
    RunId id_;
    std::vector<std::string> said_;
};

TEST_F(Repaired, soundBookIsCopiedWhole) {
    Book copy = repaired();
    EXPECT_THAT(said_, ElementsAre("2 runs were saved"));
    Book book = this->book();
    EXPECT_EQ(*copy.list(), *book.list());
    EXPECT_TRUE(sameBits(copy.read(id_)->run, run_));
    EXPECT_EQ(copy.read(id_)->conversion, book.read(id_)->conversion);
    EXPECT_EQ(*copy.photo(id_, "a.png"), *book.photo(id_, "a.png"));
}

TEST_F(Repaired, fileThatIsCutOffGivesWhatIsThere) {
    const RunId id = book(Access::read).list()->front().id;
    std::filesystem::resize_file(bookPath(), std::filesystem::file_size(bookPath()) * 9 / 10);
    EXPECT_FALSE(Book::open(bookPath(), Access::read));
    Book copy = repaired();
    EXPECT_TRUE(copy.row(id)) << "its name and batch stand at the beginning of the file";
    EXPECT_FALSE(std::filesystem::exists(path("repaired.potbook-filled-up")));
}

TEST_F(Repaired, damagedValuesAreNamedAndBecomeMissingOnes) {
    spoil(run_.channels[0].values, 5000);
    {
        Book book = this->book();
        EXPECT_THAT(*book.check(), Contains(HasSubstr("samples 4097 to 8192 of channel 1 are damaged")));
        const Result<StoredRun> read = book.read(id_);
        ASSERT_FALSE(read);
        EXPECT_EQ(read.error().kind, FaultKind::input);
        EXPECT_THAT(read.error().what, HasSubstr("run \"rod 05\" has lost samples 4097 to 8192 of channel pot_c"));
        EXPECT_THAT(read.error().remedy, HasSubstr("--repaired"));
        EXPECT_TRUE(book.list()) << "the others are still there";
    }
    const std::string before = bytesOf(bookPath());
    Book copy = repaired();
    EXPECT_EQ(bytesOf(bookPath()), before);
    EXPECT_THAT(said_, Contains("run \"rod 05\": 4096 of 9000 values of channel pot_c are lost"));
    const potwatch::Run saved = copy.read(id_)->run;
    ASSERT_THAT(saved.time_s, SizeIs(9000));
    EXPECT_EQ(saved.channels[0].values[4095], run_.channels[0].values[4095]);
    EXPECT_TRUE(std::isnan(saved.channels[0].values[4096]) && std::isnan(saved.channels[0].values[8191]));
    EXPECT_EQ(saved.channels[0].values[8192], run_.channels[0].values[8192]);
    EXPECT_EQ(saved.channels[1].values[5000], run_.channels[1].values[5000]);
    EXPECT_TRUE(copy.row(id_)->findings.empty()) << "they were found from more";
}

TEST_F(Repaired, samplesWithoutTheirTimeAreLeftOut) {
    spoil(run_.time_s, 100);
    Book copy = repaired();
    EXPECT_THAT(said_, Contains("run \"rod 05\": 4096 samples are lost, 4904 are saved"));
    const potwatch::Run saved = copy.read(id_)->run;
    EXPECT_EQ(saved.time_s.front(), run_.time_s[4096]);
    EXPECT_EQ(saved.channels[0].values.front(), run_.channels[0].values[4096]);
}

TEST_F(Repaired, damagedPhotoIsToldAndLeftOut) {
    runSql(bookPath(), "UPDATE photo SET crc32 = crc32 + 1");
    EXPECT_THAT(*book().check(), Contains(HasSubstr("damaged photo \"a.png\"")));
    Book copy = repaired();
    EXPECT_THAT(said_, Contains("1 photo lost"));
    EXPECT_THAT(*copy.photoNames(id_), IsEmpty());
}

TEST_F(Repaired, runWithoutItsRowKeepsItsSamples) {
    runSql(bookPath(), "DELETE FROM run WHERE id = 1");
    EXPECT_THAT(*book().check(), Contains(HasSubstr("belongs to no run")));
    Book copy = repaired();
    const RunRow row = copy.list()->front();
    EXPECT_EQ(row.name, "nameless run 1");
    EXPECT_TRUE(sameBits(copy.read(row.id)->run, run_));
}

TEST_F(Repaired, recordingThatWasCutOffIsSavedWithItsTail) {
    runSql(bookPath(), "UPDATE run SET state = 'recording' WHERE id = 1");
    runSql(bookPath(), "INSERT INTO tail(run, row, data) SELECT 1, 9000, "
                       "CAST(x'0000000000000000' || x'0000000000000000' || x'0000000000000000' AS BLOB)");
    Book copy = repaired();
    EXPECT_EQ(copy.row(id_)->state, RunState::recovered);
    EXPECT_THAT(copy.read(id_)->run.time_s, SizeIs(9001));
}

TEST_F(Repaired, nothingIsOverwritten) {
    const std::string there = file("there.potbook", "somebody's");
    EXPECT_EQ(repairedCopy(bookPath(), there).error().kind, FaultKind::input);
    EXPECT_EQ(bytesOf(there), "somebody's");
    EXPECT_EQ(repairedCopy(path("nowhere"), path("copy")).error().kind, FaultKind::input);
    EXPECT_EQ(repairedCopy(file("rod.csv", "time_s,pot_c\n"), path("copy")).error().kind, FaultKind::input);
    EXPECT_FALSE(std::filesystem::exists(path("copy")));
}

// Whichever page of the file is gone: the book says so where it can, and what can be saved makes a sound book.
TEST_F(Repaired, anyPageMayBeLost) {
    const std::string sound = bytesOf(bookPath());
    constexpr std::size_t page = 4096;
    std::size_t saved = 0;
    std::size_t pages = 0;
    for (std::size_t at = 0; at < sound.size(); at += page * 5, ++pages) { // every fifth, for the time it takes
        std::string bytes = sound;
        std::memset(bytes.data() + at, 0xA5, page);
        (void)file("rods.potbook", bytes);
        if (Result<Opened> opened = Book::open(bookPath(), Access::read)) {
            const Result<std::vector<RunRow>> list = opened->book.list();
            const bool runs_read = list && std::all_of(list->begin(), list->end(), [&](const RunRow& row) {
                                       return opened->book.read(row.id).has_value();
                                   });
            const Result<std::vector<std::string>> faults = opened->book.check();
            EXPECT_TRUE(runs_read || (faults && !faults->empty()) || !faults) << "damage at " << at << " passed over";
        }
        const std::string copy = "copy-" + std::to_string(at);
        if (repairedCopy(bookPath(), path(copy))) {
            Result<Opened> opened = Book::open(path(copy), Access::read);
            ASSERT_TRUE(opened) << describe(opened.error());
            EXPECT_THAT(*opened->book.check(), IsEmpty()) << "damage at " << at;
            ++saved;
        }
    }
    EXPECT_GE(saved + 4, pages) << "more than the first pages of the file cost everything";
}

TEST_F(Repaired, bookThatWasCutShortIsSavedAsFarAsItGoes) {
    std::string bytes = bytesOf(bookPath());
    bytes.resize(bytes.size() * 2 / 3 / 4096 * 4096);
    (void)file("rods.potbook", bytes);
    const Result<std::vector<std::string>> said = repairedCopy(bookPath(), path("copy"));
    if (said) {
        EXPECT_THAT(*Book::open(path("copy"), Access::read)->book.check(), IsEmpty());
        EXPECT_THAT(*said, Contains(HasSubstr("lost")));
    } else {
        EXPECT_FALSE(std::filesystem::exists(path("copy")));
    }
}

TEST_F(Repaired, firstPageIsMadeAnew) {
    const std::string whole = bytesOf(bookPath());
    for (const std::size_t spoiled : {std::size_t{16}, std::size_t{100}, std::size_t{4096}}) {
        std::string bytes = whole;
        std::fill_n(bytes.begin(), spoiled, 'x');
        (void)file("rods.potbook", bytes);
        EXPECT_FALSE(Book::open(bookPath(), Access::read));
        const std::string copy = fmt::format("repaired-{}", spoiled);
        Book again = repaired(copy);
        EXPECT_THAT(said_, Contains(HasSubstr("first page")));
        EXPECT_THAT(*again.list(), SizeIs(2));
        EXPECT_TRUE(sameBits(again.read(id_)->run, run_));
        EXPECT_EQ(again.row(id_)->notes.batch, run_.batch);
        EXPECT_EQ(bytesOf(bookPath()), bytes) << "the damaged book is left as it is";
    }
}

} // namespace
} // namespace potwatch::book
