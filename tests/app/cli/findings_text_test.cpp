// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/findings_text.h"
#include "app/cli/output.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::cli {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

// Invented figures of a run in which all is known.
Findings fullFindings() {
    Findings f{.run = "rod 03", .file = "rod-03.csv", .channel = "pot_c"};
    f.samples = {.kept = 14401, .refused = 3, .span_s = 7200.0, .median_interval_s = 0.5};
    f.landmarks.onset = Landmark{normalEstimate(1109.0, 1.0), normalEstimate(45.2, 0.15)};
    f.landmarks.peak = Peak{normalEstimate(1481.0, 0.6), normalEstimate(63.0, 0.15), 62.75};
    f.landmarks.boil_plateau = BoilPlateau{.start_s = 533.0, .end_s = 560.0, .temperature_c = 100.5};
    f.heat.released_j = normalEstimate(21600.0, 300.0);
    f.heat.loss_coefficient_w_per_k = normalEstimate(0.8, 0.01);
    f.heat.loss_from = "cooling tail 1300-2400 s";
    f.cure.final_degree = Estimate{.value = 0.98, .u = 0.02, .low = 0.93, .high = 1.0};
    f.cure.reference_j_per_g = 270.0;
    f.cure.reference_from = "batch file";
    f.cure.at = {{.time_s = 300.0, .degree = normalEstimate(0.2, 0.01)}, {.time_s = 600.0, .degree = std::nullopt}};
    f.warnings = {"the heat rests on a tail that still reacts"};
    return f;
}

TEST(FindingsText, showsEachFigureWithItsUnitAndInterval) {
    const std::string text = findingsText(fullFindings());
    for (const char* words :
         {"rod 03: rod-03.csv, channel pot_c", "3 lines refused", "45.2 ± 0.3 °C", "18 min 29 s", "62.8 °C",
          "533 s to 560 s", "21.6 ± 0.6 kJ", "0.80 ± 0.02 W/K", "cooling tail 1300-2400 s", "of 270 J/g (batch file)",
          "at 300 s", "- the heat rests on a tail that still reacts"}) {
        EXPECT_THAT(text, HasSubstr(words));
    }
}

TEST(FindingsText, saysWhatIsNotKnown) {
    const Findings empty{.run = "x", .file = "x.csv"};
    const std::string text = findingsText(empty);
    EXPECT_THAT(text, HasSubstr("none found"));
    EXPECT_THAT(text, HasSubstr("unknown"));
    EXPECT_THAT(text, Not(HasSubstr("nan")));
}

TEST(FindingsText, saysWhenTheHeatIsALowerBound) {
    Findings f = fullFindings();
    f.heat.lower_bound = true;
    EXPECT_THAT(findingsText(f), HasSubstr("at least 21.6"));
}

TEST(FindingsText, listsThePeaksOfSeveralExotherms) {
    Findings f = fullFindings();
    f.exotherms.resize(2);
    f.exotherms[0].peak = Landmark{normalEstimate(400.0, 1.0), normalEstimate(40.0, 0.15)};
    f.exotherms[1].peak = Landmark{normalEstimate(1481.0, 0.6), normalEstimate(63.0, 0.15)};
    const std::string text = findingsText(f);
    EXPECT_THAT(text, HasSubstr("2 exotherms"));
    EXPECT_THAT(text, HasSubstr("40.0 ± 0.3 °C"));
}

TEST(FindingsText, namesOnsetPeakAndEndOfEachExotherm) {
    Findings f = fullFindings();
    f.exotherms.resize(2);
    f.exotherms[0] = {.onset = Landmark{normalEstimate(310.0, 1.0), normalEstimate(31.0, 0.15)},
                      .peak = Landmark{normalEstimate(400.0, 1.0), normalEstimate(40.0, 0.15)},
                      .end = Landmark{normalEstimate(450.0, 1.0), normalEstimate(38.0, 0.15)}};
    f.exotherms[1].peak = Landmark{normalEstimate(1481.0, 0.6), normalEstimate(63.0, 0.15)};
    const std::string text = findingsText(f);
    for (const char* name : {"1 onset", "1 peak", "1 end", "2 peak"}) {
        EXPECT_THAT(text, HasSubstr(name));
    }
    EXPECT_THAT(text, Not(HasSubstr("2 onset")));
}

TEST(FindingsText, tellsAHotterReadingThanThePeaks) {
    Findings f = fullFindings();
    EXPECT_THAT(findingsText(f), Not(HasSubstr("hottest of all")));
    f.highest_reading = HighestReading{.time_s = 0.0, .reading_c = 180.0};
    EXPECT_THAT(findingsText(f), HasSubstr("180.0 °C"));
    f.highest_reading->reading_c = f.landmarks.peak->reading_c.value();
    EXPECT_THAT(findingsText(f), Not(HasSubstr("hottest of all")));
}

TEST(FindingsText, doesNotListThePeaksOfAWholeYear) {
    Findings f = fullFindings();
    f.exotherms.resize(247);
    for (Exotherm& exotherm : f.exotherms) {
        exotherm.peak = Landmark{normalEstimate(400.0, 1.0), normalEstimate(40.0, 0.15)};
    }
    const std::string text = findingsText(f);
    EXPECT_THAT(text, HasSubstr("247 exotherms"));
    EXPECT_THAT(text, HasSubstr("and 241 more; --json lists them all"));
}

TEST(FindingsText, aBoundOnWhatIsNotKnownIsNoBound) {
    Findings f = fullFindings();
    f.heat.lower_bound = true;
    f.heat.released_j = std::nullopt;
    EXPECT_THAT(findingsText(f), Not(HasSubstr("at least")));
}

TEST(FindingsText, saysWhatWasPutByHand) {
    Findings f = fullFindings();
    EXPECT_THAT(findingsText(f), Not(HasSubstr("by hand")));
    f.by_hand = {LandmarkKind::firstDeviation, LandmarkKind::peak};
    EXPECT_THAT(findingsText(f), HasSubstr("put by hand       first deviation and peak\n"));
}

TEST(FindingsText, fitsATerminalOfEightyColumns) {
    const std::string text = findingsText(fullFindings());
    std::size_t begin = 0;
    for (std::size_t end = text.find('\n'); end != std::string::npos; end = text.find('\n', begin)) {
        EXPECT_LE(columnsOf(text.substr(begin, end - begin)), 80U) << text.substr(begin, end - begin);
        begin = end + 1;
    }
}

} // namespace
} // namespace potwatch::cli
