// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_content.h"
#include "app/report/report_html.h"
#include "tests/app/report/invented_analysis.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::report {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

ReportContent contentOf(const std::vector<Analysis>& analyses) {
    return reportContent(analyses);
}

std::vector<std::string> headingsOf(const ReportContent& report) {
    std::vector<std::string> headings;
    for (const Section& section : report.sections) {
        headings.push_back(section.heading);
    }
    return headings;
}

// The cells of the row that starts so, of the tables of a section.
std::vector<std::string> row(const ReportContent& report, const std::string& heading, const std::string& first) {
    for (const Section& section : report.sections) {
        for (const Block& block : section.blocks) {
            const auto* const table = std::get_if<Table>(&block);
            if (section.heading != heading || table == nullptr) {
                continue;
            }
            for (const auto& cells : table->rows) {
                if (cells.front() == first) {
                    return cells;
                }
            }
        }
    }
    return {};
}

TEST(ReportContent, ofOneRunHasAllItsParts) {
    const ReportContent report = contentOf({shortAnalysis()});
    EXPECT_EQ(report.title, "Cure report: rod 03");
    EXPECT_THAT(headingsOf(report), ElementsAre("Plot", "Warnings", "Findings", "Events", "Inputs", "Cautions",
                                                "How the figures were found"));
}

TEST(ReportContent, statesFindingsWithIntervalAndStandardUncertainty) {
    Analysis analysis = shortAnalysis();
    analysis.findings.heat.released_j = normalEstimate(21589.6, 190.0);
    analysis.findings.landmarks.onset =
        Landmark{.time_s = normalEstimate(485.0, 1.1), .temperature_c = normalEstimate(45.21, 0.14)};
    const ReportContent report = contentOf({analysis});
    EXPECT_THAT(row(report, "Findings", "heat released"),
                ElementsAre("heat released", "21.6 ± 0.4 kJ", "21.2 to 22.0 kJ", "0.19 kJ"));
    EXPECT_THAT(row(report, "Findings", "onset"),
                ElementsAre("onset", "485 ± 2 s", "45.2 ± 0.3 °C", "1.1 s, 0.14 K", ""));
}

TEST(ReportContent, saysThatAHeatIsALowerBound) {
    Analysis analysis = shortAnalysis();
    analysis.findings.heat.lower_bound = true;
    const ReportContent report = contentOf({analysis});
    EXPECT_FALSE(row(report, "Findings", "heat released, at least").empty());
    EXPECT_TRUE(row(report, "Findings", "heat released").empty());
}

TEST(ReportContent, namesWhereEachInputCameFrom) {
    const ReportContent report = contentOf({shortAnalysis()});
    EXPECT_THAT(row(report, "Inputs", "specific heat"),
                ElementsAre("specific heat", "2 J/(g K)", "0.06 J/(g K)", "batch file"));
    EXPECT_THAT(row(report, "Inputs", "surroundings"), ElementsAre("surroundings", "22 °C", "not stated", "measured"));
}

TEST(ReportContent, inventsNoNumberForWhatIsNotKnown) {
    const ReportContent report = contentOf({traceAlone(shortAnalysis())});
    for (const char* name :
         {"onset", "steepest", "peak of the resin", "heat released", "final degree of cure", "stage"}) {
        EXPECT_EQ(row(report, "Findings", name).at(1), "not known") << name;
    }
    EXPECT_EQ(row(report, "Findings", "boil plateau").at(1), "none found");
}

TEST(ReportContent, ofSeveralRunsStartsWithATableOfAll) {
    Analysis other = inventedAnalysis({.name = "rod 04", .length_s = 1800.0, .interval_s = 2.0, .middles_s = {600.0}});
    const ReportContent report = contentOf({shortAnalysis(), other});
    EXPECT_EQ(report.sections.front().heading, "All runs");
    EXPECT_EQ(row(report, "All runs", "rod 03").size(), 8U);
    EXPECT_EQ(row(report, "All runs", "rod 04").size(), 8U);
    EXPECT_THAT(headingsOf(report), Contains("rod 04"));
}

TEST(ReportContent, neverClaimsToBeASafetyDevice) {
    const std::string html = htmlOf(contentOf({shortAnalysis()}), {});
    EXPECT_THAT(html, HasSubstr("Potwatch is not a safety device"));
    EXPECT_THAT(html, HasSubstr("bis(chloromethyl) ether"));
}

TEST(ReportContent, tablesHaveACellForEachHead) {
    Analysis bare = traceAlone(shortAnalysis());
    for (const Section& section : contentOf({shortAnalysis(), bare}).sections) {
        for (const Block& block : section.blocks) {
            if (const auto* const table = std::get_if<Table>(&block)) {
                for (const auto& cells : table->rows) {
                    EXPECT_EQ(cells.size(), table->head.size()) << section.heading;
                }
            }
        }
    }
}

TEST(ReportHtml, escapesWhatPeopleWrote) {
    Analysis analysis = shortAnalysis();
    analysis.findings.run = "<script>alert('x')</script> & \"co\"";
    analysis.findings.warnings = {"a < b"};
    const std::string html = htmlOf(contentOf({analysis}), {});
    EXPECT_THAT(html, Not(HasSubstr("<script")));
    EXPECT_THAT(html, HasSubstr("&lt;script&gt;alert(&#39;x&#39;)"));
    EXPECT_THAT(html, HasSubstr("a &lt; b"));
}

TEST(ReportHtml, putsTheDrawingInWithoutItsProlog) {
    const std::vector<std::string> svgs{"<?xml version=\"1.0\"?>\n<svg width=\"1\"><text>hello</text></svg>\n"};
    const std::string html = htmlOf(contentOf({shortAnalysis()}), svgs);
    EXPECT_THAT(html, HasSubstr("<svg role=\"img\" aria-label=\"Temperature against time of rod 03"));
    EXPECT_THAT(html, HasSubstr("<text>hello</text></svg></figure>"));
    EXPECT_THAT(html, Not(HasSubstr("<?xml")));
}

TEST(ReportContent, saysWhatWasPutByHand) {
    Analysis analysis = shortAnalysis();
    ASSERT_TRUE(analysis.findings.landmarks.peak);
    analysis.findings.landmarks.peak->time_s = {.value = 300.0, .u = 0.0, .low = 300.0, .high = 300.0};
    EXPECT_THAT(htmlOf(contentOf({analysis}), {}), Not(HasSubstr("put by hand")));
    analysis.findings.by_hand = {LandmarkKind::peak};
    const std::string html = htmlOf(contentOf({analysis}), {});
    EXPECT_THAT(html, HasSubstr("peak of the resin, put by hand"));
    EXPECT_THAT(html, Not(HasSubstr(">, ")));
}

TEST(ReportHtml, loadsNothingFromElsewhere) {
    const std::string html = htmlOf(contentOf({shortAnalysis()}), {});
    for (const char* const loads : {"http:", "https:", "src=", "@import", "url(", "<link", "<script"}) {
        EXPECT_THAT(html, Not(HasSubstr(loads)));
    }
}

} // namespace
} // namespace potwatch::report
