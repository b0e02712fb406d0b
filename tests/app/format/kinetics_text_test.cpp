// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/kinetics_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::format {
namespace {

using testing::HasSubstr;

TEST(KineticsText, equivalentTimeIsADurationWithItsInterval) {
    const EquivalentTime equivalent{.time_s = {.value = 7500.0, .u = 800.0, .low = 6000.0, .high = 9300.0},
                                    .reference_c = 60.0,
                                    .e_kj_per_mol = normalEstimate(50.0, 2.0)};
    EXPECT_EQ(equivalentText(equivalent), "2 h 5 min (1 h 40 min to 2 h 35 min) at 60.0 °C");
    EXPECT_EQ(energyText(equivalent.e_kj_per_mol), "50 ± 4 kJ/mol");
}

ModelFree friedmanOf(double first, double last) {
    return {
        .method = "Friedman",
        .at = {{.degree = 0.2, .e_kj_per_mol = normalEstimate(first, 1.0), .runs = 7, .t_min_c = 33.1, .t_max_c = 40.4},
               {.degree = 0.8, .e_kj_per_mol = normalEstimate(last, 1.0), .runs = 7, .t_min_c = 63.0, .t_max_c = 97.3}},
        .catalyst_order = normalEstimate(1.01, 0.01),
        .order_found = true};
}

TEST(KineticsText, saysWhetherOneEnergyIsEnough) {
    EXPECT_EQ(modelFreeSentence(friedmanOf(51.2, 50.5)),
              "Friedman: 50.5 to 51.2 kJ/mol between the degrees 0.2 and 0.8, with a catalyst order of 1.01 ± 0.02 "
              "found from "
              "the runs. Within its uncertainty one activation energy fits all of the cure.");
    EXPECT_THAT(modelFreeSentence(friedmanOf(51.2, 60.5)), HasSubstr("more than one reaction"));
    EXPECT_THAT(modelFreeSentence(friedmanOf(99.2, 104.0)), HasSubstr("To a tenth one activation energy fits"));
    EXPECT_THAT(modelFreeSentence({.method = "KAS"}), HasSubstr("no activation energy"));
}

TEST(KineticsText, sayWhatAFitComesTo) {
    KineticFit fit;
    fit.rmse_degree = 0.00028;
    fit.parameters = {{.name = "catalyst_order", .unit = "", .value = normalEstimate(1.0, 0.01)}};
    FittedRun run{.name = "rod 03", .rmse_k = 0.03};
    run.adiabatic.mtsr_c = normalEstimate(138.8, 0.2);
    run.adiabatic.mtsr_at_s = 121.0;
    fit.runs = {run};
    fit.models = {{.model = RateModel::autocatalytic, .parameters = 12, .rmse_degree = 0.00028, .aic = 0.0},
                  {.model = RateModel::nth_order, .parameters = 9, .rmse_degree = 0.0068, .aic = 4664.0}};
    EXPECT_EQ(fitSentences(fit),
              (std::vector<std::string>{
                  "The autocatalytic law follows 1 run to within 0.00028 of the degree of cure and 0.03 K of the "
                  "readings.",
                  "The nth-order law misses the degree by 0.0068 and can be left aside.",
                  "Twice the catalyst cures 2.00 ± 0.03 times as fast.",
                  "Had dosing and cooling failed at 121 s of rod 03, the pot could have reached 138.8 ± 0.4 °C."}));
    fit.models[1].aic = 3.0;
    EXPECT_THAT(fitSentences(fit)[1], HasSubstr("do not tell the two apart"));
    fit.models[1].aic = 0.0;
    fit.models[0].aic = 50.0;
    EXPECT_THAT(fitSentences(fit)[1], HasSubstr("matches these runs better"));
}

} // namespace
} // namespace potwatch::format
