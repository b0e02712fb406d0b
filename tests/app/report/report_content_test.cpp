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

ReportContent contentOf(const std::vector<Analysis>& analyses, const session::ReportWish& wish = {}) {
    return reportContent(reportRuns(analyses), wish);
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
    EXPECT_THAT(headingsOf(report), ElementsAre("What was in the pot", "Trace", "Findings", "Warnings", "Events",
                                                "Inputs", "Cautions", "How the figures were found"));
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

TEST(ReportContent, keepsTheOrderOfTheWishAndTheRunsTogether) {
    using session::ReportSection;
    const session::ReportWish wish{
        .sections = {ReportSection::cautions, ReportSection::findings, ReportSection::method, ReportSection::trace}};
    EXPECT_THAT(headingsOf(contentOf({shortAnalysis()}, wish)),
                ElementsAre("Cautions", "Findings", "Trace", "How the figures were found"));
    EXPECT_THAT(headingsOf(contentOf({shortAnalysis(), shortAnalysis()}, wish)),
                ElementsAre("Cautions", "rod 03", "Findings", "Trace", "rod 03", "Findings", "Trace",
                            "How the figures were found"));
}

TEST(ReportContent, statesWhatWasInThePot) {
    std::vector<session::ReportRun> runs = reportRuns({shortAnalysis()});
    Batch& batch = runs.front().batch;
    batch.charge = {.resin_g = 115.0, .specific_heat_j_per_g_k = 1.85, .boiling_c = 100.2};
    batch.dose = Dose{.substance = "acid", .total_g = 6.0, .rate_g_per_min = 0.18, .start_s = 180.0};
    batch.ingredients = {{.substance = "formalin", .mass_g = 25.0, .mass_fraction = 0.37}};
    batch.outcome = {.void_percent = 0.4, .foam = Foam::none};
    const ReportContent report = reportContent(runs);
    const char* const part = "What was in the pot";
    EXPECT_EQ(row(report, part, "charge").at(1), "115 g resin, 1.85 J/(g K), boils at 100.2 \u00b0C");
    EXPECT_EQ(row(report, part, "dose").at(1), "acid (catalyst), 6 g in all, 0.18 g/min, from 180 s");
    EXPECT_EQ(row(report, part, "ingredients").at(1), "25 g formalin of 37 %");
    EXPECT_EQ(row(report, part, "outcome").at(1), "no foam, 0.4 % voids");
    runs.push_back(runs.front());
    const std::vector<std::string> line = row(reportContent(runs), "All runs", "rod 03");
    EXPECT_EQ(line.at(1), "0.18 g/min");
    EXPECT_EQ(line.at(7), "0.4 % voids");
}

TEST(ReportContent, tellsHowEachOfItsFindingsWasComputedOnce) {
    const ReportContent report = contentOf({shortAnalysis(), shortAnalysis()});
    const std::vector<std::string> onset = row(report, "How the figures were found", "onset");
    ASSERT_EQ(onset.size(), 2U);
    EXPECT_THAT(onset.at(1), HasSubstr("extrapolated onset of ISO 11357-1"));
    EXPECT_THAT(row(report, "How the figures were found", "heat released").at(1), HasSubstr("loss coefficient \u00d7"));
    std::size_t onsets = 0;
    for (const auto& cells : std::get<Table>(report.sections.back().blocks.at(1)).rows) {
        onsets += cells.front() == "onset" ? 1 : 0;
    }
    EXPECT_EQ(onsets, 1U);
    EXPECT_TRUE(row(contentOf({traceAlone(shortAnalysis())}), "How the figures were found", "onset").empty());
}

TEST(ReportContent, saysWhenItWasMade) {
    EXPECT_THAT(contentOf({shortAnalysis()}, {.made_on = "26 Nov 2026"}).foot, testing::EndsWith("26 Nov 2026"));
}

TEST(ReportHtml, namesAPhotoThatCannotBeShown) {
    std::vector<session::ReportRun> runs = reportRuns({shortAnalysis()});
    runs.front().photos = {{.name = "a.jpg"}, {.name = "b.jpg"}, {.name = "c.jpg"}};
    const ReportContent report = reportContent(runs);
    const std::vector<std::vector<std::string>> jpegs{{"QUJD", "", "REVG"}};
    const std::string html = htmlOf(report, {.jpegs = jpegs});
    EXPECT_THAT(html, HasSubstr("<img alt=\"a.jpg\" src=\"data:image/jpeg;base64,QUJD\">"));
    EXPECT_THAT(html, HasSubstr("b.jpg: this picture cannot be shown"));
    EXPECT_THAT(html, HasSubstr("base64,REVG"));
}

TEST(ReportContent, neverClaimsToBeASafetyDevice) {
    const std::string html = htmlOf(contentOf({shortAnalysis()}));
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
    const std::string html = htmlOf(contentOf({analysis}));
    EXPECT_THAT(html, Not(HasSubstr("<script")));
    EXPECT_THAT(html, HasSubstr("&lt;script&gt;alert(&#39;x&#39;)"));
    EXPECT_THAT(html, HasSubstr("a &lt; b"));
}

TEST(ReportHtml, putsTheDrawingInWithoutItsProlog) {
    const std::vector<std::string> svgs{"<?xml version=\"1.0\"?>\n<svg width=\"1\"><text>hello</text></svg>\n"};
    const std::string html = htmlOf(contentOf({shortAnalysis()}), {.svgs = svgs});
    EXPECT_THAT(html, HasSubstr("<svg role=\"img\" aria-label=\"Temperature against time of rod 03"));
    EXPECT_THAT(html, HasSubstr("<text>hello</text></svg></figure>"));
    EXPECT_THAT(html, Not(HasSubstr("<?xml")));
}

TEST(ReportContent, saysWhatWasPutByHand) {
    Analysis analysis = shortAnalysis();
    ASSERT_TRUE(analysis.findings.landmarks.peak);
    analysis.findings.landmarks.peak->time_s = {.value = 300.0, .u = 0.0, .low = 300.0, .high = 300.0};
    EXPECT_THAT(htmlOf(contentOf({analysis})), Not(HasSubstr("put by hand")));
    analysis.findings.by_hand = {LandmarkKind::peak};
    const std::string html = htmlOf(contentOf({analysis}));
    EXPECT_THAT(html, HasSubstr("peak of the resin, put by hand"));
    EXPECT_THAT(html, Not(HasSubstr(">, ")));
}

TEST(ReportHtml, loadsNothingFromElsewhere) {
    const std::string html = htmlOf(contentOf({shortAnalysis()}));
    for (const char* const loads : {"http:", "https:", "src=", "@import", "url(", "<link", "<script"}) {
        EXPECT_THAT(html, Not(HasSubstr(loads)));
    }
}

} // namespace
} // namespace potwatch::report
