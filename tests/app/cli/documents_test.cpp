// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"
#include "tests/document.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <filesystem>
#include <iterator>
#include <regex>
#include <sstream>

namespace potwatch::test {
namespace {

namespace fs = std::filesystem;
using Documents = CommandLine;

// A command of the README and what stands below it.
struct Shown {
    std::vector<std::string> words; // after "potwatch"
    std::string output;             // without empty lines at its end
};

std::string withoutLastEmptyLines(std::string text) {
    text.erase(text.find_last_not_of('\n') + 1);
    return text;
}

// The commands that are shown with their output: an indented line "$ potwatch ..." and what is indented or empty below.
std::vector<Shown> shownIn(const std::string& page) {
    const std::string prompt = "    $ potwatch ";
    std::vector<Shown> all;
    bool within = false;
    std::istringstream lines(page);
    for (std::string line; std::getline(lines, line);) {
        if (line.starts_with(prompt)) {
            std::istringstream words(line.substr(prompt.size()));
            all.push_back({{std::istream_iterator<std::string>(words), {}}, {}});
            within = true;
        } else if (within && (line.empty() || line.starts_with("    "))) {
            all.back().output += line.substr(std::min<std::size_t>(line.size(), 4)) + "\n";
        } else {
            within = false;
        }
    }
    for (Shown& shown : all) {
        shown.output = withoutLastEmptyLines(shown.output);
    }
    std::erase_if(all, [](const Shown& shown) { return shown.output.empty(); });
    return all;
}

// Every page of the documentation, named from the top level.
std::vector<std::string> pages() {
    const fs::path top = POTWATCH_SOURCE_DIR;
    std::vector<std::string> all;
    const auto add = [&](const fs::directory_entry& entry) {
        if (entry.path().extension() == ".md") {
            all.push_back(fs::relative(entry.path(), top).string());
        }
    };
    std::ranges::for_each(fs::directory_iterator(top), add);
    for (const char* const folder : {"analysis", "app", "io", "sample-data", "tests"}) {
        std::ranges::for_each(fs::recursive_directory_iterator(top / folder), add);
    }
    return all;
}

TEST_F(Documents, linkToWhatIsThere) {
    ASSERT_THAT(pages(), ::testing::Contains("README.md"));
    const std::regex link(R"(\]\(([^)#\s]+)[^)]*\))");
    for (const std::string& page : pages()) {
        const std::string text = documentText(page);
        for (std::sregex_iterator at(text.begin(), text.end(), link); at != std::sregex_iterator(); ++at) {
            const std::string target = (*at)[1];
            if (!target.starts_with("http")) {
                const fs::path linked = fs::path(POTWATCH_SOURCE_DIR) / fs::path(page).parent_path() / target;
                EXPECT_TRUE(fs::exists(linked)) << page << " links to " << target;
            }
        }
    }
}

TEST_F(Documents, readmeShowsWhatTheCommandsPrint) {
    const std::vector<Shown> all = shownIn(documentText("README.md"));
    ASSERT_EQ(all.size(), 3U) << "inspect, analyse with the trace alone, analyse with a batch file";
    fs::copy_file(POTWATCH_SOURCE_DIR "/sample-data/rod-04.csv", path("my-cure.csv"));
    for (const Shown& shown : all) {
        if (&shown == &all.back()) {
            (void)file("my-cure.batch.toml", tomlExampleOf("README.md"));
        }
        const Outcome outcome = potwatch(shown.words, {.folder = folder_.string()});
        if (&shown == &all.back() && outcome.exit_code == 3) {
            GTEST_SKIP() << "this build or machine draws no plots: " << outcome.err;
        }
        EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
        EXPECT_EQ(withoutLastEmptyLines(outcome.out), shown.output);
    }
}

} // namespace
} // namespace potwatch::test
