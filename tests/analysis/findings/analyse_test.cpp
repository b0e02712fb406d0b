// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace potwatch {
namespace {

using signal_tests::evenTrace;

// A pot that rises to 70 °C and cools again; nothing is stated of it.
double pot(double t) {
    const double rise = 1.0 / (1.0 + std::exp(-(t - 300.0) / 20.0));
    return 21.0 + 49.0 * rise * std::exp(-std::max(0.0, t - 420.0) / 300.0);
}

Run runOf(double (*temperature)(double), std::size_t samples = 3001) {
    auto trace = evenTrace(samples, 0.5, temperature);
    signal_tests::addNoise(trace, 0.1);
    return {.name = "a",
            .file = "a.csv",
            .time_s = trace.time_s,
            .channels = {{.name = "pot_c", .unit = "degC", .values = trace.value}}};
}

Findings findingsOf(const Run& run, const AnalyseOptions& options = {}) {
    const auto results = analyse(std::vector<potwatch::Run>{run}, options);
    EXPECT_TRUE(results.at(0)) << describe(results.at(0).error());
    return results.at(0) ? results.at(0)->findings : Findings{};
}

Fault faultOf(const Run& run, const AnalyseOptions& options = {}) {
    const auto results = analyse(std::vector<potwatch::Run>{run}, options);
    EXPECT_FALSE(results.at(0));
    return results.at(0) ? Fault{} : results.at(0).error();
}

bool warns(const Findings& findings, const std::string& words) {
    return std::any_of(findings.warnings.begin(), findings.warnings.end(),
                       [&](const std::string& warning) { return warning.find(words) != std::string::npos; });
}

TEST(Analyse, givesRelativeCureFromATraceAlone) {
    const Findings findings = findingsOf(runOf(pot), {.at_s = {300.0}});
    ASSERT_TRUE(findings.landmarks.peak);
    EXPECT_FALSE(findings.heat.released_j);
    EXPECT_EQ(findings.cure.reference_from, "this run itself");
    EXPECT_DOUBLE_EQ(findings.cure.final_degree->value, 1.0);
    EXPECT_GT(findings.cure.at.at(0).degree->value, 0.1);
    EXPECT_LT(findings.cure.at.at(0).degree->value, 0.9);
}

TEST(Analyse, findsNoExothermInAFlatTraceAndSaysSo) {
    const Findings findings = findingsOf(runOf([](double) { return 22.0; }));
    EXPECT_FALSE(findings.landmarks.peak);
    EXPECT_FALSE(findings.heat.released_j);
    EXPECT_FALSE(findings.cure.final_degree);
    EXPECT_TRUE(warns(findings, "no exotherm"));
}

TEST(Analyse, refusesATraceThatIsTooShort) {
    EXPECT_EQ(faultOf(runOf(pot, 10)).kind, FaultKind::missing);
}

TEST(Analyse, namesTheChannelsWhereOneIsWrong) {
    const Fault fault = faultOf(runOf(pot), {.channel = "core_c"});
    EXPECT_EQ(fault.kind, FaultKind::input);
    EXPECT_NE(fault.remedy.find("pot_c"), std::string::npos);
}

TEST(Analyse, putsStepsBackInOrderAndSaysSo) {
    potwatch::Run run = runOf(pot);
    std::swap(run.time_s[1000], run.time_s[1001]);
    std::swap(run.channels[0].values[1000], run.channels[0].values[1001]);
    const Findings findings = findingsOf(run);
    EXPECT_TRUE(warns(findings, "the clock steps back 1 time"));
    EXPECT_EQ(findings.landmarks, findingsOf(runOf(pot)).landmarks);
}

TEST(Analyse, takesOutSpikesAndImpossibleReadings) {
    potwatch::Run run = runOf(pot);
    run.channels[0].values[800] = 400.0;
    run.channels[0].values[2000] = 1e308;
    run.channels[0].values[2001] = std::numeric_limits<double>::quiet_NaN();
    const Findings findings = findingsOf(run);
    EXPECT_TRUE(warns(findings, "1 spike taken out"));
    EXPECT_TRUE(warns(findings, "outside -273.15 to 3000 °C"));
    EXPECT_NEAR(findings.landmarks.peak->temperature_c.value, 70.0, 0.5);
}

TEST(Analyse, notesWhatStandsInForWhatIsNotStated) {
    potwatch::Run run = runOf(pot);
    run.batch.file = "a.batch.toml";
    run.batch.charge.resin_g = 50.0;
    const Findings findings = findingsOf(run);
    EXPECT_TRUE(findings.heat.released_j);
    EXPECT_TRUE(warns(findings, "specific heat is not stated"));
    EXPECT_TRUE(warns(findings, "vessel's heat capacity is not stated"));
    EXPECT_TRUE(std::any_of(findings.inputs.begin(), findings.inputs.end(),
                            [](const Input& input) { return input.from == "default"; }));
}

TEST(Analyse, keepsTheGoodRunsOfAList) {
    const auto results = analyse(std::vector<potwatch::Run>{runOf(pot, 10), runOf(pot)}, {});
    EXPECT_FALSE(results.at(0));
    EXPECT_TRUE(results.at(1));
}

TEST(Analyse, stopsWhenAskedTo) {
    std::stop_source source;
    source.request_stop();
    const auto results = analyse(std::vector<potwatch::Run>{runOf(pot)}, {}, {}, source.get_token());
    ASSERT_FALSE(results.at(0));
    EXPECT_EQ(results.at(0).error().kind, FaultKind::cancelled);
}

TEST(Analyse, seriesHaveOneLengthAndNoHoles) {
    const Series series = analyse(std::vector<potwatch::Run>{runOf(pot)}, {}).at(0)->series;
    EXPECT_EQ(series.temperature_c.size(), series.time_s.size());
    EXPECT_EQ(series.degree.size(), series.time_s.size());
    EXPECT_TRUE(series.power_w.empty()); // masses are not known
    EXPECT_TRUE(std::all_of(series.degree.begin(), series.degree.end(), [](double d) { return std::isfinite(d); }));
}

TEST(Analyse, knowsTheDegreeBeforeASecondHeating) {
    potwatch::Run run = runOf(pot);
    run.batch.charge = {.resin_g = 50.0, .specific_heat_j_per_g_k = 2.0};
    run.batch.vessel.heat_capacity_j_per_k = 20.0;
    run.batch.cure.heat_of_reaction_j_per_g = 500.0;
    const Findings first = findingsOf(run);
    run.batch.second_heating_of = "rod 01";
    EXPECT_NEAR(findingsOf(run).cure.final_degree->value, 1.0 - first.cure.final_degree->value, 1e-9);
}

} // namespace
} // namespace potwatch
