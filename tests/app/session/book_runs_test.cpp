// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"
#include "app/format/findings_json.h"
#include "app/session/book_runs.h"
#include "app/session/sample_data.h"
#include "tests/app/session/temporary_folder.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <cstdlib>

namespace potwatch::session {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

class BookRuns : public TemporaryFolder {
protected:
    book::Book book(const std::string& name = "rods.potbook") {
        Result<book::Opened> opened = openOrMakeBook(path(name));
        if (!opened) {
            ADD_FAILURE() << describe(opened.error());
            std::abort();
        }
        EXPECT_THAT(opened->notices, IsEmpty());
        return std::move(opened->book);
    }
};

Imported imported(book::Book& book, const std::string& file, const OpenOptions& options = {}) {
    const std::vector<FileToOpen> files{{.file = file, .options = options}};
    const std::vector<ImportOutcome> outcomes = importFiles(book, files);
    EXPECT_THAT(outcomes, SizeIs(1));
    EXPECT_TRUE(outcomes.front().result) << describe(outcomes.front().result.error().front());
    return outcomes.front().result ? *outcomes.front().result : Imported();
}

OpenedRun openedFrom(book::Book& book, const book::RunId& id) {
    tl::expected<OpenedRun, Faults> opened = openStored(*book.read(id));
    EXPECT_TRUE(opened) << describe(opened.error().front());
    return opened ? std::move(*opened) : OpenedRun();
}

// All findings, every digit of them, and the warnings of opening.
std::string findingsOf(const OpenedRun& opened) {
    const std::vector<Result<Analysis>> analyses = analyse(std::vector<potwatch::Run>{opened.run}, {});
    EXPECT_TRUE(analyses.front());
    std::string text = analyses.front() ? format::findingsJson(*analyses.front()).dump() : std::string();
    for (const std::string& warning : opened.warnings) {
        text += '\n' + warning;
    }
    return text;
}

void expectSameFindingsFromBook(book::Book& book, const std::string& file, const OpenOptions& options = {}) {
    const tl::expected<OpenedRun, Faults> direct = openRun(file, options);
    ASSERT_TRUE(direct) << describe(direct.error().front());
    const OpenedRun stored = openedFrom(book, imported(book, file, options).id);
    EXPECT_EQ(stored.run.batch.file, direct->run.batch.file);
    EXPECT_EQ(findingsOf(stored), findingsOf(*direct));
}

std::string casting(const std::string& header, double scale, double offset, const std::string& more = {}) {
    std::string text = header + '\n';
    for (int i = 0; i < 1500; ++i) {
        const double t = 2.0 * i;
        const double rise = 60.0 / (1.0 + std::exp(-(t - 600.0) / 40.0));
        const double left = t < 700.0 ? 1.0 : std::exp(-(t - 700.0) / 400.0);
        text += fmt::format("{},{:.3f}{}\n", t, (22.0 + rise * left) * scale + offset, more);
    }
    return text;
}

TEST_F(BookRuns, sampleRunGivesTheSameFindingsFromTheBook) {
    book::Book book = this->book();
    expectSameFindingsFromBook(book, POTWATCH_SOURCE_DIR "/sample-data/rod-03.csv");
}

TEST_F(BookRuns, truthRunGivesTheSameFindingsFromTheBook) {
    const std::string file = POTWATCH_SHARED_DIR "/truth/s03.csv";
    if (!std::filesystem::exists(file)) {
        GTEST_SKIP() << file << " is not here";
    }
    book::Book book = this->book();
    expectSameFindingsFromBook(book, file);
}

TEST_F(BookRuns, fahrenheitIsKeptAsReceivedAndGivesTheSameFindings) {
    book::Book book = this->book();
    const std::string csv = file("f.csv", casting("time_s,pot_f", 1.8, 32.0));
    expectSameFindingsFromBook(book, csv);
    EXPECT_EQ(book.read(imported(book, csv).id)->run.channels.at(0).unit, "degF");
}

TEST_F(BookRuns, millivoltsKeepTheirConversionAndGiveTheSameFindings) {
    book::Book book = this->book();
    const std::string csv = file("mv.csv", casting("time_s,pot_mv,air_c", 0.04, -0.8, ",21.5"));
    expectSameFindingsFromBook(book, csv, {.thermocouple = "K", .cold_junction = "air_c"});
    const book::StoredRun stored = *book.read(book.list()->front().id);
    EXPECT_EQ(stored.run.channels.at(0).unit, "mV");
    EXPECT_EQ(stored.conversion.thermocouple, "K");
}

TEST_F(BookRuns, fileThatCouldNotBeAnalysedIsNotTakenIn) {
    book::Book book = this->book();
    const std::vector<FileToOpen> files{{.file = file("mv.csv", casting("time_s,pot_mv", 0.04, -0.8))},
                                        {.file = path("nowhere.csv")},
                                        {.file = file("good.csv", casting("time_s,pot_c", 1.0, 0.0))}};
    const std::vector<ImportOutcome> outcomes = importFiles(book, files);
    ASSERT_THAT(outcomes, SizeIs(3));
    EXPECT_THAT(describe(outcomes[0].result.error().front()), HasSubstr("--thermocouple"));
    EXPECT_EQ(outcomes[1].result.error().front().kind, FaultKind::input);
    EXPECT_TRUE(outcomes[2].result);
    EXPECT_THAT(*book.list(), SizeIs(1));
}

TEST_F(BookRuns, theSameFileTwiceIsNoticed) {
    book::Book book = this->book();
    const std::string csv = file("rod.csv", casting("time_s,pot_c", 1.0, 0.0));
    EXPECT_FALSE(imported(book, csv).was_there);
    EXPECT_TRUE(imported(book, csv).was_there);
    EXPECT_THAT(*book.list(), SizeIs(1));
}

TEST_F(BookRuns, photoBesideTheBatchFileComesAlong) {
    book::Book book = this->book();
    const std::string csv = file("rod.csv", casting("time_s,pot_c", 1.0, 0.0));
    const std::string picture = "\x89PNG\r\n\x1A\nrest";
    (void)file("piece.png", picture);
    (void)file("rod.batch.toml", "format = 1\n[outcome]\nphoto = \"piece.png\"\n");
    const Imported first = imported(book, csv);
    EXPECT_THAT(first.warnings, IsEmpty());
    EXPECT_EQ(book.photo(first.id, "piece.png")->bytes, picture);
    EXPECT_EQ(book.photo(first.id, "piece.png")->media_type, "image/png");
}

TEST_F(BookRuns, missingPhotoIsToldAndKeepsNothingOut) {
    book::Book book = this->book();
    const std::string csv = file("rod.csv", casting("time_s,pot_c", 1.0, 0.0));
    (void)file("rod.batch.toml", "format = 1\n[outcome]\nphoto = \"piece.png\"\n");
    EXPECT_THAT(imported(book, csv).warnings, Contains(HasSubstr("piece.png")));
}

TEST_F(BookRuns, stoppedImportKeepsWhatIsInAndNamesTheRest) {
    book::Book book = this->book();
    const std::vector<FileToOpen> files{{.file = file("a.csv", casting("time_s,pot_c", 1.0, 0.0))},
                                        {.file = file("b.csv", casting("time_s,pot_c", 1.0, 1.0))}};
    std::stop_source stop;
    const Progress stop_after_first = [&](double fraction, std::string_view) {
        if (fraction > 0.499) {
            stop.request_stop();
        }
    };
    const std::vector<ImportOutcome> outcomes = importFiles(book, files, stop_after_first, stop.get_token());
    ASSERT_THAT(outcomes, SizeIs(2));
    EXPECT_TRUE(outcomes[0].result);
    EXPECT_EQ(outcomes[1].result.error().front().kind, FaultKind::cancelled);
    EXPECT_THAT(*book.list(), SizeIs(1));
}

TEST_F(BookRuns, exportedFilesGiveTheSameRunAgain) {
    for (const std::string& csv : {std::string(POTWATCH_SOURCE_DIR "/sample-data/rod-03.csv"),
                                   file("odd.csv", casting("time_s,pot_f,\"rpm, or so\",", 1.8, 32.0, ",7,0.1")),
                                   file("gaps.csv", casting("time (min),Temp (°C),flag", 1.0, 0.1, ","))}) {
        const std::string folder = path("out-" + std::filesystem::path(csv).stem().string());
        std::filesystem::create_directory(folder);
        book::Book first = this->book();
        const book::RunId id = imported(first, csv).id;
        const Result<Exported> exported = exportRun(first, id, folder, "again");
        ASSERT_TRUE(exported) << describe(exported.error());
        EXPECT_THAT(exported->warnings, IsEmpty()) << exported->warnings.front();

        book::Book second = this->book(std::filesystem::path(csv).stem().string() + "-second.potbook");
        const book::RunId back = imported(second, folder + "/again.csv").id;
        EXPECT_EQ(second.row(back)->content_hash, first.row(id)->content_hash) << csv;
        EXPECT_EQ(second.row(back)->name, first.row(id)->name);
        EXPECT_EQ(second.row(back)->started, first.row(id)->started);
    }
}

TEST_F(BookRuns, exportOverwritesNothing) {
    book::Book book = this->book();
    const book::RunId id = imported(book, file("rod.csv", casting("time_s,pot_c", 1.0, 0.0))).id;
    const std::string before = contentOf("rod.csv");
    const Result<Exported> exported = exportRun(book, id, folder_.string(), "rod");
    ASSERT_FALSE(exported);
    EXPECT_EQ(exported.error().kind, FaultKind::input);
    EXPECT_EQ(contentOf("rod.csv"), before);
}

TEST_F(BookRuns, exportSaysWhatItsFilesCannot) {
    book::Book book = this->book();
    const std::string csv = file("mv.csv", casting("time_s,pot_mv", 0.04, -0.8));
    const book::RunId id = imported(book, csv, {.thermocouple = "K", .cold_junction = "21.5"}).id;
    book::Notes notes = book.row(id)->notes;
    notes.overrides = {{.landmark = LandmarkKind::onset, .time_s = 5.0}};
    notes.tags = {"x"};
    ASSERT_TRUE(book.setNotes(id, notes));
    const Result<Exported> exported = exportRun(book, id, folder_.string(), "again");
    ASSERT_TRUE(exported) << describe(exported.error());
    EXPECT_THAT(exported->warnings, Contains(HasSubstr("--thermocouple K --cold-junction 21.5")));
    EXPECT_THAT(exported->warnings, Contains(HasSubstr("landmarks")));
    EXPECT_THAT(exported->warnings, Contains(HasSubstr("tags")));
}

TEST_F(BookRuns, exportIntoNoFolderLeavesNothing) {
    book::Book book = this->book();
    const book::RunId id = imported(book, file("rod.csv", casting("time_s,pot_c", 1.0, 0.0))).id;
    EXPECT_EQ(exportRun(book, id, path("nowhere"), "rod").error().kind, FaultKind::storage);
}

TEST_F(BookRuns, defaultBookIsInTheDataFolder) {
    const char* const home = std::getenv("HOME");
    const std::string before = home == nullptr ? std::string() : home;
    ::setenv("XDG_DATA_HOME", "/data", 1);
    EXPECT_EQ(defaultBookPath(), "/data/potwatch/batches.potbook");
    ::setenv("XDG_DATA_HOME", "relative", 1); // to be passed over, says the specification
    ::setenv("HOME", "/home/maker", 1);
    EXPECT_EQ(defaultBookPath(), "/home/maker/.local/share/potwatch/batches.potbook");
    ::unsetenv("XDG_DATA_HOME");
    ::setenv("HOME", before.c_str(), 1);
}

TEST_F(BookRuns, bookIsMadeWithItsFolders) {
    EXPECT_TRUE(openOrMakeBook(path("a/b/rods.potbook")));
    (void)file("taken", "");
    EXPECT_EQ(openOrMakeBook(path("taken/b/rods.potbook")).error().kind, FaultKind::storage);
}

} // namespace
} // namespace potwatch::session
