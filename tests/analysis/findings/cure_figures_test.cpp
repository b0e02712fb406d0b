// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/equivalent_time.h"
#include "analysis/findings/analyse.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace potwatch {
namespace {

using signal_tests::evenTrace;

// A pot that rises to 70 °C and cools again.
double pot(double t) {
    const double rise = 1.0 / (1.0 + std::exp(-(t - 300.0) / 20.0));
    return 21.0 + 49.0 * rise * std::exp(-std::max(0.0, t - 420.0) / 300.0);
}

double smallPot(double t) {
    return 21.0 + 0.2 * (pot(t) - 21.0);
}

potwatch::Run runOf(const std::string& name, double (*temperature)(double) = pot, std::size_t samples = 3001) {
    auto trace = evenTrace(samples, 0.5, temperature);
    signal_tests::addNoise(trace, 0.05);
    potwatch::Run run{.name = name,
                      .file = name + ".csv",
                      .time_s = trace.time_s,
                      .channels = {{.name = "pot_c", .unit = "degC", .values = trace.value}}};
    run.batch.file = name + ".batch.toml";
    run.batch.charge = {.resin_g = 50.0, .specific_heat_j_per_g_k = 2.0};
    run.batch.vessel = {.heat_capacity_j_per_k = 20.0, .loss_coefficient_w_per_k = 0.4};
    run.batch.surroundings.temperature_c = 21.0;
    return run;
}

std::vector<Findings> findingsOf(const std::vector<potwatch::Run>& runs, const AnalyseOptions& options = {}) {
    std::vector<Findings> all;
    for (const auto& result : analyse(runs, options)) {
        EXPECT_TRUE(result) << describe(result.error());
        all.push_back(result ? result->findings : Findings{});
    }
    return all;
}

bool warns(const Findings& findings, const std::string& words) {
    return std::any_of(findings.warnings.begin(), findings.warnings.end(),
                       [&](const std::string& warning) { return warning.find(words) != std::string::npos; });
}

TEST(GelTime, isWhereTheSeriesPassTheGelDegree) {
    potwatch::Run run = runOf("a");
    run.batch.cure = {.heat_of_reaction_j_per_g = 180.0, .gel_degree = 0.55};
    const auto analysed = analyse(std::vector<potwatch::Run>{run}, {}).at(0);
    ASSERT_TRUE(analysed);
    const auto& gel = analysed->findings.cure.gel_time_s;
    ASSERT_TRUE(gel);
    const Series& series = analysed->series;
    const auto passing = [&](const std::vector<double>& degree) {
        return series.time_s[static_cast<std::size_t>(
            std::find_if(degree.begin(), degree.end(), [](double d) { return d >= 0.55; }) - degree.begin())];
    };
    EXPECT_NEAR(gel->value, passing(series.degree), 0.6);
    EXPECT_NEAR(gel->low, passing(series.degree_high), 0.6);
    EXPECT_NEAR(gel->high, passing(series.degree_low), 0.6);
    EXPECT_LT(gel->low, gel->value);
}

TEST(GelTime, needsAGelDegreeAndAReference) {
    potwatch::Run run = runOf("a");
    run.batch.cure.heat_of_reaction_j_per_g = 180.0;
    EXPECT_FALSE(findingsOf({run}).at(0).cure.gel_time_s);
    run.batch.cure = {.gel_degree = 0.55}; // relative to itself every run would pass it
    EXPECT_FALSE(findingsOf({run}).at(0).cure.gel_time_s);
    run.batch.cure = {.heat_of_reaction_j_per_g = 900.0, .gel_degree = 0.55};
    EXPECT_FALSE(findingsOf({run}).at(0).cure.gel_time_s);
}

TEST(EquivalentTime, countsFromTheDoseToTheEnd) {
    const AnalyseOptions options{.equivalent = EquivalentAt{50.0, normalEstimate(60.0, 4.0)}};
    potwatch::Run run = runOf("a");
    run.batch.dose = Dose{.total_g = 1.0, .rate_g_per_min = 1.0, .start_s = 100.0};
    const auto found = findingsOf({run}, options).at(0).cure.equivalent;
    ASSERT_TRUE(found);
    EXPECT_DOUBLE_EQ(found->from_s, 100.0);
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    for (int i = 200; i <= 3000; ++i) {
        time_s.push_back(0.5 * i);
        temperature_c.push_back(pot(0.5 * i));
    }
    const Estimate exact =
        cure::equivalentTime({.time_s = time_s, .temperature_c = temperature_c}, 50.0, normalEstimate(60.0, 4.0));
    EXPECT_NEAR(found->time_s.value / exact.value, 1.0, 0.005);
    EXPECT_LE(found->time_s.low, exact.value);
    EXPECT_GE(found->time_s.high, exact.value);
    EXPECT_FALSE(findingsOf({run}).at(0).cure.equivalent);
}

TEST(SecondHeating, withAHeatOfReactionIsOneLessTheResidual) {
    potwatch::Run run = runOf("a again", smallPot);
    run.batch.second_heating_of = "a";
    run.batch.cure.heat_of_reaction_j_per_g = 180.0;
    const Findings findings = findingsOf({run}).at(0);
    const double residual = findings.heat.per_gram_j->value;
    EXPECT_GT(residual, 10.0);
    EXPECT_NEAR(findings.cure.final_degree->value, 1.0 - residual / 180.0, 1e-9);
    EXPECT_LT(findings.cure.final_degree->low, findings.cure.final_degree->value);
    EXPECT_TRUE(warns(findings, "second heating of a"));
}

TEST(SecondHeating, duringItTheDegreeRisesToTheWhole) {
    potwatch::Run run = runOf("a again", smallPot);
    run.batch.second_heating_of = "a";
    run.batch.cure.heat_of_reaction_j_per_g = 180.0;
    const Findings findings = findingsOf({run}, {.at_s = {100.0, 1500.0}}).at(0);
    EXPECT_NEAR(findings.cure.at[0].degree->value, findings.cure.final_degree->value, 0.01);
    EXPECT_NEAR(findings.cure.at[1].degree->value, 1.0, 1e-9);
}

TEST(SecondHeating, besideTheFirstOneNeedsNoHeatOfReaction) {
    potwatch::Run first = runOf("a");
    potwatch::Run second = runOf("a again", smallPot);
    second.batch.second_heating_of = "a";
    for (const bool first_comes_first : {true, false}) {
        const auto all = first_comes_first ? findingsOf({first, second}) : findingsOf({second, first});
        const Findings& one = all[first_comes_first ? 0 : 1];
        const Findings& two = all[first_comes_first ? 1 : 0];
        const double whole = one.heat.released_j->value + two.heat.released_j->value;
        ASSERT_TRUE(two.cure.final_degree);
        EXPECT_NEAR(two.cure.final_degree->value, one.heat.released_j->value / whole, 1e-9);
        EXPECT_NEAR(*two.cure.reference_j_per_g, whole / 50.0, 1e-9);
        EXPECT_EQ(two.cure.reference_from, "both heatings");
    }
}

TEST(SecondHeating, aloneAndWithoutAReferenceGivesNoDegree) {
    potwatch::Run run = runOf("a again", smallPot);
    run.batch.second_heating_of = "a";
    const Findings findings = findingsOf({run}).at(0);
    EXPECT_TRUE(findings.heat.released_j);
    EXPECT_FALSE(findings.cure.final_degree);
    EXPECT_TRUE(warns(findings, "analyse both together"));
}

} // namespace
} // namespace potwatch
