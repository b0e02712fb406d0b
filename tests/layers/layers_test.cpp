// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/layers/include_rules.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace potwatch::layers {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

const std::filesystem::path top = POTWATCH_SOURCE_DIR;

std::string textOf(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

bool isSource(const std::filesystem::path& file) {
    return file.extension() == ".h" || file.extension() == ".cpp";
}

// Paths relative to the top, of every source below a folder.
std::vector<std::string> sourcesOf(const std::string& folder) {
    std::vector<std::string> sources;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(top / folder)) {
        if (entry.is_regular_file() && isSource(entry.path())) {
            sources.push_back(std::filesystem::relative(entry.path(), top).generic_string());
        }
    }
    std::sort(sources.begin(), sources.end());
    return sources;
}

// What builds and the demo write, as .gitignore has it.
bool isOutput(const std::string& name) {
    return name.starts_with('.') || name.starts_with("build") || name.starts_with("potwatch-demo");
}

std::vector<std::string> foldersIn(const std::filesystem::path& folder) {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        const std::string name = entry.path().filename().string();
        if (entry.is_directory() && !isOutput(name)) {
            names.push_back(name);
        }
    }
    std::sort(names.begin(), names.end());
    return names;
}

class Layers : public testing::TestWithParam<const char*> {};

TEST_P(Layers, keepTheirRules) {
    const std::vector<std::string> sources = sourcesOf(GetParam());
    EXPECT_FALSE(sources.empty());
    for (const std::string& source : sources) {
        for (const Breach& breach : breachesOf(source, textOf(top / source), projectRules())) {
            ADD_FAILURE() << breach;
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Folders, Layers, testing::Values("analysis", "io", "app"));

TEST(Folders, haveTheNamesAgreed) {
    using testing::IsSubsetOf;
    EXPECT_THAT(foldersIn(top), IsSubsetOf({"analysis", "app", "io", "sample-data", "tests"}));
    EXPECT_THAT(foldersIn(top / "analysis"),
                IsSubsetOf({"chemistry", "compare", "cure", "findings", "forecast", "heat", "kinetics", "landmarks",
                            "signal", "thermocouple", "values", "watch"}));
    EXPECT_THAT(foldersIn(top / "io"),
                IsSubsetOf({"batch", "book", "calibration", "csv", "kinetics", "mould", "serial"}));
    EXPECT_THAT(foldersIn(top / "app"),
                IsSubsetOf({"cli", "forecast", "format", "packaging", "pictures", "report", "session", "window"}));
}

TEST(Files, areNamedForAConceptAndStateTheirLicence) {
    for (const char* const folder : {"analysis", "io", "app", "tests"}) {
        for (const std::string& source : sourcesOf(folder)) {
            for (const char* const vague : {"util", "helper", "common", "manager"}) {
                EXPECT_THAT(source, Not(HasSubstr(vague)));
            }
            EXPECT_TRUE(textOf(top / source).starts_with("// SPDX-License-Identifier: GPL-3.0-or-later\n")) << source;
        }
    }
}

// The checker itself, on invented texts.

std::vector<Breach> check(std::string_view path, std::string_view text) {
    return breachesOf(path, text, projectRules());
}

TEST(IncludeRules, findABrokenIncludeAndNameFileLineAndTheAllowedSet) {
    EXPECT_THAT(check("io/csv/import.cpp", "// a line\n#include <vector>\n#include \"analysis/heat/balance.h\"\n"),
                ElementsAre("io/csv/import.cpp:3: includes \"analysis/heat/balance.h\"; io/csv/ may include "
                            "analysis/values, io/csv"));
    EXPECT_THAT(check("analysis/heat/balance.h", "#include \"io/csv/import.h\"\n"),
                ElementsAre(HasSubstr("analysis/ may include analysis")));
}

TEST(IncludeRules, knowWhatAnalysisMayNotTouch) {
    EXPECT_THAT(check("analysis/heat/balance.cpp", "#include <QString>\n#include <fstream>\n#include <iostream>\n"
                                                   "#include <filesystem>\n#include <cstdio>\n"),
                testing::SizeIs(5));
    EXPECT_THAT(check("analysis/heat/noise.cpp", "int f() {\n    return std::random_device{}();\n}\n"),
                ElementsAre(HasSubstr("analysis/heat/noise.cpp:2: uses random_device")));
    EXPECT_THAT(check("analysis/heat/noise.cpp", "auto t = std::chrono::steady_clock::now();"),
                ElementsAre(HasSubstr(":1: uses steady_clock")));
}

TEST(IncludeRules, letValuesIncludeValuesAlone) {
    EXPECT_THAT(check("analysis/values/run.h", "#include \"analysis/values/batch.h\"\n"), IsEmpty());
    EXPECT_THAT(check("analysis/values/run.h", "#include \"analysis/signal/noise.h\"\n"), testing::SizeIs(1));
    EXPECT_THAT(check("analysis/heat/balance.h", "#include \"analysis/signal/noise.h\"\n"), IsEmpty());
}

TEST(IncludeRules, keepQtOutOfAllButTheEdge) {
    for (const char* const path : {"io/csv/a.cpp", "io/batch/a.cpp", "io/book/a.cpp", "app/cli/a.cpp",
                                   "app/session/a.cpp", "app/format/a.cpp", "analysis/heat/a.cpp"}) {
        EXPECT_THAT(check(path, "#include <QtCore/QString>\n"), testing::SizeIs(1)) << path;
    }
    EXPECT_THAT(check("io/serial/line.cpp", "#include <QSerialPort>\n"), testing::SizeIs(1));
    EXPECT_THAT(check("io/serial/port/port.cpp", "#include <QSerialPort>\n"), IsEmpty());
    EXPECT_THAT(check("app/window/page.cpp", "#include <QWidget>\n"), IsEmpty());
}

TEST(IncludeRules, keepFilesAndTheCommandLineOutOfTheWindow) {
    for (const char* const include : {"#include <fstream>\n", "#include <filesystem>\n", "#include <sqlite3.h>\n",
                                      "#include \"app/cli/output.h\"\n"}) {
        EXPECT_THAT(check("app/window/page.cpp", include), testing::SizeIs(1)) << include;
    }
    EXPECT_THAT(check("app/window/page.cpp", "#include \"app/session/library.h\"\n"), IsEmpty());
}

TEST(IncludeRules, letNothingBelowIncludeTheApp) {
    for (const char* const path : {"io/csv/a.cpp", "io/serial/a.cpp", "analysis/heat/a.cpp"}) {
        EXPECT_THAT(check(path, "#include \"app/format/number.h\"\n"), testing::SizeIs(1)) << path;
        EXPECT_THAT(check(path, "#  include <app/format/number.h>\n"), testing::SizeIs(1)) << path;
    }
}

TEST(IncludeRules, refuseAnIncludeWithoutItsFolder) {
    EXPECT_THAT(check("analysis/heat/balance.cpp", "#include \"balance.h\"\n"), testing::SizeIs(1));
}

TEST(IncludeRules, passOverCommentsAndTexts) {
    EXPECT_THAT(check("analysis/heat/a.cpp", "// #include <fstream>\n/* rand\n#include <fstream>\n*/\n"
                                             "const char* a = \"rand \\\" rand\"; char q = '\"'; int n = 1'000;\n"),
                IsEmpty());
    EXPECT_THAT(check("analysis/heat/a.cpp", "int n = 1'000; /* a */ int b = rand(); // '\n"), testing::SizeIs(1));
    EXPECT_THAT(check("analysis/heat/a.cpp", "const int random_device_count = brand + rands;\n"), IsEmpty());
}

TEST(IncludeRules, coverEveryFolder) {
    EXPECT_THAT(check("io/parser/a.cpp", ""), ElementsAre(HasSubstr("lies in no folder that has a rule")));
}

} // namespace
} // namespace potwatch::layers
