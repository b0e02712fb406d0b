// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <fstream>
#include <iterator>

namespace potwatch::test {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

class BookCommand : public CommandLine {
protected:
    [[nodiscard]] std::string book() const { return path("rods.potbook"); }
    [[nodiscard]] std::string contentOf(const std::string& file) const {
        std::ifstream stream(file, std::ios::binary);
        return {std::istreambuf_iterator<char>(stream), {}};
    }
    [[nodiscard]] Outcome run(std::vector<std::string> words) const {
        words.insert(words.begin(), {"book", book()});
        return potwatch(words);
    }
    // A table with its batch file in the book.
    std::string importCasting(const std::string& name = "rod 05") {
        const std::string csv = file("rod-05.csv", castingCsv());
        (void)file("rod-05.batch.toml", fmt::format("format = 1\n[batch]\nname = \"{}\"\nbased_on = \"rod 04\"\n"
                                                    "started = 2026-03-05T10:00:00+01:00\n[charge]\nresin_g = 80.5\n",
                                                    name));
        const Outcome outcome = run({"import", csv});
        EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
        return csv;
    }
};

TEST_F(BookCommand, importsAndLists) {
    const std::string csv = importCasting();
    const Outcome listed = run({"list", "--json"});
    EXPECT_EQ(listed.exit_code, 0) << listed.err;
    EXPECT_EQ(listed.json()["format"], 1);
    ASSERT_EQ(listed.json()["runs"].size(), 1U);
    const json found = listed.json()["runs"].at(0);
    EXPECT_EQ(found["name"], "rod 05");
    EXPECT_EQ(found["started"], "2026-03-05T10:00:00+01:00");
    EXPECT_EQ(found["samples"], 1500);
    EXPECT_EQ(found["span_s"], 2998.0);
    EXPECT_EQ(found["channels"], json({"pot_c"}));
    EXPECT_EQ(found["based_on"], "rod 04");
    EXPECT_EQ(found["state"], "complete");
    EXPECT_EQ(found["source_file"], csv);
    EXPECT_TRUE(found["findings"].is_null());
    const std::string text = run({"list"}).out;
    EXPECT_THAT(text, HasSubstr("1 run\n"));
    EXPECT_THAT(text, HasSubstr("rod 05"));
    EXPECT_THAT(text, HasSubstr("2026-03-05T10:00:00+01:00"));
}

TEST_F(BookCommand, noticesARunThatIsThere) {
    const std::string csv = importCasting();
    const Outcome again = run({"import", csv, "--json"});
    EXPECT_EQ(again.exit_code, 0) << again.err;
    EXPECT_EQ(again.json()["imported"].at(0)["was_there"], true);
    EXPECT_THAT(run({"import", csv}).out, HasSubstr("is in the book already"));
    EXPECT_EQ(run({"list", "--json"}).json()["runs"].size(), 1U);
}

TEST_F(BookCommand, badFileDoesNotKeepTheOthersOut) {
    const std::string good = file("good.csv", castingCsv());
    const Outcome outcome = run({"import", path("nowhere.csv"), good});
    expectOneFault(outcome, 1, "nowhere.csv");
    EXPECT_THAT(outcome.out, HasSubstr("run \"good\" 1500 samples added"));
}

TEST_F(BookCommand, exportImportsBackToTheSameRun) {
    importCasting();
    const Outcome exported = run({"export", "rod 05", "--into", path("out"), "--json"});
    EXPECT_EQ(exported.exit_code, 0) << exported.err;
    EXPECT_EQ(exported.json()["warnings"], json::array());
    EXPECT_EQ(exported.json()["written"], json({path("out/rod-05.csv"), path("out/rod-05.batch.toml")}));
    const json before = run({"list", "--json"}).json()["runs"].at(0);
    EXPECT_EQ(potwatch({"book", path("second.potbook"), "import", path("out/rod-05.csv")}).exit_code, 0);
    const json after = potwatch({"book", path("second.potbook"), "list", "--json"}).json()["runs"].at(0);
    for (const char* const key : {"content_hash", "name", "started", "samples", "span_s", "channels", "based_on"}) {
        EXPECT_EQ(after[key], before[key]) << key;
    }
    const json direct = potwatch({"analyse", path("rod-05.csv"), "--json"}).json()["runs"].at(0);
    json back = potwatch({"analyse", path("out/rod-05.csv"), "--json"}).json()["runs"].at(0);
    back["file"] = direct["file"];
    EXPECT_EQ(back, direct);
}

TEST_F(BookCommand, exportTakesAllRunsAndTellsTwinsApart) {
    importCasting();
    const std::string twin = file("twin.csv", idleCsv());
    (void)file("twin.batch.toml", "format = 1\n[batch]\nname = \"rod 05\"\n");
    EXPECT_EQ(run({"import", twin}).exit_code, 0);
    EXPECT_EQ(run({"export", "--into", path("out")}).exit_code, 0);
    EXPECT_TRUE(std::filesystem::exists(path("out/rod-05.csv")));
    EXPECT_TRUE(std::filesystem::exists(path("out/rod-05-2.csv")));
}

TEST_F(BookCommand, exportOverwritesNothing) {
    importCasting();
    std::filesystem::create_directory(path("out"));
    (void)file("out/rod-05.csv", "mine");
    expectOneFault(run({"export", "--into", path("out")}), 1, "nothing is overwritten");
    EXPECT_EQ(contentOf(path("out/rod-05.csv")), "mine");
}

TEST_F(BookCommand, runThatIsNotThereIsNamed) {
    importCasting();
    expectOneFault(run({"export", "rod 99", "--into", path("out")}), 1, "has no run \"rod 99\"");
}

TEST_F(BookCommand, checkPassesASoundBook) {
    importCasting();
    const Outcome outcome = run({"check", "--json"});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.json()["sound"], true);
    EXPECT_THAT(run({"check"}).out, HasSubstr("1 run, no fault"));
}

TEST_F(BookCommand, checkNamesDamageAndSavesTheRest) {
    importCasting();
    std::string bytes = contentOf(book());
    const double value = 22.0; // the reading before anything happens stands there often
    const std::size_t at = bytes.find(std::string(reinterpret_cast<const char*>(&value), sizeof(value)));
    ASSERT_NE(at, std::string::npos);
    bytes[at + 2] = 'x';
    (void)file("rods.potbook", bytes);
    const Outcome damaged = run({"check"});
    expectOneFault(damaged, 1, "check --repaired COPY");
    EXPECT_THAT(damaged.out, HasSubstr("are damaged"));
    const Outcome repaired = run({"check", "--repaired", path("saved.potbook"), "--json"});
    EXPECT_EQ(repaired.exit_code, 1);
    EXPECT_THAT(repaired.json()["repaired"]["said"].dump(), HasSubstr("are lost"));
    EXPECT_EQ(potwatch({"book", path("saved.potbook"), "check"}).exit_code, 0);
    EXPECT_EQ(contentOf(book()), bytes);
}

TEST_F(BookCommand, checkSavesABookThatIsCutOffAndSaysToUseTheCopy) {
    std::string csv = "time_s,pot_c\n";
    for (int i = 0; i < 30'000; ++i) { // its samples reach to the end of the file
        csv += std::to_string(i) + "," + std::to_string(20.0 + 0.001 * i) + "\n";
    }
    EXPECT_EQ(run({"import", file("long.csv", csv)}).exit_code, 0);
    const std::string bytes = contentOf(book());
    (void)file("rods.potbook", bytes.substr(0, bytes.size() * 9 / 10));
    expectOneFault(run({"check"}), 1, "check --repaired COPY");
    const Outcome repaired = run({"check", "--repaired", path("saved.potbook")});
    expectOneFault(repaired, 1, "in its place");
    EXPECT_THAT(repaired.out, HasSubstr("cut off: 90 %"));
    EXPECT_EQ(potwatch({"book", path("saved.potbook"), "check"}).exit_code, 0);
}

TEST_F(BookCommand, whatIsNoBookIsTheInputsFault) {
    const std::string csv = file("rod.csv", castingCsv());
    for (const char* const action : {"list", "check"}) {
        expectOneFault(potwatch({"book", csv, action}), 1, "is no batch book");
        expectOneFault(potwatch({"book", path("nowhere.potbook"), action}), 1, "no such file");
    }
    expectOneFault(potwatch({"book", csv, "import", csv}), 1, "is no batch book");
    EXPECT_EQ(contentOf(csv), castingCsv());
}

TEST_F(BookCommand, readOnlyBookIsListedAndRefusesAnImport) {
    importCasting();
    const std::string other = file("other.csv", idleCsv());
    std::filesystem::permissions(other, std::filesystem::perms::others_read, std::filesystem::perm_options::add);
    std::filesystem::permissions(book(), std::filesystem::perms::owner_read | std::filesystem::perms::others_read);
    std::filesystem::permissions(folder_, std::filesystem::perms::owner_read | std::filesystem::perms::owner_exec |
                                              std::filesystem::perms::others_read |
                                              std::filesystem::perms::others_exec);
    const Start start{.as_nobody = ::geteuid() == 0};
    const Outcome listed = potwatch({"book", book(), "list"}, start);
    const Outcome imported = potwatch({"book", book(), "import", other}, start);
    std::filesystem::permissions(folder_, std::filesystem::perms::owner_all);
    EXPECT_EQ(listed.exit_code, 0) << listed.err;
    EXPECT_THAT(listed.out, HasSubstr("reading only"));
    EXPECT_THAT(listed.out, HasSubstr("rod 05"));
    expectOneFault(imported, 3, "may be read, but not changed");
}

TEST_F(BookCommand, interruptedImportLeavesWhatIsWhole) {
    const std::string good = file("good.csv", castingCsv());
    const Outcome outcome = potwatch({"book", book(), "import", good, "-"}, {.interrupt = true});
    EXPECT_EQ(outcome.exit_code, 130) << outcome.err;
    EXPECT_EQ(run({"check"}).exit_code, 0);
}

TEST_F(BookCommand, wrongUsageIsTold) {
    expectOneFault(potwatch({"book"}), 2, "FILE");
    expectOneFault(potwatch({"book", book()}), 2, "list, import, export or check");
    expectOneFault(run({"import"}), 2, "FILE");
    expectOneFault(run({"export"}), 2, "--into");
    EXPECT_FALSE(std::filesystem::exists(book()));
}

TEST_F(BookCommand, helpShowsTheWholeCommand) {
    EXPECT_THAT(potwatch({"book", "--help"}).out, HasSubstr("Usage: potwatch book FILE ACTION"));
    const std::string help = potwatch({"book", "import", "--help"}).out;
    EXPECT_THAT(help, HasSubstr("Usage: potwatch book FILE import FILE..."));
    EXPECT_THAT(help, HasSubstr("Example:\n  potwatch book"));
}

} // namespace
} // namespace potwatch::test
