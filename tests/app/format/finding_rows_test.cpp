// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/explanation.h"
#include "app/format/finding_rows.h"
#include "app/format/stand_in.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

namespace potwatch::format {
namespace {

using testing::HasSubstr;

Analysis boiled() {
    Analysis analysis;
    Findings& found = analysis.findings;
    found.landmarks.onset = Landmark{normalEstimate(663.0, 1.0), normalEstimate(48.6, 0.6)};
    found.landmarks.first_deviation = Landmark{normalEstimate(190.0, 5.0), normalEstimate(20.5, 0.1)};
    found.landmarks.steepest =
        Steepest{normalEstimate(700.0, 2.0), normalEstimate(84.8, 0.5), normalEstimate(104.0, 3.5)};
    found.landmarks.peak = Peak{normalEstimate(714.0, 2.0), normalEstimate(101.2, 0.5), 100.0};
    found.landmarks.boil_plateau = BoilPlateau{711.0, 723.0, 100.8};
    found.heat.released_j = normalEstimate(28300.0, 600.0);
    found.heat.loss_coefficient_w_per_k = normalEstimate(0.92, 0.02);
    found.heat.loss_from = "blank a; cooling tail 757-4482 s";
    found.cure.final_degree = Estimate{1.0, 0.03, 0.91, 1.0};
    found.inputs = {{"probe lag", "s", 5.5, 0.7, "batch file"},
                    {"specific heat of the resin", "J/(g K)", 1.9, 0.25, "default"},
                    {"surroundings", "°C", 20.5, 0.5, "pot before the rise"},
                    {"resin", "g", 115.0, std::nullopt, "batch file"},
                    {"heat of reaction", "J/g", 246.0, 9.84, "batch file"}};
    found.by_hand = {LandmarkKind::onset};
    analysis.series.time_s = {0.0, 700.0, 4500.0};
    analysis.series.reading_c = {20.0, 100.0, 21.0};
    analysis.series.power_w = {0.0, 1.0, 0.0};
    return analysis;
}

FindingRow rowOf(const Analysis& analysis, FindingId id) {
    const std::vector<FindingRow> rows = findingRows(analysis);
    const auto found = std::find_if(rows.begin(), rows.end(), [id](const FindingRow& row) { return row.id == id; });
    EXPECT_NE(found, rows.end());
    return found == rows.end() ? FindingRow{} : *found;
}

TEST(FindingRows, sayFiguresInTheWordsOfTheCommandLine) {
    const FindingRow onset = rowOf(boiled(), FindingId::onset);
    EXPECT_EQ(onset.name, "onset");
    EXPECT_EQ(onset.result, "663 ± 2 s");
    EXPECT_EQ(onset.second, "48.6 ± 1.2 °C");
    EXPECT_THAT(onset.intervals, HasSubstr("661 to 665 s"));
    EXPECT_TRUE(onset.by_hand);
    EXPECT_FALSE(rowOf(boiled(), FindingId::peak).by_hand);
}

TEST(FindingRows, sayWhatWasNotFound) {
    EXPECT_EQ(rowOf(boiled(), FindingId::end).result, "not found");
    EXPECT_EQ(rowOf({}, FindingId::peak).result, "none found");
    EXPECT_EQ(rowOf({}, FindingId::heatReleased).result, "unknown");
}

TEST(FindingRows, knowWhereOnTheTraceAFindingComesFrom) {
    const Analysis analysis = boiled();
    EXPECT_EQ(rowOf(analysis, FindingId::onset).place, (FindingPlace{PaneKind::temperature, 663.0, 663.0}));
    EXPECT_EQ(rowOf(analysis, FindingId::lossCoefficient).place, (FindingPlace{PaneKind::temperature, 757.0, 4482.0}));
    EXPECT_EQ(rowOf(analysis, FindingId::boiling).place, (FindingPlace{PaneKind::temperature, 711.0, 723.0}));
    EXPECT_EQ(rowOf(analysis, FindingId::heatReleased).place, (FindingPlace{PaneKind::heat_flow, 190.0, 4500.0}));
    EXPECT_EQ(rowOf(analysis, FindingId::highestReading).place, (FindingPlace{PaneKind::temperature, 700.0, 700.0}));
    // Without a degree there is no such pane.
    EXPECT_EQ(rowOf(analysis, FindingId::degree).place->pane, PaneKind::temperature);
}

TEST(FindingRows, tellGelEquivalentTimeAndWhatThePotCouldHaveReached) {
    Analysis analysis = boiled();
    analysis.findings.cure.gel_time_s = normalEstimate(640.0, 5.0);
    analysis.findings.cure.equivalent = EquivalentTime{.time_s = normalEstimate(5400.0, 300.0),
                                                       .reference_c = 60.0,
                                                       .e_kj_per_mol = normalEstimate(50.0, 2.0),
                                                       .from_s = 120.0};
    analysis.findings.cure.stage = "C";
    analysis.findings.heat.mtsr = Mtsr{.temperature_c = normalEstimate(138.8, 6.0), .time_s = 121.0};
    analysis.findings.heat.thermal_inertia = normalEstimate(1.15, 0.012);
    const FindingRow gel = rowOf(analysis, FindingId::gelTime);
    EXPECT_EQ(gel.result, "640 ± 10 s");
    EXPECT_EQ(gel.place->from_s, 640.0);
    const FindingRow equivalent = rowOf(analysis, FindingId::equivalentTime);
    EXPECT_EQ(equivalent.result, "1 h 30 min at 60.0 °C");
    EXPECT_EQ(equivalent.place, (FindingPlace{PaneKind::temperature, 120.0, 4500.0}));
    EXPECT_EQ(rowOf(analysis, FindingId::stage).result, "C");
    EXPECT_EQ(rowOf(analysis, FindingId::mtsr).result, "139 ± 12 °C");
    EXPECT_EQ(rowOf(analysis, FindingId::mtsr).second, "from 121 s");
    EXPECT_EQ(rowOf(analysis, FindingId::thermalInertia).result, "1.15 ± 0.02");
    const Explanation told = explain(analysis, equivalent);
    ASSERT_FALSE(told.inputs.empty());
    EXPECT_EQ(told.inputs.back().name, "activation energy");
    EXPECT_EQ(told.inputs.back().value, "50 ± 4 kJ/mol");
}

TEST(FindingRows, callTheHeatOfASecondHeatingResidual) {
    Analysis analysis = boiled();
    analysis.findings.cure.second_heating_of = "rod 01";
    const std::vector<FindingRow> rows = findingRows(analysis);
    EXPECT_EQ(rowOf(analysis, FindingId::residualHeat).name, "residual heat");
    EXPECT_EQ(rowOf(analysis, FindingId::degreeBefore).name, "degree before it");
    EXPECT_TRUE(std::none_of(rows.begin(), rows.end(), [](const FindingRow& row) {
        return row.id == FindingId::heatReleased || row.id == FindingId::degree;
    }));
}

TEST(FindingRows, standInColumnsForASpreadsheet) {
    const std::string line = tabbed(rowOf(boiled(), FindingId::onset));
    EXPECT_EQ(std::count(line.begin(), line.end(), '\t'), 3);
    EXPECT_THAT(line, testing::StartsWith("onset\t663 ± 2 s\t48.6 ± 1.2 °C\t"));
}

TEST(Explanation, namesFormulaInputsAndWhereEachCameFrom) {
    const Analysis analysis = boiled();
    const Explanation told = explain(analysis, rowOf(analysis, FindingId::peak));
    EXPECT_THAT(told.inside, HasSubstr("lag"));
    ASSERT_EQ(told.inputs.size(), 1U);
    EXPECT_EQ(told.inputs[0], (ExplainedInput{"probe lag", "5.5 s", "0.7 s", "batch file", "sensor.lag_s"}));
    const std::string text = explanationText(told);
    EXPECT_THAT(text, HasSubstr("peak: 714 ± 4 s, 101.2 ± 1.0 °C"));
    EXPECT_THAT(text, HasSubstr("probe lag\t5.5 s\t0.7 s\tbatch file"));
}

TEST(Explanation, ofAHeatHasTheLossThatWasFound) {
    const Analysis analysis = boiled();
    const Explanation told = explain(analysis, rowOf(analysis, FindingId::heatReleased));
    const auto loss = std::find_if(told.inputs.begin(), told.inputs.end(),
                                   [](const ExplainedInput& input) { return input.name == "loss coefficient"; });
    ASSERT_NE(loss, told.inputs.end());
    EXPECT_EQ(loss->from, "blank a; cooling tail 757-4482 s");
}

TEST(Explanation, saysWhatWasPutByHand) {
    const Analysis analysis = boiled();
    const Explanation told = explain(analysis, rowOf(analysis, FindingId::onset));
    EXPECT_EQ(told.by_hand, "put by hand at 663 s");
    EXPECT_TRUE(told.inside.empty());
    EXPECT_THAT(told.how, HasSubstr("stands where it was put"));
}

TEST(Explanation, ofEveryFindingSaysHow) {
    for (int id = 0; id <= static_cast<int>(FindingId::interval); ++id) {
        EXPECT_FALSE(explain({}, {.id = static_cast<FindingId>(id)}).how.empty()) << id;
    }
}

TEST(Explanation, findsTheFieldThatMendsAWarning) {
    EXPECT_EQ(fieldOfWarning("the probe's lag is not stated: ...; give [sensor] lag_s"), "sensor.lag_s");
    EXPECT_EQ(fieldOfWarning("weigh the pot before and after ([weighed] loss_g)"), "weighed.loss_g");
    EXPECT_EQ(fieldOfWarning("the pot boiled from 711 s"), "");
    EXPECT_EQ(fieldOfWarning("an open [bracket"), "");
    EXPECT_EQ(fieldOfWarning("give [dose] a rate"), "");
}

TEST(StandIn, saysWhatIsUsedWhereNothingIsStated) {
    const Findings found = boiled().findings;
    EXPECT_EQ(standInFor("charge.specific_heat_j_per_g_k", found).sentence,
              "Not stated; a default of 1.9 J/(g K) is used, with a standard uncertainty of 0.25 J/(g K).");
    EXPECT_EQ(standInFor("uncertainty.surroundings_k", found).sentence, "Not stated; a default of 0.5 K is used.");
    EXPECT_EQ(standInFor("uncertainty.heat_of_reaction_rel", found).value, "0.04");
    EXPECT_THAT(standInFor("surroundings.temperature_c", found).sentence, HasSubstr("20.5 °C from the pot before"));
    EXPECT_THAT(standInFor("vessel.loss_coefficient_w_per_k", found).sentence, HasSubstr("0.92 ± 0.04 W/K is found"));
    EXPECT_EQ(standInFor("charge.resin_g", found).value, ""); // it is stated
}

} // namespace
} // namespace potwatch::format
