// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_content.h"
#include "app/report/report_html.h"
#include "app/session/compare_words.h"
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
    EXPECT_EQ(row(report, "All runs", "rod 03").size(), 9U);
    EXPECT_EQ(row(report, "All runs", "rod 04").size(), 9U);
    EXPECT_THAT(headingsOf(report), Contains("rod 04"));
}

TEST(ReportContent, keepsTheOrderOfTheWishAndTheRunsTogether) {
    using session::ReportSection;
    const session::ReportWish wish{
        .sections = {ReportSection::cautions, ReportSection::findings, ReportSection::method, ReportSection::trace}};
    EXPECT_THAT(headingsOf(contentOf({shortAnalysis()}, wish)),
                ElementsAre("Cautions", "Findings", "Trace", "How the figures were found"));
    EXPECT_THAT(headingsOf(contentOf({shortAnalysis(), shortAnalysis()}, wish)),
                ElementsAre("Cautions", "rod 03", "Findings", "Trace", "rod 03 (2)", "Findings", "Trace",
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
    EXPECT_EQ(line.at(8), "0.4 % voids");
    // By hand: 12 g from 60 s to 180 s, as a comparison takes it.
    runs.back().batch.dose = Dose{.steps = {{.time_s = 60.0, .amount = 12.0, .over_s = 120.0}}};
    EXPECT_EQ(row(reportContent(runs), "All runs", "rod 03 (2)").at(1), "6 g/min");
}

// Runs of one pot at these rates, under these names; their peaks rise with the rate.
struct Compared {
    std::vector<session::ReportRun> runs;
    std::vector<compare::ComparedRun> compared;
    session::Comparison comparison;
};
Compared comparedAt(const std::vector<double>& rates, const std::optional<double>& limit = 95.0) {
    std::vector<Analysis> analyses;
    for (std::size_t i = 0; i < rates.size(); ++i) {
        analyses.push_back(shortAnalysis());
        Findings& findings = analyses.back().findings;
        findings.run = "rod " + std::to_string(i + 1);
        findings.landmarks.peak->temperature_c =
            normalEstimate(70.0 + 60.0 * rates[i] + (i % 2 == 0 ? 0.4 : -0.4), 0.2);
        analyses.back().series.reading_c.front() += static_cast<double>(i); // other samples
    }
    Compared made{.runs = reportRuns(analyses)};
    for (std::size_t i = 0; i < rates.size(); ++i) {
        Batch& batch = made.runs[i].batch;
        batch.dose = Dose{.substance = "acid", .total_g = 2.0, .rate_g_per_min = rates[i], .start_s = 120.0};
        made.compared.push_back(session::comparedRunOf(batch, analyses[i]));
    }
    made.comparison = *session::compareRuns(made.compared, {.limit = limit});
    return made;
}

const Section* sectionOf(const ReportContent& report, const std::string& heading) {
    for (const Section& section : report.sections) {
        if (section.heading == heading) {
            return &section;
        }
    }
    return nullptr;
}

TEST(ReportContent, ofSeveralRunsStartsWithTheirComparison) {
    const Compared made = comparedAt({0.1, 0.2, 0.3, 0.4, 0.5});
    const ReportContent report = reportContent(made.runs, {}, &made.comparison);
    ASSERT_FALSE(report.sections.empty());
    const Section& section = report.sections.front();
    EXPECT_EQ(section.heading, "Comparison");
    EXPECT_FALSE(section.on_new_page) << "right after the title";
    ASSERT_EQ(section.blocks.size(), 5U);
    const auto& first = std::get<Paragraph>(section.blocks[0]);
    EXPECT_TRUE(first.strong);
    EXPECT_THAT(first.text, testing::StartsWith("Try "));
    EXPECT_EQ(first.text, session::headlineOf(made.comparison));
    EXPECT_EQ(std::get<PlotPlace>(section.blocks[1]).drawing, 5U) << "behind those of the runs";
    EXPECT_EQ(std::get<Table>(section.blocks[2]).rows.size(), 5U);
    EXPECT_EQ(std::get<PlotPlace>(section.blocks[3]).drawing, 6U);
    EXPECT_THAT(std::get<PlotPlace>(section.blocks[3]).caption, testing::IsEmpty()) << "plain dots need no key";
    const auto& said = std::get<BulletList>(section.blocks[4]).items;
    EXPECT_THAT(said, Contains(HasSubstr("comes to 95 °C at a dosing rate of")));
    EXPECT_EQ(said.size(), session::sentencesOf(made.comparison).size());
    EXPECT_EQ(sectionOf(report, "All runs"), nullptr) << "the table stands in the comparison";
    EXPECT_THAT(row(report, "How the figures were found", "trend of the comparison").at(1), HasSubstr("likelihood"));
}

TEST(ReportContent, hasTheTableAloneWhereNoComparisonIsWanted) {
    const Compared made = comparedAt({0.1, 0.2});
    session::ReportWish wish;
    wish.sections.erase(wish.sections.begin());
    const ReportContent report = reportContent(made.runs, wish, nullptr);
    EXPECT_EQ(report.sections.front().heading, "All runs");
    EXPECT_EQ(sectionOf(report, "Comparison"), nullptr);
    EXPECT_TRUE(row(report, "How the figures were found", "trend of the comparison").empty());
}

TEST(ReportContent, marksRunsThatBoiledAsThatHotOrHotter) {
    Compared made = comparedAt({0.1, 0.2, 0.3, 0.4});
    Analysis boiled = *made.runs.back().analysis;
    boiled.findings.landmarks.boil_plateau = BoilPlateau{.start_s = 690.0, .end_s = 730.0, .temperature_c = 100.2};
    made.runs.back().analysis = std::make_shared<const Analysis>(boiled);
    made.runs.back().batch.charge.boiling_c = 100.2;
    made.compared.back() = session::comparedRunOf(made.runs.back().batch, boiled);
    made.comparison = *session::compareRuns(made.compared, {.limit = 95.0});
    const ReportContent report = reportContent(made.runs, {}, &made.comparison);
    EXPECT_THAT(row(report, "Comparison", "rod 4").at(2), testing::StartsWith("at least "));
    EXPECT_EQ(row(report, "Comparison", "rod 4").at(7), "yes");
    EXPECT_THAT(row(report, "Comparison", "rod 3").at(2), Not(HasSubstr("at least")));
    EXPECT_THAT(std::get<PlotPlace>(sectionOf(report, "Comparison")->blocks[3]).caption,
                HasSubstr("the pot boiled and would have become hotter"));
}

TEST(ReportContent, comparesNoBlankAndSaysSo) {
    std::vector<session::ReportRun> runs = reportRuns({shortAnalysis(), shortAnalysis()});
    runs.back().batch.blank = true;
    const ReportContent report = reportContent(runs);
    const Section* const section = sectionOf(report, "Comparison");
    ASSERT_NE(section, nullptr);
    EXPECT_THAT(std::get<Paragraph>(section->blocks.front()).text, HasSubstr("Fewer than two of these runs"));
    EXPECT_EQ(row(report, "Comparison", "rod 03 (2)").back(), "a blank");
}

TEST(ReportContent, leavesOutPicturesWithNothingInThem) {
    const std::vector<Analysis> analyses{shortAnalysis(), traceAlone(shortAnalysis())};
    const std::vector<session::ReportRun> runs = reportRuns(analyses);
    std::vector<compare::ComparedRun> compared;
    for (const Analysis& analysis : analyses) {
        compared.push_back(session::comparedRunOf({}, analysis));
        compared.back().events.clear();
    }
    const auto comparison = session::compareRuns(compared, {.limit = 95.0});
    const ReportContent report = reportContent(runs, {}, &*comparison);
    const Section& section = report.sections.front();
    EXPECT_TRUE(std::none_of(section.blocks.begin(), section.blocks.end(),
                             [](const Block& block) { return std::holds_alternative<PlotPlace>(block); }));
    EXPECT_EQ(std::get<Paragraph>(section.blocks.front()).text, "No run has both dosing rate and peak temperature.");
}

TEST(ReportContent, ofOneRunHasNothingToCompare) {
    EXPECT_EQ(sectionOf(contentOf({shortAnalysis()}), "Comparison"), nullptr);
    EXPECT_EQ(session::whyNot(session::ReportSection::comparison, 1), "a comparison takes two runs or more");
    EXPECT_EQ(session::whyNot(session::ReportSection::comparison, 2), "");
    EXPECT_EQ(session::whyNot(session::ReportSection::trace, 1), "");
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

TEST(ReportHtml, putsACaptionUnderItsDrawing) {
    ReportContent report;
    report.sections.push_back({.heading = "Comparison",
                               .blocks = {Paragraph{.text = "Try <it>", .strong = true},
                                          PlotPlace{.drawing = 0, .description = "dots", .caption = "open & shut"}}});
    const std::vector<std::string> svgs{"<svg><text>x</text></svg>"};
    const std::string html = htmlOf(report, {.svgs = svgs});
    EXPECT_THAT(html, HasSubstr("<p><strong>Try &lt;it&gt;</strong></p>"));
    EXPECT_THAT(html, HasSubstr("</svg><figcaption>open &amp; shut</figcaption></figure>"));
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
