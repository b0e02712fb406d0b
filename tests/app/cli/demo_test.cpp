// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"

#include <gmock/gmock.h>

#include <filesystem>
#include <fstream>

namespace potwatch::test {
namespace {

using Demo = CommandLine;
using nlohmann::json;
using ::testing::HasSubstr;

bool exists(const std::string& path) {
    return std::filesystem::exists(path);
}

TEST_F(Demo, analysesEverythingIntoAFolderThatItNames) {
    const Outcome outcome = potwatch({"demo"}, {.folder = folder_.string()});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_THAT(outcome.out, HasSubstr("Everything is in potwatch-demo."));
    for (const char* run : {"rod 01", "rod 02", "rod 03", "rod 04", "rod 05", "rod 06", "rod 07"}) {
        EXPECT_THAT(outcome.out, HasSubstr(run));
    }
    std::ifstream stream(path("potwatch-demo/findings.json"));
    const json findings = json::parse(stream);
    EXPECT_EQ(findings.at("runs").size(), 8U); // seven castings and the blank
    for (const char* name : {"data/rod-03.csv", "data/rod-03.batch.toml", "series/rod-03.csv"}) {
        EXPECT_TRUE(exists(path(std::string("potwatch-demo/") + name))) << name;
    }
}

TEST_F(Demo, runsAgainIntoItsOwnFolderButNeverIntoAnother) {
    const std::string own = path("own");
    EXPECT_EQ(potwatch({"demo", own}).exit_code, 0);
    const Outcome again = potwatch({"demo", own, "--json"});
    EXPECT_EQ(again.exit_code, 0) << again.err;
    EXPECT_EQ(again.json().at("folder"), own);
    const std::string keepsake = file("keepsake.txt", "mine");
    expectOneFault(potwatch({"demo", folder_.string()}), 1, "name a new folder");
    EXPECT_FALSE(exists(path("data")));
}

TEST_F(Demo, dataAreWrittenWhereAskedAndNeverOverAnotherFile) {
    const std::string folder = path("data");
    const Outcome first = potwatch({"demo-data", folder, "--json"});
    ASSERT_EQ(first.exit_code, 0) << first.err;
    EXPECT_TRUE(exists(folder + "/rod-07.batch.toml"));
    EXPECT_EQ(potwatch({"demo-data", folder}).exit_code, 0);
    std::ofstream(folder + "/rod-01.csv") << "time_s,pot_c\n0,20\n";
    expectOneFault(potwatch({"demo-data", folder}), 1, "rod-01.csv");
    EXPECT_EQ(std::filesystem::file_size(folder + "/rod-01.csv"), 18U);
    expectOneFault(potwatch({"demo-data"}), 2, "FOLDER");
}

TEST_F(Demo, folderThatCannotBeMadeIsAStorageFault) {
    const std::string blocked = file("blocked", "a file where a folder should be");
    expectOneFault(potwatch({"demo-data", blocked + "/data"}), 3, "blocked");
}

} // namespace
} // namespace potwatch::test
