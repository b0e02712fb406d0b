// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/batch_file.h"
#include "io/batch/batch_format.h"
#include "tests/document.h"
#include "tests/io/batch/batch_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <clocale>
#include <filesystem>
#include <locale>

namespace potwatch::batch {
namespace {

using testing::HasSubstr;

TEST(BatchFile, readsEveryKeyOfTheFormat) {
    const Batch batch = read(test::tomlExampleOf("io/batch/FORMAT.md"));
    EXPECT_EQ(batch.name, "rod 03");
    EXPECT_EQ(batch.charge.resin_g, 80.0);
    EXPECT_EQ(batch.charge.boil_g_per_s_k, 0.05);
    ASSERT_EQ(batch.ingredients.size(), 2U);
    EXPECT_EQ(batch.ingredients[1].substance, "formalin");
    EXPECT_EQ(batch.ingredients[1].mass_fraction, 0.37);
    EXPECT_EQ(batch.vessel.loss_coefficient_w_per_k, 0.8);
    EXPECT_EQ(batch.surroundings.pressure_kpa, 101.325);
    ASSERT_TRUE(batch.dose.has_value());
    EXPECT_EQ(batch.dose->role, DoseRole::catalyst);
    ASSERT_EQ(batch.dose->steps.size(), 1U);
    EXPECT_EQ(batch.dose->steps[0].unit, DoseUnit::drop);
    EXPECT_EQ(batch.cure.c_stage_degree, 0.95);
    EXPECT_EQ(batch.weighed_loss_g, 0.5);
    EXPECT_EQ(batch.sensor_lag_s, 4.0);
    ASSERT_EQ(batch.probes.size(), 1U);
    EXPECT_EQ(batch.probes[0].role, ProbeRole::core);
    EXPECT_EQ(batch.uncertainty.thermocouple_k, 0.5);
    EXPECT_EQ(batch.pot_channel, "pot_c");
    ASSERT_EQ(batch.events.size(), 1U);
    EXPECT_EQ(batch.events[0].kind, "dose start");
    EXPECT_EQ(batch.outcome.foam, Foam::none);
    EXPECT_EQ(batch.outcome.solvent_test, SolventTest::insoluble);
}

TEST(BatchFile, formatPageNamesEveryKey) {
    const std::string page = test::documentText("io/batch/FORMAT.md");
    for (const KnownKey& known : knownKeys()) {
        const std::string path = known.table.empty() ? known.key : known.table + "." + known.key;
        const std::string entry =
            known.shape == Shape::value ? "| `" + known.key + "` |" : "`" + headerOf(path, known.shape) + "`";
        EXPECT_THAT(page, HasSubstr(entry));
    }
}

TEST(BatchFile, readsAnEmptyTextAsNothingStated) {
    Batch nothing;
    nothing.file = "rod.batch.toml";
    EXPECT_EQ(read(""), nothing);
    EXPECT_EQ(read("format = 1\n"), nothing);
}

TEST(BatchFile, acceptsWholeNumbersWhereAFractionMayStand) {
    EXPECT_EQ(read("[charge]\nresin_g = 80\n").charge.resin_g, 80.0);
    EXPECT_EQ(read("[dose]\nstart_s = -30\n").dose->start_s, -30.0);
}

TEST(BatchFile, readsInlineTablesAndDottedKeysAlike) {
    const Batch batch = read("charge.resin_g = 80\ningredient = [{substance = \"phenol\", mass_g = 20}]\n");
    EXPECT_EQ(batch.charge.resin_g, 80.0);
    ASSERT_EQ(batch.ingredients.size(), 1U);
    EXPECT_EQ(batch.ingredients[0].mass_g, 20.0);
}

TEST(BatchFile, readsWindowsLineEndsAndAByteOrderMark) {
    EXPECT_EQ(read("\xEF\xBB\xBF[batch]\r\nname = \"rod\"\r\n[charge]\r\nresin_g = 80\r\n").charge.resin_g, 80.0);
}

TEST(BatchFile, tellsAMomentWithAnOffsetFromAFloatingOne) {
    // 2026-03-14T09:05:00Z is 1773479100 s after 1970 (date -u -d 2026-03-14T09:05:00 +%s).
    const Batch fixed = read("[batch]\nstarted = 2026-03-14T10:05:00+01:00\n");
    EXPECT_EQ(fixed.started, (WallTime{.utc_us = 1'773'479'100'000'000, .offset_s = 3600}));
    const Batch floating = read("[batch]\nstarted = 2026-03-14 09:05:00.25\n");
    EXPECT_EQ(floating.started, (WallTime{.utc_us = 1'773'479'100'250'000, .offset_s = std::nullopt}));
}

TEST(BatchFile, namesFileAndReasonWhereAFileCannotBeRead) {
    const auto missing = readFile("no-such-folder/rod.batch.toml");
    ASSERT_FALSE(missing.has_value());
    EXPECT_EQ(missing.error().front().kind, FaultKind::storage);
    EXPECT_THAT(describe(missing.error().front()), HasSubstr("no-such-folder/rod.batch.toml: cannot be read: No such"));
    const auto folder = readFile(std::filesystem::temp_directory_path().string());
    ASSERT_FALSE(folder.has_value());
    EXPECT_EQ(folder.error().front().kind, FaultKind::storage);
}

TEST(BatchFile, refusesWhatIsFarTooLargeWithoutReadingItAll) {
    const auto endless = readFile("/dev/zero");
    ASSERT_FALSE(endless.has_value());
    EXPECT_THAT(describe(endless.error().front()), HasSubstr("too large for a batch file"));
}

TEST(BatchFile, refusesBytesThatAreNoText) {
    EXPECT_THAT(faultOf(std::string_view("\xFF\xFE[\0b\0", 6)), HasSubstr("save it as plain text in UTF-8"));
    EXPECT_THAT(faultOf("[batch]\nname = \"\xC3\x28\"\n"), HasSubstr("rod.batch.toml:2:"));
}

TEST(BatchFile, refusesANewerFormatAndSaysNothingElseOfIt) {
    const Faults faults = faultsOf("format = 2\n[charge]\nfuture_key = 1\n");
    ASSERT_EQ(faults.size(), 1U);
    EXPECT_EQ(faults[0].kind, FaultKind::unsupported);
    EXPECT_EQ(describe(faults[0]), "rod.batch.toml:1:10: format 2 is newer than this program, which reads format 1; "
                                   "open it with a newer Potwatch");
}

// Reads every batch file of a folder and writes it back.
void expectRoundTrips(const std::filesystem::path& folder) {
    std::size_t count = 0;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        if (entry.path().string().ends_with(".batch.toml")) {
            const tl::expected<Batch, Faults> batch = readFile(entry.path().string());
            ASSERT_TRUE(batch.has_value()) << describe(batch.error().front());
            Batch again = read(write(*batch));
            again.file = batch->file;
            EXPECT_EQ(again, *batch) << entry.path();
            ++count;
        }
    }
    EXPECT_GT(count, 0U);
}

TEST(BatchFile, readsTheTruthRunsAndWritesThemBackEqual) {
    const std::filesystem::path folder = std::filesystem::path(POTWATCH_SHARED_DIR) / "truth";
    if (!std::filesystem::exists(folder)) {
        GTEST_SKIP() << "the shared truth runs are not here";
    }
    expectRoundTrips(folder);
}

TEST(BatchFile, writesTheExampleSoThatItReadsBackEqual) {
    const Batch batch = read(test::tomlExampleOf("io/batch/FORMAT.md"));
    EXPECT_EQ(read(write(batch)), batch);
}

TEST(BatchFile, writesAnEmptyBatchAsItsFormatAlone) {
    EXPECT_EQ(write(Batch{}), "format = 1\n");
}

TEST(BatchFile, writesTextsWithQuotesLinesAndControlCharacters) {
    Batch batch;
    batch.file = "rod.batch.toml";
    batch.notes = "\"80 °C\" \\ stirred\n\tslowly\x01\x7F\r";
    EXPECT_EQ(read(write(batch)), batch);
}

TEST(BatchFile, writesNumbersThatReadBackBitForBit) {
    for (const double value : {0.1, 1.0 / 3.0, 5e-324, 1.7976931348623157e308, 1e22, 123456789012345680.0, 80.0}) {
        Batch batch;
        batch.file = "rod.batch.toml";
        batch.charge.resin_g = value;
        EXPECT_EQ(read(write(batch)).charge.resin_g, value);
    }
}

TEST(BatchFile, writesMomentsThatReadBackEqual) {
    for (const WallTime moment :
         {WallTime{.utc_us = 1'773'479'100'000'001, .offset_s = -12'600}, WallTime{.utc_us = -1, .offset_s = 0},
          WallTime{.utc_us = 1'773'479'100'250'000, .offset_s = std::nullopt}}) {
        Batch batch;
        batch.file = "rod.batch.toml";
        batch.started = moment;
        EXPECT_EQ(read(write(batch)).started, moment) << write(batch);
    }
}

TEST(BatchFile, leavesOutAMomentThatTomlCannotWrite) {
    Batch batch;
    batch.started = WallTime{.utc_us = std::numeric_limits<std::int64_t>::max(), .offset_s = 3600};
    EXPECT_EQ(write(batch), "format = 1\n");
}

// A locale with a decimal comma for the length of a test.
class CommaLocale {
public:
    CommaLocale() {
        std::setlocale(LC_ALL, "de_DE.UTF-8"); // where it is installed
        std::locale::global(std::locale(std::locale::classic(), new Comma));
    }
    ~CommaLocale() {
        std::locale::global(std::locale::classic());
        std::setlocale(LC_ALL, "C");
    }
    CommaLocale(const CommaLocale&) = delete;
    CommaLocale& operator=(const CommaLocale&) = delete;

private:
    struct Comma : std::numpunct<char> {
        char do_decimal_point() const override { return ','; }
        char do_thousands_sep() const override { return '.'; }
        std::string do_grouping() const override { return "\3"; }
    };
};

TEST(BatchFile, readsAndWritesAPointUnderACommaLocale) {
    const CommaLocale locale;
    const Batch batch = read("[charge]\nresin_g = 1080.5\n[batch]\nstarted = 2026-03-14T10:05:00.5\n");
    EXPECT_EQ(batch.charge.resin_g, 1080.5);
    EXPECT_EQ(write(batch),
              "format = 1\n\n[batch]\nstarted = 2026-03-14T10:05:00.500000\n\n[charge]\nresin_g = 1080.5\n");
    EXPECT_THAT(faultOf("[charge]\nresin_g = -1080.5"), HasSubstr("resin_g in [charge] is -1080.5"));
}

} // namespace
} // namespace potwatch::batch
