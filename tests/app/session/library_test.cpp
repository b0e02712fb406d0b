// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/library.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <condition_variable>
#include <deque>
#include <filesystem>
#include <fstream>
#include <functional>
#include <mutex>

namespace potwatch::session {
namespace {

using testing::HasSubstr;
using testing::SizeIs;

// Receives the news on the library's threads and hands them to the test's.
class Desk {
public:
    void take(News news) {
        const std::lock_guard lock(mutex_);
        news_.push_back(std::move(news));
        changed_.notify_all();
    }

    // The next news of that kind that meets the condition; others are passed over. Empty where none comes for long.
    template<class Kind>
    std::optional<Kind> next(const std::function<bool(const Kind&)>& meets = [](const Kind&) { return true; }) {
        std::unique_lock lock(mutex_);
        for (;;) {
            while (!news_.empty()) {
                const News news = std::move(news_.front());
                news_.pop_front();
                if (const Kind* const kind = std::get_if<Kind>(&news); kind != nullptr && meets(*kind)) {
                    return *kind;
                }
            }
            constexpr std::chrono::seconds long_enough(120); // only a test that fails waits for it
            if (!changed_.wait_for(lock, long_enough, [this] { return !news_.empty(); })) {
                return std::nullopt;
            }
        }
    }

private:
    std::mutex mutex_;
    std::condition_variable changed_;
    std::deque<News> news_;
};

class LibraryOfRuns : public TemporaryFolder {
protected:
    void TearDown() override {
        library_.reset(); // it may still write into the folder
        TemporaryFolder::TearDown();
    }

    // Two short castings, one heated faster.
    std::string table(const std::string& name, double rate) const {
        std::ofstream stream(path(name + ".csv"));
        stream << "time_s,pot_c\n";
        for (int i = 0; i < 600; ++i) {
            const double rise = i < 120 ? 0.0 : 40.0 * std::exp(-std::pow((i - 300.0 / rate) / 60.0, 2.0));
            stream << i << ',' << 20.0 + rise + 0.05 * (i % 3) << '\n';
        }
        return path(name + ".csv");
    }
    std::string bookPath() const { return path("book.potbook"); }

    std::vector<book::RunId> importAll(const std::vector<std::string>& files) {
        std::vector<FileToOpen> wanted;
        for (const std::string& file : files) {
            wanted.push_back({.file = file, .options = {}});
        }
        library_->importFiles(wanted);
        const auto imported = desk_.next<ImportEnded>();
        std::vector<book::RunId> ids;
        for (const ImportedFile& file : imported ? imported->files : std::vector<ImportedFile>()) {
            ids.push_back(file.id);
        }
        return ids;
    }
    void openNewBook() {
        library_->openBook(bookPath(), book::Access::create);
        EXPECT_TRUE(desk_.next<BookOpened>());
    }
    Desk desk_;
    std::unique_ptr<Library> library_ = std::make_unique<Library>([this](News news) { desk_.take(std::move(news)); });
};

TEST_F(LibraryOfRuns, gathersRunsToCompareAndAnewAfterAnEdit) {
    openNewBook();
    const std::vector<book::RunId> ids = importAll({table("slow", 1.0), table("fast", 1.2)});
    const auto gathered = [&](std::uint64_t ticket) {
        return desk_.next<RunsToCompareReady>(
            [ticket](const RunsToCompareReady& news) { return news.ticket == ticket && news.left == 0; });
    };
    library_->gatherToCompare({ids[1], ids[0]}, 7);
    const auto first = gathered(7);
    ASSERT_TRUE(first);
    ASSERT_THAT(*first->runs, SizeIs(2));
    EXPECT_EQ(first->runs->front().id, ids[1]) << "in the order asked for";
    ASSERT_TRUE(first->runs->front().run && first->runs->back().run);
    EXPECT_EQ(first->runs->back().run->name, "slow");
    EXPECT_FALSE(first->runs->back().run->curve.time_s.empty());
    EXPECT_TRUE(first->runs->back().run->findings.landmarks.peak);

    book::Notes notes;
    notes.batch.charge.resin_g = 80.0;
    library_->setNotes(ids[0], notes);
    library_->gatherToCompare(ids, 8);
    const auto second = gathered(8);
    ASSERT_TRUE(second);
    EXPECT_EQ(second->runs->front().run->batch.charge.resin_g, 80.0);
    EXPECT_EQ(second->runs->back().run, first->runs->front().run) << "the other one was there already";
}

TEST_F(LibraryOfRuns, gathersToCompareHoweverOftenARunIsEdited) {
    openNewBook();
    const std::vector<book::RunId> ids = importAll({table("fast", 1.0), table("slow", 1.3)});
    constexpr std::uint64_t edits = 60;
    for (std::uint64_t edit = 1; edit <= edits; ++edit) {
        book::Notes notes;
        notes.batch.charge.resin_g = 80.0 + static_cast<double>(edit);
        library_->setNotes(ids[edit % 2], notes);
        library_->gatherToCompare(ids, edit);
        const auto ready = desk_.next<RunsToCompareReady>(
            [&](const RunsToCompareReady& news) { return news.ticket == edit && news.left == 0; });
        ASSERT_TRUE(ready) << "edit " << edit << ": nobody went on with what is left";
        EXPECT_EQ(ready->runs->at(edit % 2).run->batch.charge.resin_g, notes.batch.charge.resin_g);
    }
}

TEST_F(LibraryOfRuns, saysWhyARunCannotBeCompared) {
    openNewBook();
    const std::vector<book::RunId> ids = importAll({table("elsewhere", 1.2), table("warm", 1.0)});
    ASSERT_THAT(ids, SizeIs(2));
    book::Notes notes;
    notes.batch.pot_channel = "pot_b"; // the table has pot_c alone
    library_->setNotes(ids[0], notes);
    library_->gatherToCompare(ids, 1);
    const auto ready = desk_.next<RunsToCompareReady>([](const RunsToCompareReady& news) { return news.left == 0; });
    ASSERT_TRUE(ready);
    ASSERT_THAT(*ready->runs, SizeIs(2));
    EXPECT_FALSE(ready->runs->front().run);
    ASSERT_TRUE(ready->runs->front().why_not);
    EXPECT_THAT(describe(*ready->runs->front().why_not), HasSubstr("pot_b"));
    EXPECT_TRUE(ready->runs->back().run);
}

TEST_F(LibraryOfRuns, importsShowsAndAnalysesARun) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0)});
    ASSERT_THAT(ids, SizeIs(1));
    library_->showRun(ids.front());
    const auto shown = desk_.next<RunShown>([](const RunShown& news) { return news.complete; });
    ASSERT_TRUE(shown);
    ASSERT_TRUE(shown->view->analysis) << describe(shown->view->faults.front());
    ASSERT_TRUE(shown->view->analysis->findings.landmarks.peak);
    EXPECT_NEAR(shown->view->analysis->findings.landmarks.peak->temperature_c.value, 60.0, 0.5);
    // And the list comes to know of the peak.
    const auto list =
        desk_.next<BookListed>([](const BookListed& news) { return news.runs->front().peak_c.has_value(); });
    EXPECT_TRUE(list);
}

TEST_F(LibraryOfRuns, gathersTheRunsOfAReportInTheOrderAskedFor) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0), table("rod-02", 1.1), table("rod-03", 1.2)});
    ASSERT_THAT(ids, SizeIs(3));
    library_->reportRuns({ids[2], ids[0]}, 5);
    const auto first = desk_.next<ReportGathering>();
    ASSERT_TRUE(first);
    EXPECT_EQ(first->run, "rod-03");
    EXPECT_EQ(first->of, 2U);
    const auto gathered = desk_.next<ReportGathered>([](const ReportGathered& news) { return news.ticket == 5; });
    ASSERT_TRUE(gathered);
    ASSERT_THAT(gathered->runs, SizeIs(2));
    EXPECT_THAT(gathered->faults, SizeIs(0));
    EXPECT_EQ(gathered->runs[0].analysis->findings.run, "rod-03");
    EXPECT_EQ(gathered->runs[1].analysis->findings.run, "rod-01");
    // Once more, with another run and a note on the plot: what is known is not analysed again.
    book::Notes notes;
    notes.annotations = {{.text = "here"}};
    library_->setNotes(ids[0], notes);
    library_->reportRuns({ids[0], ids[1], ids[2]}, 6);
    const auto again = desk_.next<ReportGathered>([](const ReportGathered& news) { return news.ticket == 6; });
    ASSERT_TRUE(again);
    ASSERT_THAT(again->runs, SizeIs(3));
    EXPECT_EQ(again->runs[2].analysis, gathered->runs[0].analysis) << "the same object";
    EXPECT_THAT(again->runs[0].analysis->annotations, SizeIs(1));
    EXPECT_EQ(again->runs[0].analysis->findings, gathered->runs[1].analysis->findings);
}

TEST_F(LibraryOfRuns, tellsOfTheLatestReportAlone) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0), table("rod-02", 1.1)});
    ASSERT_THAT(ids, SizeIs(2));
    library_->reportRuns(ids, 1);
    library_->reportRuns({ids[1]}, 2);
    const auto gathered = desk_.next<ReportGathered>();
    ASSERT_TRUE(gathered);
    EXPECT_EQ(gathered->ticket, 2U);
    EXPECT_THAT(gathered->runs, SizeIs(1));
}

TEST_F(LibraryOfRuns, leavesOutOfAReportWhatIsNoLongerInTheBook) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0)});
    ASSERT_THAT(ids, SizeIs(1));
    library_->reportRuns({"no such run", ids[0]}, 1);
    const auto gathered = desk_.next<ReportGathered>();
    ASSERT_TRUE(gathered);
    EXPECT_THAT(gathered->runs, SizeIs(1));
}

std::string truth(const char* run) {
    return std::string(POTWATCH_SOURCE_DIR) + "/tests/reference/truth/" + run + ".csv";
}

TEST_F(LibraryOfRuns, fitsRunsOfTheBookAsTheirFilesAreFitted) {
    openNewBook();
    std::vector<std::string> names;
    std::vector<FileToOpen> files;
    for (const char* const run : {"s01", "s02", "s03", "s04"}) {
        names.push_back(truth(run));
        files.push_back({.file = truth(run), .options = {}});
    }
    const auto ids = importAll(names);
    ASSERT_THAT(ids, SizeIs(4));
    const FitFilesOptions options{.fit = {.find_catalyst_order = true}, .isoconversional = true};
    library_->fitRuns(ids, options, 7);
    const auto far_on = desk_.next<Fitting>([](const Fitting& news) { return news.fraction > 0.5; });
    ASSERT_TRUE(far_on);
    EXPECT_EQ(far_on->ticket, 7U);
    EXPECT_LE(far_on->fraction, 1.0);
    EXPECT_FALSE(far_on->doing.empty());
    const auto ended = desk_.next<FitEnded>();
    ASSERT_TRUE(ended);
    EXPECT_EQ(ended->ticket, 7U);
    ASSERT_TRUE(ended->fitted) << describe(ended->faults.front());
    const auto of_files = fitFiles(files, options);
    ASSERT_TRUE(of_files);
    EXPECT_EQ(ended->fitted->fit.kinetics.e1_kj_per_mol, of_files->fit.kinetics.e1_kj_per_mol);
    EXPECT_EQ(ended->fitted->fit.runs[1].adiabatic, of_files->fit.runs[1].adiabatic);
    EXPECT_NE(energiesOf(*ended->fitted), nullptr);
}

TEST_F(LibraryOfRuns, tellsWhyThereIsNoFitAndOnlyOfTheLatest) {
    openNewBook();
    const auto ids = importAll({truth("s03"), table("rod-01", 1.0)});
    ASSERT_THAT(ids, SizeIs(2));
    library_->fitRuns({ids[0]}, {}, 1);
    library_->fitRuns({ids[1]}, {}, 2); // the first is stopped, or was never begun
    auto ended = desk_.next<FitEnded>();
    if (ended && ended->ticket == 1U) { // it had ended before the second was asked for
        ended = desk_.next<FitEnded>();
    }
    ASSERT_TRUE(ended);
    EXPECT_EQ(ended->ticket, 2U);
    EXPECT_FALSE(ended->fitted);
    ASSERT_THAT(ended->faults, SizeIs(1));
    EXPECT_THAT(ended->faults.front().what, HasSubstr("the resin's mass is not stated"));
}

TEST_F(LibraryOfRuns, findsInTheBackgroundWhatTheListShows) {
    openNewBook();
    importAll({table("rod-01", 1.0), table("rod-02", 1.2)});
    const auto list = desk_.next<BookListed>([](const BookListed& news) {
        return news.runs->size() == 2 && news.runs->front().peak_c && news.runs->back().peak_c;
    });
    EXPECT_TRUE(list);
}

TEST_F(LibraryOfRuns, savesEditsInTheirOrderAndAnalysesTheLatest) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0)});
    library_->showRun(ids.front());
    ASSERT_TRUE(desk_.next<RunShown>([](const RunShown& news) { return news.complete; }));
    book::Notes notes;
    for (int i = 1; i <= 5; ++i) {
        notes.batch.name = "name " + std::to_string(i);
        notes.overrides = {{.landmark = LandmarkKind::onset, .time_s = 200.0 + i}};
        library_->setNotes(ids.front(), notes);
    }
    const auto shown =
        desk_.next<RunShown>([&](const RunShown& news) { return news.complete && news.view->notes == notes; });
    ASSERT_TRUE(shown);
    EXPECT_EQ(shown->view->analysis->findings.landmarks.onset->time_s.value, 205.0);
    library_.reset(); // what was asked for is done before it goes
    auto opened = book::Book::open(bookPath(), book::Access::read);
    ASSERT_TRUE(opened);
    EXPECT_EQ(opened->book.row(ids.front())->notes, notes);
}

TEST_F(LibraryOfRuns, correctsReadingsOnceByTheCalibrationInTheNotes) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0)});
    library_->showRun(ids.front());
    ASSERT_TRUE(desk_.next<RunShown>([](const RunShown& news) { return news.complete; }));
    book::Notes notes;
    const auto peakWith = [&](const char* words) -> std::optional<double> {
        notes.batch.notes = words;
        library_->setNotes(ids.front(), notes);
        const auto shown =
            desk_.next<RunShown>([&](const RunShown& news) { return news.complete && news.view->notes == notes; });
        return shown && shown->view->analysis ? std::optional(shown->view->analysis->findings.landmarks.peak->reading_c)
                                              : std::nullopt;
    };
    const std::optional<double> as_read_c = peakWith("as read");
    ASSERT_TRUE(as_read_c);
    notes.batch.probes = {
        {.channel = "pot_c", .role = ProbeRole::other, .calibration = ProbeCalibration{.ice_reading_c = 1.5}}};
    EXPECT_NEAR(peakWith("corrected").value_or(0.0), *as_read_c - 1.5, 1e-9);
    EXPECT_NEAR(peakWith("and not twice").value_or(0.0), *as_read_c - 1.5, 1e-9);
    notes.batch.probes[0].calibration->ice_reading_c = 2.5;
    EXPECT_NEAR(peakWith("otherwise").value_or(0.0), *as_read_c - 2.5, 1e-9);
    notes.batch.probes[0].calibration->ice_reading_c = 40.0; // which no probe reads in ice
    EXPECT_FALSE(peakWith("refused"));
    EXPECT_FALSE(peakWith("and still"));
    notes.batch.probes.clear();
    EXPECT_EQ(peakWith("as read again"), as_read_c);
}

TEST_F(LibraryOfRuns, losesNoEditWhenItEndsAtOnce) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0)});
    book::Notes notes;
    for (int i = 0; i < 50; ++i) {
        notes.batch.notes = std::to_string(i);
        library_->setNotes(ids.front(), notes);
    }
    library_.reset();
    auto opened = book::Book::open(bookPath(), book::Access::read);
    ASSERT_TRUE(opened);
    EXPECT_EQ(opened->book.row(ids.front())->notes.batch.notes, "49");
}

TEST_F(LibraryOfRuns, putsNoRunInTwiceAndSaysSo) {
    openNewBook();
    const std::string csv = table("rod-01", 1.0);
    const auto first = importAll({csv});
    library_->importFiles({{.file = csv, .options = {}}});
    const auto again = desk_.next<ImportEnded>();
    ASSERT_TRUE(again);
    EXPECT_TRUE(again->files.front().was_there);
    EXPECT_EQ(again->files.front().id, first.front());
}

TEST_F(LibraryOfRuns, tellsWhichFileCouldNotBeImportedAndKeepsTheOthers) {
    openNewBook();
    const std::string odd = file("odd.csv", "no table at all\n");
    library_->importFiles({{.file = odd, .options = {}}, {.file = table("rod-01", 1.0), .options = {}}});
    const auto imported = desk_.next<ImportEnded>();
    ASSERT_TRUE(imported);
    ASSERT_THAT(imported->files, SizeIs(2));
    EXPECT_THAT(imported->files[0].faults, SizeIs(testing::Ge(1)));
    EXPECT_FALSE(imported->files[1].id.empty());
}

TEST_F(LibraryOfRuns, withdrawsAndBringsBack) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0), table("rod-02", 1.2)});
    library_->setWithdrawn(ids, true);
    auto list = desk_.next<BookListed>([](const BookListed& news) { return news.edits == 1; });
    ASSERT_TRUE(list);
    EXPECT_TRUE(list->runs->front().row.withdrawn && list->runs->back().row.withdrawn);
    library_->setWithdrawn({ids.front()}, false);
    list = desk_.next<BookListed>([](const BookListed& news) { return news.edits == 2; });
    ASSERT_TRUE(list);
    EXPECT_EQ(std::count_if(list->runs->begin(), list->runs->end(), [](const auto& run) { return run.row.withdrawn; }),
              1);
}

TEST_F(LibraryOfRuns, followsWhatAnotherProcessWrites) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0)});
    auto other = book::Book::open(bookPath(), book::Access::write);
    ASSERT_TRUE(other);
    book::Notes notes;
    notes.batch.name = "renamed elsewhere";
    ASSERT_TRUE(other->book.setNotes(ids.front(), notes));
    const auto list = desk_.next<BookListed>(
        [](const BookListed& news) { return news.runs->front().row.name == "renamed elsewhere"; });
    EXPECT_TRUE(list);
}

TEST_F(LibraryOfRuns, refusesWhatIsNoBookAndOffersRepairOnlyWhereItMayHelp) {
    const std::string text = file("letter.txt", "Dear all,\n");
    library_->openBook(text, book::Access::write);
    auto refused = desk_.next<BookRefused>();
    ASSERT_TRUE(refused);
    EXPECT_EQ(refused->fault.kind, FaultKind::input);
    EXPECT_FALSE(refused->repairable);
    library_->openBook(path("nowhere.potbook"), book::Access::write);
    refused = desk_.next<BookRefused>();
    ASSERT_TRUE(refused);
    EXPECT_FALSE(refused->repairable);
}

TEST_F(LibraryOfRuns, keepsRemovedPhotosUntilTheyAreWantedBack) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0)});
    const std::string photo = file("rod.png", "\x89PNG\r\n\x1A\n....");
    library_->addPhoto(ids.front(), photo);
    library_->addPhoto(ids.front(), photo);
    EXPECT_EQ(desk_.next<PhotoAdded>()->name, "rod.png");
    EXPECT_EQ(desk_.next<PhotoAdded>()->name, "rod-2.png");
    library_->removePhoto(ids.front(), "rod.png");
    library_->putPhotoBack(ids.front(), "rod.png");
    library_->readPhoto(ids.front(), "rod.png", true);
    const auto read = desk_.next<PhotoRead>();
    ASSERT_TRUE(read);
    EXPECT_EQ(read->photo.media_type, "image/png");
    EXPECT_EQ(read->photo.bytes.size(), 12U);
    library_->addPhoto(ids.front(), table("rod-02", 1.0));
    EXPECT_THAT(desk_.next<Failed>()->fault.what, HasSubstr("no picture"));
}

TEST_F(LibraryOfRuns, previewsAFileBeforeAnythingIsKept) {
    library_->previewFile({.file = table("rod-01", 1.0), .options = {}}, 7);
    const auto ready = desk_.next<PreviewReady>();
    ASSERT_TRUE(ready);
    EXPECT_EQ(ready->ticket, 7U);
    EXPECT_EQ(ready->preview->rows_kept, 600U);
    EXPECT_EQ(ready->preview->span_s, 599.0);
    EXPECT_EQ(ready->preview->interval_s, 1.0);
    EXPECT_THAT(ready->preview->table.time_s, SizeIs(preview_rows));
    EXPECT_TRUE(ready->preview->faults.empty());
}

TEST_F(LibraryOfRuns, exportsSeveralRunsUnderNamesOfTheirOwn) {
    openNewBook();
    const auto ids = importAll({table("rod-01", 1.0), table("rod-02", 1.2)});
    const std::string out = path("out");
    std::filesystem::create_directory(out);
    library_->exportRuns(ids, out);
    ASSERT_TRUE(desk_.next<Done>());
    library_->exportRuns({ids.front()}, out);
    ASSERT_TRUE(desk_.next<Done>());
    for (const char* const name : {"rod-01.csv", "rod-02.csv", "rod-01-2.csv"}) {
        EXPECT_TRUE(std::filesystem::exists(out + '/' + name)) << name;
    }
}

} // namespace
} // namespace potwatch::session
