// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/figure.h"
#include "analysis/compare/overlay.h"
#include "tests/analysis/compare/compared_runs.h"

#include <gmock/gmock.h>

#include <cmath>
#include <set>
#include <string>

namespace potwatch::compare {
namespace {

using testing::HasSubstr;

FigureValue valueOf(const char* key, const ComparedRun& run) {
    const Figure* figure = findFigure(key);
    EXPECT_NE(figure, nullptr) << key;
    return figure->of(run);
}

TEST(Figures, haveKeysOfTheirOwnAndAnAnswerForAnEmptyRun) {
    std::set<std::string_view> keys;
    const ComparedRun nothing;
    for (const Figure& figure : figures()) {
        EXPECT_TRUE(keys.insert(figure.key).second) << figure.key;
        EXPECT_EQ(figure.key.find_first_not_of("abcdefghijklmnopqrstuvwxyz_"), std::string_view::npos) << figure.key;
        EXPECT_FALSE(figure.title.empty()) << figure.key;
        const FigureValue value = figure.of(nothing);
        EXPECT_FALSE(value.estimate) << figure.key;
        EXPECT_FALSE(value.missing.empty()) << figure.key << " says why it is unknown";
    }
    EXPECT_EQ(findFigure("peak"), nullptr);
}

TEST(Figures, tellTheRateThatWasDosedWhateverWasPlanned) {
    ComparedRun run = inventedRun("rod 01", 0.5, 90.0);
    EXPECT_DOUBLE_EQ(valueOf("dose_rate_g_per_min", run).estimate->value, 0.5);
    // By hand: 4 g in four portions over six minutes.
    run.batch.dose->steps = {{.time_s = 120.0, .amount = 1.0, .over_s = 60.0},
                             {.time_s = 240.0, .amount = 2.0, .over_s = 60.0},
                             {.time_s = 420.0, .amount = 1.0, .over_s = 60.0}};
    EXPECT_DOUBLE_EQ(valueOf("dose_rate_g_per_min", run).estimate->value, 4.0 / 6.0);
    EXPECT_DOUBLE_EQ(valueOf("dose_total_g", run).estimate->value, 4.0);
    EXPECT_DOUBLE_EQ(valueOf("catalyst_g_per_g", run).estimate->value, 0.05);
    // As marked while it cooked.
    run.batch.events = {{.time_s = 100.0, .kind = "dose start"}, {.time_s = 340.0, .kind = "dose end"}};
    EXPECT_DOUBLE_EQ(valueOf("dose_rate_g_per_min", run).estimate->value, 1.0);
    run.batch.events.clear();
    run.batch.dose->steps = {{.time_s = 120.0, .amount = 4.0}};
    EXPECT_THAT(valueOf("dose_rate_g_per_min", run).missing, HasSubstr("at once"));
    run.batch.dose->steps = {{.time_s = 120.0, .amount = 40.0, .unit = DoseUnit::drop}};
    EXPECT_THAT(valueOf("dose_rate_g_per_min", run).missing, HasSubstr("density_g_per_ml"));
    run.batch.dose.reset();
    EXPECT_THAT(valueOf("dose_rate_g_per_min", run).missing, HasSubstr("[dose]"));
}

TEST(Figures, tellSpansWithTheUncertaintyOfBothEnds) {
    const FigureValue span = valueOf("onset_to_peak_s", inventedRun("rod 01", 0.5, 90.0));
    EXPECT_DOUBLE_EQ(span.estimate->value, 300.0);
    EXPECT_DOUBLE_EQ(span.estimate->u, 5.0);
    EXPECT_NEAR(span.estimate->high, 300.0 + 1.96 * 5.0, 0.01);
    EXPECT_DOUBLE_EQ(valueOf("rise_k", inventedRun("rod 01", 0.5, 90.0)).estimate->value, 68.0);
}

TEST(Figures, knowThePeakOfAPotThatBoiledFromBelowOnly) {
    EXPECT_FALSE(valueOf("peak_temperature_c", inventedRun("rod 01", 0.5, 90.0)).at_least);
    const ComparedRun boiled = boiledRun("rod 02", 1.2);
    EXPECT_TRUE(valueOf("peak_temperature_c", boiled).at_least);
    EXPECT_EQ(boilingPointOf(boiled), 100.5);
    EXPECT_DOUBLE_EQ(valueOf("boil_duration_s", boiled).estimate->value, 20.0);
}

TEST(Figures, tellTheOutcome) {
    ComparedRun run = inventedRun("rod 01", 0.5, 90.0);
    run.batch.outcome = {.weighed_dry_g = 24.0,
                         .weighed_in_water_g = 4.0,
                         .void_percent = 2.0,
                         .foam = Foam::edge,
                         .hardness = "80 Shore D"};
    EXPECT_NEAR(valueOf("density_g_per_ml", run).estimate->value, 1.198, 0.001); // 24 g over 20 g of water at 20 °C
    EXPECT_DOUBLE_EQ(valueOf("void_percent", run).estimate->value, 2.0);
    EXPECT_EQ(valueOf("foam", run).text, "edge");
    EXPECT_DOUBLE_EQ(valueOf("foam_level", run).estimate->value, 1.0);
    EXPECT_EQ(valueOf("hardness", run).text, "80 Shore D");
}

TEST(Overlay, laysRunsOnTheirMoment) {
    std::vector<ComparedRun> runs{inventedRun("rod 01", 0.5, 90.0), inventedRun("rod 02", 0.5, 95.0)};
    runs[1].batch.dose.reset();
    runs[1].findings.landmarks.onset.reset();
    EXPECT_EQ(aligned(runs, Align::start)[0].offset_s, 0.0);
    EXPECT_EQ(aligned(runs, Align::dose)[0].offset_s, 120.0);
    EXPECT_EQ(aligned(runs, Align::onset)[0].offset_s, 600.0);
    EXPECT_EQ(aligned(runs, Align::peak)[1].offset_s, 900.0);
    EXPECT_FALSE(aligned(runs, Align::dose)[1].offset_s);
    EXPECT_FALSE(aligned(runs, Align::onset)[1].missing.empty());
    EXPECT_EQ(alignOf("onset"), Align::onset);
    EXPECT_EQ(alignOf("end"), std::nullopt);
}

TEST(Overlay, keepsThePeakOfAThinnedTrace) {
    Analysis analysis;
    for (int i = 0; i < 14401; ++i) {
        analysis.series.time_s.push_back(0.5 * i);
        analysis.series.temperature_c.push_back(i == 1777 ? 99.0 : 22.0 + 40.0 * std::sin(i / 4000.0));
    }
    analysis.series.temperature_c[5] = std::nan("");
    const ComparedRun run = comparedRun({}, analysis);
    ASSERT_LE(run.curve.time_s.size(), most_curve_points);
    ASSERT_GE(run.curve.time_s.size(), most_curve_points / 2);
    EXPECT_TRUE(std::is_sorted(run.curve.time_s.begin(), run.curve.time_s.end()));
    EXPECT_EQ(*std::max_element(run.curve.temperature_c.begin(), run.curve.temperature_c.end()), 99.0);
    EXPECT_TRUE(run.start_c);
}

} // namespace
} // namespace potwatch::compare
