// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/findings_text.h"
#include "app/report/plot.h"
#include "app/report/report_pictures.h"
#include "tests/app/printed_by.h"
#include "tests/app/report/invented_analysis.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <unistd.h>

namespace potwatch::report {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

// A folder of its own, gone at the end.
class Files : public testing::Test {
protected:
    void SetUp() override {
        std::string name = (std::filesystem::temp_directory_path() / "potwatch-report-XXXXXX").string();
        ASSERT_NE(::mkdtemp(name.data()), nullptr);
        folder_ = name;
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    [[nodiscard]] std::string path(const std::string& name) const { return (folder_ / name).string(); }
    [[nodiscard]] std::string content(const std::string& name) const {
        std::ifstream file(path(name), std::ios::binary);
        return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
    }
    [[nodiscard]] std::vector<std::string> names() const {
        std::vector<std::string> found;
        for (const auto& entry : std::filesystem::directory_iterator(folder_)) {
            found.push_back(entry.path().filename().string());
        }
        return found;
    }
    // The text of a PDF as pdftotext reads it; no text where that program is missing.
    [[nodiscard]] std::string pdfText(const std::string& name) const {
        return test::printedBy("pdftotext -layout '" + path(name) + "' - 2>&1");
    }

    std::filesystem::path folder_;
};

#define SKIP_WITHOUT_PDFTOTEXT()                                                                                       \
    if (std::system("command -v pdftotext > /dev/null") != 0) {                                                        \
        GTEST_SKIP() << "pdftotext (poppler-utils) is not installed";                                                  \
    }

TEST_F(Files, holdAPlotInEachFormat) {
    const Analysis analysis = shortAnalysis();
    for (const char* const name : {"a.svg", "a.pdf", "a.png", "B.SVG"}) {
        const auto written = writePlot(analysis, path(name));
        ASSERT_TRUE(written) << describe(written.error());
    }
    EXPECT_THAT(content("a.svg"), HasSubstr("<svg"));
    EXPECT_THAT(content("B.SVG"), HasSubstr("<svg"));
    EXPECT_THAT(content("a.pdf"), StartsWith("%PDF"));
    EXPECT_THAT(content("a.png"), StartsWith("\x89PNG"));
    EXPECT_EQ(names().size(), 4U);
}

TEST_F(Files, pdfPlotHasItsWordsAsText) {
    SKIP_WITHOUT_PDFTOTEXT();
    const Analysis analysis = shortAnalysis();
    ASSERT_TRUE(writePlot(analysis, path("a.pdf")));
    const std::string text = pdfText("a.pdf");
    for (const Pin& pin : pins(analysis.findings)) {
        EXPECT_THAT(text, HasSubstr(pin.lines.at(1)));
    }
    for (const Event& event : analysis.events) {
        EXPECT_THAT(text, HasSubstr(eventText(event)));
    }
    EXPECT_THAT(text, HasSubstr("first deviation")); // no ligature in it
    EXPECT_THAT(text, testing::Not(HasSubstr("Syntax Error")));
}

TEST_F(Files, pdfReportHasTheFiguresOfTheHtmlReport) {
    SKIP_WITHOUT_PDFTOTEXT();
    const std::vector<Analysis> analyses{shortAnalysis()};
    ASSERT_TRUE(writeReport(reportRuns(analyses), {}, path("r.pdf")));
    ASSERT_TRUE(writeReport(reportRuns(analyses), {}, path("r.html")));
    const std::string html = content("r.html");
    const std::string pdf = pdfText("r.pdf");
    std::size_t compared = 0;
    for (std::size_t at = html.find("<td>"); at != std::string::npos; at = html.find("<td>", at + 4)) {
        const std::string cell = html.substr(at + 4, html.find("</td>", at) - at - 4);
        if (cell.find("\u00b1") != std::string::npos) {
            EXPECT_THAT(pdf, HasSubstr(cell));
            ++compared;
        }
    }
    EXPECT_GE(compared, 15U);
}

TEST_F(Files, pdfReportRepeatsTheHeadOfATableThatRunsOn) {
    SKIP_WITHOUT_PDFTOTEXT();
    std::vector<Analysis> analyses{shortAnalysis()};
    for (int i = 0; i < 150; ++i) {
        analyses.front().events.push_back({.time_s = 10.0 * i, .kind = "note", .text = "seen " + std::to_string(i)});
    }
    ASSERT_TRUE(writeReport(reportRuns(analyses), {}, path("r.pdf")));
    const std::string pdf = pdfText("r.pdf");
    std::size_t heads = 0;
    for (std::size_t at = pdf.find("time "); at != std::string::npos; at = pdf.find("time ", at + 1)) {
        const std::string line = pdf.substr(at, pdf.find('\n', at) - at);
        heads += line.size() > 5 && line.find_first_not_of(' ', 5) != std::string::npos &&
                         line.substr(line.find_first_not_of(' ', 5)) == "event"
                     ? 1
                     : 0;
    }
    EXPECT_GE(heads, 3U);
    EXPECT_THAT(pdf, HasSubstr("seen 149"));
    EXPECT_THAT(pdf, HasSubstr("page 1 of "));
}

// Each page of a PDF as lines of text.
std::vector<std::vector<std::string>> pagesOfText(const std::string& text) {
    std::vector<std::vector<std::string>> pages(1);
    std::string line;
    for (const char c : text) {
        if (c == '\f') {
            pages.emplace_back();
        } else if (c != '\n') {
            line += c;
        } else {
            if (line.find_first_not_of(' ') != std::string::npos) {
                pages.back().push_back(line.substr(line.find_first_not_of(' ')));
            }
            line.clear();
        }
    }
    pages.pop_back(); // after the last form feed
    return pages;
}

TEST_F(Files, pdfReportOfManyRunsLeavesNoHeadingAtAPagesFoot) {
    SKIP_WITHOUT_PDFTOTEXT();
    std::vector<Analysis> analyses;
    for (int i = 0; i < 9; ++i) {
        analyses.push_back(shortAnalysis());
        analyses.back().findings.run = "rod " + std::to_string(i + 1);
        // Parts of another length in each, so that the breaks fall everywhere.
        for (int k = 0; k < 4 * i; ++k) {
            analyses.back().events.push_back({.time_s = 5.0 * k, .kind = "note", .text = "seen " + std::to_string(k)});
        }
    }
    std::vector<session::ReportRun> runs = reportRuns(analyses);
    ASSERT_TRUE(writeReport(runs, {}, path("r.pdf")));
    const std::vector<std::string> headings{
        "Comparison", "What was in the pot", "Trace", "Findings", "Warnings", "Events", "Inputs", "Cautions"};
    const auto pages = pagesOfText(pdfText("r.pdf"));
    ASSERT_GE(pages.size(), 19U);
    for (std::size_t i = 0; i < pages.size(); ++i) {
        ASSERT_GE(pages[i].size(), 3U);
        EXPECT_THAT(pages[i].back(), HasSubstr(fmt::format("page {} of {}", i + 1, pages.size())));
        const std::string& last = pages[i][pages[i].size() - 2];
        EXPECT_THAT(headings, testing::Not(testing::Contains(last))) << "page " << i + 1;
    }
}

TEST_F(Files, pdfReportHasNoPictureOfPixelsButPhotos) {
    if (std::system("command -v pdfimages > /dev/null") != 0) {
        GTEST_SKIP() << "pdfimages (poppler-utils) is not installed";
    }
    const auto pixelPictures = [&](const std::string& name) {
        const std::string out = path("images.txt");
        EXPECT_EQ(std::system(fmt::format("pdfimages -list '{}' > '{}'", path(name), out).c_str()), 0);
        const std::string list = content("images.txt");
        return std::count(list.begin(), list.end(), '\n') - 2; // the table's head
    };
    std::vector<session::ReportRun> runs = reportRuns({shortAnalysis(), shortAnalysis()});
    ASSERT_TRUE(writeReport(runs, {}, path("r.pdf")));
    EXPECT_EQ(pixelPictures("r.pdf"), 0);
    QImage photo(40, 30, QImage::Format_RGB32);
    photo.fill(Qt::darkRed);
    runs.front().photos = {{.name = "rod.jpg", .media_type = "image/jpeg", .bytes = jpegOf(photo)},
                           {.name = "torn.jpg", .media_type = "image/jpeg", .bytes = "no picture"}};
    ASSERT_TRUE(writeReport(runs, {}, path("p.pdf")));
    EXPECT_EQ(pixelPictures("p.pdf"), 1);
    EXPECT_THAT(pdfText("p.pdf"), HasSubstr("torn.jpg: this picture cannot be shown"));
}

TEST_F(Files, holdPhotosNoLargerThanAPageNeedsAndTurnedUpright) {
    QImage photo(4000, 3000, QImage::Format_RGB32);
    photo.fill(Qt::darkBlue);
    const QImage fitted = photoImage(jpegOf(photo));
    EXPECT_EQ(fitted.size(), QSize(1600, 1200));
    EXPECT_TRUE(photoImage("no picture").isNull());
}

TEST_F(Files, holdAReportOfRunsOfWhichLittleIsKnown) {
    const std::vector<Analysis> analyses{shortAnalysis(), traceAlone(shortAnalysis()), Analysis{}};
    EXPECT_TRUE(writeReport(reportRuns(analyses), {}, path("r.html")));
    EXPECT_TRUE(writeReport(reportRuns(analyses), {}, path("r.pdf")));
    EXPECT_THAT(content("r.html"), testing::Not(HasSubstr("nan")));
}

TEST_F(Files, areRefusedWithAnotherEnding) {
    const auto plot = writePlot(shortAnalysis(), path("a.jpeg"));
    ASSERT_FALSE(plot);
    EXPECT_EQ(plot.error().kind, FaultKind::input);
    EXPECT_THAT(describe(plot.error()), HasSubstr(".svg, .pdf or .png"));
    const std::vector<Analysis> analyses{shortAnalysis()};
    const auto report = writeReport(reportRuns(analyses), {}, path("a.svg"));
    ASSERT_FALSE(report);
    EXPECT_EQ(report.error().kind, FaultKind::input);
    EXPECT_THAT(names(), IsEmpty());
}

// On the program itself: the fonts of a process are settled before its first test.
TEST_F(Files, areRefusedWhereNoFontIsInstalled) {
    std::ofstream(path("fonts.conf")) << "<?xml version=\"1.0\"?><!DOCTYPE fontconfig SYSTEM \"fonts.dtd\">"
                                         "<fontconfig><dir>/nonexistent</dir></fontconfig>\n";
    const Analysis analysis = shortAnalysis();
    std::ofstream csv(path("run.csv"));
    csv << "time_s,pot_c\n";
    for (std::size_t i = 0; i < analysis.series.time_s.size(); ++i) {
        csv << fmt::format("{},{}\n", analysis.series.time_s[i], analysis.series.reading_c[i]);
    }
    csv.close();
    const std::string command =
        fmt::format("FONTCONFIG_FILE='{}' '{}' analyse '{}' --plot '{}' > /dev/null 2> '{}'", path("fonts.conf"),
                    POTWATCH_PROGRAM, path("run.csv"), path("plot.svg"), path("words"));
    EXPECT_NE(std::system(command.c_str()), 0);
    EXPECT_THAT(content("words"), HasSubstr("no font is installed"));
    EXPECT_FALSE(std::filesystem::exists(path("plot.svg")));
}

TEST_F(Files, areNotLeftBehindWhereTheyCannotBeWritten) {
    const auto missing = writePlot(shortAnalysis(), path("no/such/folder/a.svg"));
    ASSERT_FALSE(missing);
    EXPECT_EQ(missing.error().kind, FaultKind::storage);
    std::filesystem::create_directory(path("taken.svg"));
    EXPECT_FALSE(writePlot(shortAnalysis(), path("taken.svg")));
    EXPECT_EQ(names(), (std::vector<std::string>{"taken.svg"}));
}

} // namespace
} // namespace potwatch::report
