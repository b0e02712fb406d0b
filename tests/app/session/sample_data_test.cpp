// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/sample_data.h"
#include "app/session/sample_scenario.h"
#include "io/batch/batch_file.h"
#include "io/csv/import.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>

namespace potwatch::session {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

class SampleData : public TemporaryFolder {
protected:
    static std::string bytesOf(const fs::path& file) {
        std::ifstream stream(file, std::ios::binary);
        return {std::istreambuf_iterator<char>(stream), {}};
    }
};

TEST_F(SampleData, isWhatStandsInTheSourceTree) {
    const auto written = writeSampleData(path("made"));
    ASSERT_TRUE(written) << describe(written.error());
    ASSERT_EQ(written->size(), 17U);
    const fs::path committed = fs::path(POTWATCH_SOURCE_DIR) / "sample-data";
    for (const std::string& file : *written) {
        const std::string name = fs::path(file).filename().string();
        const std::string expected = bytesOf(committed / name);
        EXPECT_TRUE(!expected.empty() && bytesOf(file) == expected)
            << name << " differs from the committed one: run `potwatch demo-data sample-data` again";
    }
    EXPECT_EQ(std::distance(fs::directory_iterator(committed), fs::directory_iterator()), 17);
}

TEST_F(SampleData, saysThatItIsInvented) {
    ASSERT_TRUE(writeSampleData(path("made")));
    EXPECT_THAT(contentOf("made/README.md"), HasSubstr("Invented data"));
    for (const SampleRun& run : sampleRuns()) {
        EXPECT_THAT(contentOf("made/" + run.file + ".batch.toml"), HasSubstr("Invented data"));
    }
}

TEST_F(SampleData, isReadByTheImporterWithoutARefusedRow) {
    const auto written = writeSampleData(path("made"));
    ASSERT_TRUE(written);
    for (const std::string& file : *written) {
        if (fs::path(file).extension() == ".csv") {
            const auto table = csv::readFile(file, {});
            ASSERT_TRUE(table) << describe(table.error());
            EXPECT_EQ(table->rows_refused + table->clock_fault_count, 0U) << file;
            EXPECT_EQ(table->channels.size(), 2U);
            EXPECT_LT(fs::file_size(file), 300'000U);
        }
    }
}

TEST_F(SampleData, hasBatchFilesThatSayWhatTheirRunsHold) {
    ASSERT_TRUE(writeSampleData(path("made")));
    for (const SampleRun& run : sampleRuns()) {
        const auto batch = batch::readFile(path("made/" + run.file + ".batch.toml"));
        ASSERT_TRUE(batch) << run.file;
        Batch expected = record(run)->batch;
        expected.file = batch->file;
        EXPECT_EQ(*batch, expected) << run.file;
    }
}

TEST_F(SampleData, namesAFolderThatCannotBeMade) {
    const std::string taken = file("taken", "a file");
    const auto written = writeSampleData(taken + "/inside");
    ASSERT_FALSE(written);
    EXPECT_EQ(written.error().kind, FaultKind::storage);
    EXPECT_THAT(written.error().where.file, HasSubstr("taken/inside"));
}

TEST(SampleScenario, goesFromACoolRunToOneThatBoilsAndFoams) {
    const auto runs = sampleRuns();
    ASSERT_EQ(runs.size(), 8U);
    EXPECT_EQ(record(runs.front())->batch.outcome.foam, Foam::none);
    EXPECT_EQ(record(runs[6])->batch.outcome.foam, Foam::through);
    EXPECT_TRUE(runs.back().batch.blank);
    for (std::size_t i = 1; i < 7; ++i) {
        EXPECT_GT(runs[i].batch.dose->rate_g_per_min, runs[i - 1].batch.dose->rate_g_per_min);
        EXPECT_EQ(runs[i].batch.based_on, runs[i - 1].batch.name);
    }
}

TEST(SampleScenario, isRecordedUntilThePotIsCold) {
    for (const SampleRun& run : sampleRuns()) {
        const std::vector<double> end_s{run.duration_s};
        const auto states = forecast::simulatePot(run.pot, end_s);
        ASSERT_TRUE(states);
        EXPECT_LT(states->front().temperature_c - run.pot.surroundings_c, 0.5) << run.file;
    }
}

} // namespace
} // namespace potwatch::session
