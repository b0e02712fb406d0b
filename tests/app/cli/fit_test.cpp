// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/kinetics/kinetics_file.h"
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::test {
namespace {

using Fit = CommandLine;
using nlohmann::json;
using ::testing::HasSubstr;

std::string truth(const std::string& name) {
    return std::string(POTWATCH_SOURCE_DIR) + "/tests/reference/truth/" + name;
}

std::string contentOf(const std::string& path) {
    std::ifstream stream(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

// The batch file of a truth run with one line replaced.
std::string batchWith(const std::string& run, const std::string& line, const std::string& by) {
    std::string text = contentOf(truth(run + ".batch.toml"));
    const std::size_t at = text.find(line);
    EXPECT_NE(at, std::string::npos);
    return text.replace(at, line.size(), by);
}

TEST_F(Fit, printsOneJsonObjectWithTheKeysOfTheContract) {
    const Outcome outcome =
        potwatch({"fit", truth("s02.csv"), truth("s04.csv"), truth("s05.csv"), "--catalyst", "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json fit = outcome.json();
    EXPECT_EQ(fit.at("format"), 1);
    EXPECT_EQ(fit.at("model"), "autocatalytic");
    EXPECT_LT(fit.at("rmse_degree").get<double>(), 0.0013);
    std::set<std::string> names;
    for (const json& one : fit.at("parameters")) {
        names.insert(one.at("name").get<std::string>());
        EXPECT_LE(one.at("low").get<double>(), one.at("value").get<double>());
        EXPECT_LE(one.at("value").get<double>(), one.at("high").get<double>());
        EXPECT_GT(one.at("u").get<double>(), 0.0); // no parameter without its uncertainty
        EXPECT_TRUE(one.at("unit").is_string());
    }
    EXPECT_EQ(names, (std::set<std::string>{"a1_per_s", "e1_kj_per_mol", "a2_per_s", "e2_kj_per_mol", "m", "n",
                                            "catalyst_order", "heat_of_reaction_j_per_g", "loss_coefficient_w_per_k",
                                            "loss_exponent"}));
    ASSERT_EQ(fit.at("runs").size(), 3U);
    EXPECT_EQ(fit.at("runs")[0].at("run"), "s02");
    EXPECT_EQ(fit.at("runs")[2].at("run"), "s05");
    ASSERT_EQ(fit.at("left_out").size(), 1U);
    EXPECT_EQ(fit.at("left_out")[0].at("run"), "s05");
    EXPECT_THAT(fit.at("left_out")[0].at("reason").get<std::string>(), HasSubstr("boiled"));
}

TEST_F(Fit, writesAKineticsFileThatReadsBack) {
    const std::string out = path("kinetics.toml");
    const Outcome outcome = potwatch({"fit", truth("s03.csv"), truth("s04.csv"), "--out", out});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_THAT(outcome.out, HasSubstr("Written: " + out));
    const auto kinetics = kinetics_file::readFile(out);
    ASSERT_TRUE(kinetics);
    EXPECT_EQ(kinetics->kind, RateModel::autocatalytic);
    EXPECT_EQ(kinetics->catalyst_order, 1.0);
    EXPECT_NEAR(kinetics->catalyst_reference_g_per_g, 0.05, 1e-12);
    ASSERT_TRUE(kinetics->fit);
    EXPECT_EQ(kinetics->fit->covariance.size(), kinetics->fit->parameters.size());
    EXPECT_GT(kinetics->fit->t_max_c, 95.0);
}

TEST_F(Fit, showsItsFiguresWithIntervalsAndComparesTheLaws) {
    const Outcome outcome = potwatch({"fit", truth("s03.csv"), truth("s04.csv"), "--isoconversional"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    for (const char* words : {"95 % interval", "E2", "kJ/mol", "Correlation", "Laws compared", "nth-order",
                              "What was stated", "the catalyst's order is taken as 1", "not given"}) {
        EXPECT_THAT(outcome.out, HasSubstr(words));
    }
}

TEST_F(Fit, refusesACatalystOrderFromOneRun) {
    expectOneFault(potwatch({"fit", truth("s03.csv"), "--catalyst"}), 4, "one run does not tell the catalyst's order");
}

TEST_F(Fit, refusesRunsWithoutAHeatReference) {
    const std::string batch = file("none.toml", batchWith("s03", "[cure]\nheat_of_reaction_j_per_g = 270.0\n", ""));
    expectOneFault(potwatch({"fit", truth("s03.csv"), "--batch", batch}), 1, "no heat of reaction is stated");
}

TEST_F(Fit, refusesRunsOfDifferentResins) {
    const std::string batch =
        file("other.toml", batchWith("s04", "heat_of_reaction_j_per_g = 270.0", "heat_of_reaction_j_per_g = 300.0"));
    const std::string same = truth("s03.batch.toml");
    expectOneFault(potwatch({"fit", truth("s03.csv"), truth("s04.csv"), "--batch", same, "--batch", batch}), 1,
                   "different resins");
}

TEST_F(Fit, refusesADosedReactant) {
    const std::string batch = file("reactant.toml", batchWith("s03", "role = \"catalyst\"", "role = \"reactant\""));
    expectOneFault(potwatch({"fit", truth("s03.csv"), "--batch", batch}), 1, "a reactant is dosed in s03");
}

TEST_F(Fit, showsWhatThePotWouldComeToWithoutHeatLoss) {
    const Outcome outcome = potwatch({"fit", truth("s02.csv"), truth("s04.csv"), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json figures = outcome.json().at("runs")[1].at("adiabatic");
    const auto holds = [&](const char* key, double truth) {
        const json one = figures.at(key);
        EXPECT_LE(one.at("low").get<double>(), truth) << key;
        EXPECT_GE(one.at("high").get<double>(), truth) << key;
        EXPECT_GT(one.at("u").get<double>(), 0.0) << key;
    };
    // Heat capacity: resin 160, vessel 25, dose 12 J/K; heat 21 600 J; the dose starts at 22 °C.
    holds("phi", 197.0 / 172.0);
    holds("rise_k", 21600.0 / 197.0);
    holds("rise_without_vessel_k", 21600.0 / 172.0);
    EXPECT_NEAR(figures.at("mtsr_c").at("value").get<double>(), 22.0 + 21600.0 / 185.0, 1.0);
    EXPECT_LT(figures.at("zero_order_s").get<double>(), figures.at("time_to_maximum_s").at("low").get<double>());
    EXPECT_LT(figures.at("time_to_maximum_without_vessel_s").at("value").get<double>(),
              figures.at("time_to_maximum_s").at("value").get<double>());
    const Outcome text = potwatch({"fit", truth("s02.csv"), truth("s04.csv")});
    for (const char* words : {"If no heat had left the pot", "MTSR", "TMRad", "phi", "rule of thumb"}) {
        EXPECT_THAT(text.out, HasSubstr(words));
    }
}

TEST_F(Fit, tellsHowLongAtOneTemperatureCuresAsFar) {
    const std::vector<std::string> fit{"fit", truth("s03.csv"), truth("s04.csv"), "--equivalent-at", "60"};
    const Outcome told = potwatch(fit);
    ASSERT_EQ(told.exit_code, 0) << told.err;
    EXPECT_THAT(told.out, HasSubstr("As much cure as, at 60.0 °C"));
    auto with_json = fit;
    with_json.emplace_back("--json");
    const json found = potwatch(with_json).json();
    ASSERT_EQ(found.at("equivalents").size(), 2U);
    const json one = found.at("equivalents")[0];
    // The path that carries most of the cure has 48 kJ/mol; analyse gives the same time with the same energy.
    const double energy = one.at("e_kj_per_mol").at("value").get<double>();
    EXPECT_NEAR(energy, 48.0, 6.0);
    const json alone = potwatch({"analyse", truth("s03.csv"), "--equivalent-at", "60", "--energy",
                                 fmt::format("{}", energy), "--json"})
                           .json()
                           .at("runs")[0]
                           .at("cure")
                           .at("equivalent");
    EXPECT_NEAR(one.at("time_s").at("value").get<double>() / alone.at("time_s").at("value").get<double>(), 1.0, 1e-4);
    expectOneFault(potwatch({"fit", truth("s03.csv"), "--equivalent-at", "-300"}), 2, "must be above -100");
}

TEST_F(Fit, saysThatItDoesNotConverge) {
    // Surroundings hotter than the pot ever gets: no law of cure warms and cools it like that.
    const std::string batch = file(
        "hot.toml", batchWith("s04", "[surroundings]\ntemperature_c = 22.0", "[surroundings]\ntemperature_c = 80.0"));
    const Outcome outcome = potwatch({"fit", truth("s04.csv"), "--batch", batch});
    expectOneFault(outcome, 4, "the fit does not converge: the autocatalytic law misses the degree of cure by");
    EXPECT_THAT(outcome.err, HasSubstr("check masses, doses and heat of reaction"));
    EXPECT_TRUE(outcome.out.empty());
    const json answer = potwatch({"fit", truth("s04.csv"), "--batch", batch, "--json"}).json();
    EXPECT_TRUE(answer.at("parameters").is_null());
    EXPECT_EQ(answer.at("faults").size(), 1U);
}

TEST_F(Fit, refusesMoreHeatThanAWholeCureHas) {
    const std::string batch =
        file("small.toml", batchWith("s03", "heat_of_reaction_j_per_g = 270.0", "heat_of_reaction_j_per_g = 27.0"));
    expectOneFault(potwatch({"fit", truth("s03.csv"), "--batch", batch}), 1, "s03 released ");
    EXPECT_THAT(potwatch({"fit", truth("s03.csv"), "--batch", batch}).err,
                testing::ContainsRegex("s03 released (9\\.[89]|10\\.[012]) times the heat"));
}

TEST_F(Fit, refusesTooLittleOfACure) {
    const std::string batch =
        file("large.toml", batchWith("s03", "heat_of_reaction_j_per_g = 270.0", "heat_of_reaction_j_per_g = 3000.0"));
    const Outcome outcome = potwatch({"fit", truth("s03.csv"), "--batch", batch});
    expectOneFault(outcome, 4, "too little data: the cure is seen at ");
    EXPECT_THAT(outcome.err, HasSubstr(" places, from degree 0.02 to 0.09"));
}

TEST_F(Fit, keepsWhatIsNotDeterminedToWhereALawMayBe) {
    const Outcome outcome = potwatch({"fit", truth("s03.csv"), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json found = outcome.json();
    for (const json& one : found.at("parameters")) {
        const std::string name = one.at("name").get<std::string>();
        if (name.starts_with("e1") || name.starts_with("e2")) {
            EXPECT_GT(one.at("low").get<double>(), 0.0) << name;
            EXPECT_LE(one.at("high").get<double>(), 300.0) << name;
        }
    }
}

TEST_F(Fit, refusesATraceInWhichNothingCures) {
    const std::string csv = file("idle.csv", idleCsv());
    const std::string batch =
        file("idle.batch.toml", "format = 1\n[charge]\nresin_g = 80.0\n[surroundings]\n"
                                "temperature_c = 22.0\n[cure]\nheat_of_reaction_j_per_g = 270.0\n");
    expectOneFault(potwatch({"fit", csv, "--batch", batch}), 4, "no exotherm");
}

TEST_F(Fit, namesEveryFileThatCannotBeOpened) {
    const Outcome outcome = potwatch({"fit", truth("s03.csv"), path("not-there.csv"), "--json"});
    EXPECT_EQ(outcome.exit_code, 1);
    EXPECT_THAT(outcome.err, HasSubstr("not-there.csv"));
    EXPECT_EQ(outcome.json().at("faults").size(), 1U);
    EXPECT_TRUE(outcome.json().at("parameters").is_null());
}

// A small sample in a bath that warms at a constant rate from 26.85 °C on: first order, 100 kJ/mol, 1e10/s, 20 J/g,
// 50 J/K, 2 W/K. Read once a second with two decimals; by Euler in steps of 0.05 s. Invented.
std::string rampCsv(double k_per_min) {
    constexpr double hold_s = 60.0;
    constexpr double start_k = 300.0;
    constexpr double to_k = 500.0;
    constexpr double step_s = 0.05;
    const double k_per_s = k_per_min / 60.0;
    const double top_s = (to_k - start_k) / k_per_s;
    std::string csv = "time_s,pot_c,bath_c\n";
    double degree = 0.0;
    double pot_k = start_k;
    for (int step = 0; step * step_s < hold_s + top_s + 600.0; ++step) {
        const double bath_k = start_k + k_per_s * std::clamp(step * step_s - hold_s, 0.0, top_s);
        if (step % 20 == 0) {
            csv += fmt::format("{:.0f},{:.2f},{:.2f}\n", step * step_s, pot_k - 273.15, bath_k - 273.15);
        }
        const double rate_per_s = 1e10 * std::exp(-100e3 / (8.314462618 * pot_k)) * (1.0 - degree);
        degree += step_s * rate_per_s;
        pot_k += step_s * (400.0 * rate_per_s - 2.0 * (pot_k - bath_k)) / 50.0;
    }
    return csv;
}

constexpr std::string_view ramp_batch = R"(format = 1
[charge]
resin_g = 20.0
specific_heat_j_per_g_k = 2.0
boiling_c = 300.0
[vessel]
name = "cell"
heat_capacity_j_per_k = 10.0
loss_coefficient_w_per_k = 2.0
[surroundings]
channel = "bath_c"
[cure]
heat_of_reaction_j_per_g = 20.0
[channels]
pot = "pot_c"
[uncertainty]
specific_heat_rel = 0.002
vessel_j_per_k = 0.1
surroundings_k = 0.01
thermocouple_k = 0.01
)";

TEST_F(Fit, givesTheEnergyFromThePeaksOfConstantHeatingRates) {
    std::vector<std::string> arguments{"fit", "--model", "nth-order", "--isoconversional", "--json"};
    for (const double k_per_min : {5.0, 10.0, 20.0}) {
        const std::string name = fmt::format("ramp-{:.0f}", k_per_min);
        arguments.push_back(file(name + ".csv", rampCsv(k_per_min)));
        (void)file(name + ".batch.toml", ramp_batch);
    }
    const Outcome outcome = potwatch(arguments);
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json found = outcome.json().at("isoconversional").at("constant_rate");
    ASSERT_EQ(found.at("peaks").size(), 3U);
    for (const json& one : found.at("peaks")) {
        // Ozawa's line reads some 2 kJ/mol high here, by Doyle's approximation (tests/reference/model_free_test.cpp).
        EXPECT_NEAR(one.at("e_kj_per_mol").at("value").get<double>(), 100.0, 3.0) << one.at("method");
    }
}

TEST_F(Fit, takesNoOtherLaw) {
    const Outcome outcome = potwatch({"fit", truth("s03.csv"), "--model", "linear"});
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_THAT(outcome.err, HasSubstr("nth-order or autocatalytic"));
}

TEST_F(Fit, doesNotOverwriteWhatItReads) {
    const std::string batch = file("own.toml", contentOf(truth("s03.batch.toml")));
    EXPECT_EQ(potwatch({"fit", truth("s03.csv"), "--batch", batch, "--out", batch}).exit_code, 2);
    EXPECT_EQ(contentOf(batch), contentOf(truth("s03.batch.toml")));
}

} // namespace
} // namespace potwatch::test
