// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <charconv>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string_view>

namespace potwatch::test {
namespace {

using Analyse = CommandLine;
using nlohmann::json;
using ::testing::HasSubstr;

const std::vector<std::string> estimates{"onset", "first_deviation", "steepest", "peak", "end"};

constexpr const char* batch = R"(format = 1
[batch]
name = "rod 03"
[charge]
resin_g = 80.0
specific_heat_j_per_g_k = 2.0
[vessel]
heat_capacity_j_per_k = 25.0
[surroundings]
temperature_c = 22.0
[cure]
heat_of_reaction_j_per_g = 270.0
)";

std::string contentOf(const std::string& path) {
    std::ifstream stream(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

// The number that a text begins with, with a point whatever the locale.
double number(std::string_view text) {
    double value = 0.0;
    std::from_chars(text.data(), text.data() + text.size(), value);
    return value;
}

// An estimate is null or has its four finite numbers in order.
void expectEstimate(const json& e) {
    if (!e.is_null()) {
        EXPECT_LE(e.at("low").get<double>(), e.at("value").get<double>());
        EXPECT_LE(e.at("value").get<double>(), e.at("high").get<double>());
        EXPECT_GE(e.at("u").get<double>(), 0.0);
    }
}

TEST_F(Analyse, printsOneJsonObjectWithTheKeysOfTheContract) {
    const std::string csv = file("rod.csv", castingCsv());
    const std::string beside = file("rod.batch.toml", batch);
    const Outcome outcome = potwatch({"analyse", csv, "--at", "300,700.5", "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.err, "");
    const json object = outcome.json();
    EXPECT_EQ(object.at("format"), 1);
    const json& run = object.at("runs").at(0);
    EXPECT_EQ(run.at("run"), "rod 03");
    EXPECT_EQ(run.at("channel"), "pot_c");
    EXPECT_EQ(run.at("samples").at("kept"), 1500);
    for (const char* key : {"onset", "first_deviation", "steepest", "peak", "end", "boil_plateau"}) {
        EXPECT_TRUE(run.at("landmarks").contains(key)) << key;
    }
    for (const char* key : {"released_j", "per_gram_j", "heat_capacity_j_per_k", "loss_coefficient_w_per_k",
                            "loss_exponent", "evaporated_g", "adiabatic_rise_k"}) {
        expectEstimate(run.at("heat").at(key));
    }
    EXPECT_TRUE(run.at("heat").at("lower_bound").is_boolean());
    EXPECT_TRUE(run.at("cure").contains("final"));
    EXPECT_EQ(run.at("cure").at("at").size(), 2U);
    EXPECT_EQ(run.at("cure").at("at").at(1).at("time_s"), 700.5);
    EXPECT_TRUE(run.at("warnings").is_array());
    EXPECT_FALSE(run.at("landmarks").at("peak").is_null());
    EXPECT_NEAR(run.at("landmarks").at("peak").at("temperature_c").at("value").get<double>(), 78.0, 4.0);
}

TEST_F(Analyse, neverPrintsAFigureThatIsNoNumber) {
    for (const std::string& content : {idleCsv(), castingCsv()}) {
        const Outcome outcome = potwatch({"analyse", file("pot.csv", content), "--json"});
        EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
        EXPECT_TRUE(outcome.json().is_object());
        EXPECT_THAT(outcome.out, ::testing::Not(::testing::ContainsRegex("[Nn]a[Nn]|[Ii]nf[^o]")));
    }
}

TEST_F(Analyse, potInWhichNothingHappensHasNoLandmarksAndAWarning) {
    const Outcome outcome = potwatch({"analyse", file("idle.csv", idleCsv()), "--json"});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    const json run = outcome.json().at("runs").at(0);
    EXPECT_TRUE(run.at("landmarks").at("onset").is_null());
    EXPECT_TRUE(run.at("landmarks").at("peak").is_null());
    EXPECT_FALSE(run.at("warnings").empty());
}

TEST_F(Analyse, timeRunningBackwardsIsSettledInTheOpen) {
    std::string text = castingCsv();
    text += "1000,30.0\n1002,30.0\n";
    const Outcome outcome = potwatch({"analyse", file("back.csv", text), "--json"});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_FALSE(outcome.json().at("runs").at(0).at("warnings").empty());
}

TEST_F(Analyse, spikesOfImpossibleSizeDoNotBecomeThePeak) {
    std::string text = castingCsv();
    text += "3000,1e308\n3002,inf\n3004,nan\n3006,-1e308\n";
    for (int i = 0; i < 20; ++i) {
        text += fmt::format("{},22.1\n", 3008 + 2 * i);
    }
    const Outcome outcome = potwatch({"analyse", file("spike.csv", text), "--json"});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    const json run = outcome.json().at("runs").at(0);
    EXPECT_NEAR(run.at("landmarks").at("peak").at("temperature_c").at("value").get<double>(), 78.0, 4.0);
    EXPECT_LT(run.at("landmarks").at("peak").at("reading_c").get<double>(), 90.0);
}

TEST_F(Analyse, theTableNamesTheFindingsAndFitsATerminal) {
    const std::string csv = file("rod.csv", castingCsv());
    const std::string beside = file("rod.batch.toml", batch);
    const Outcome outcome = potwatch({"analyse", csv}, {.folder = folder_.string()});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_THAT(outcome.out, ::testing::StartsWith("rod 03: "));
    for (const char* word : {"onset", "steepest", "peak", "heat released", "degree of cure", "°C"}) {
        EXPECT_THAT(outcome.out, HasSubstr(word));
    }
}

TEST_F(Analyse, writesTheSeriesWithPointsAndSortedTimes) {
    const std::string csv = file("rod.csv", castingCsv());
    const Outcome outcome = potwatch({"analyse", csv, "--series", path("series.csv"), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.json().at("written").at(0), path("series.csv"));
    const std::string series = contentOf(path("series.csv"));
    EXPECT_THAT(series, ::testing::StartsWith("time_s,reading_c,temperature_c,"));
    EXPECT_EQ(linesOf(series), 1501);
    const json read = potwatch({"inspect", path("series.csv"), "--json"}).json();
    EXPECT_EQ(read.at("files").at(0).at("rows_kept"), 1500);
}

// The graphics library takes over the locale of the environment: what is written after a plot must still have points.
TEST_F(Analyse, numbersKeepTheirPointAfterAPlot) {
    const std::string csv = file("rod.csv", castingCsv());
    const Outcome plain = potwatch({"analyse", csv, "--json", "--series", path("plain.csv")});
    const Outcome drawn =
        potwatch({"analyse", csv, "--json", "--plot", path("rod.svg"), "--series", path("drawn.csv")});
    if (drawn.exit_code == 3) {
        GTEST_SKIP() << "this build or machine draws no plots: " << drawn.err;
    }
    EXPECT_EQ(drawn.exit_code, 0) << drawn.err;
    EXPECT_EQ(contentOf(path("drawn.csv")), contentOf(path("plain.csv")));
    EXPECT_EQ(drawn.json().at("runs"), plain.json().at("runs"));
    EXPECT_THAT(contentOf(path("rod.svg")), HasSubstr("<svg"));
}

TEST_F(Analyse, writesAFileForEachOfSeveralRuns) {
    const std::string a = file("a.csv", castingCsv());
    const std::string b = file("b.csv", castingCsv());
    const Outcome outcome = potwatch({"analyse", a, b, "--series", path("out.csv")});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_TRUE(std::filesystem::exists(path("out-a.csv")));
    EXPECT_TRUE(std::filesystem::exists(path("out-b.csv")));
    EXPECT_THAT(outcome.out, HasSubstr("Written: " + path("out-b.csv")));
}

TEST_F(Analyse, outputThatCannotBeWrittenIsAStorageFaultAndLeavesNothing) {
    const std::string csv = file("rod.csv", castingCsv());
    const Outcome outcome = potwatch({"analyse", csv, "--series", path("no/such/folder.csv"), "--json"});
    expectOneFault(outcome, 3, "no/such/folder.csv");
    EXPECT_EQ(outcome.json().at("runs").size(), 1U);
    EXPECT_TRUE(outcome.json().at("written").empty());
    EXPECT_FALSE(std::filesystem::exists(path("no")));
}

TEST_F(Analyse, batchFileMayLieElsewhere) {
    const std::string csv = file("rod.csv", castingCsv());
    const Outcome outcome = potwatch({"analyse", csv, "--batch", file("other.toml", batch), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.json().at("runs").at(0).at("run"), "rod 03");
    EXPECT_EQ(outcome.json().at("runs").at(0).at("cure").at("reference_j_per_g"), 270.0);
}

TEST_F(Analyse, oneBatchFileForTwoRunsKeepsTheirNamesApart) {
    const std::string a = file("a.csv", castingCsv());
    const std::string b = file("b.csv", castingCsv());
    const json object = potwatch({"analyse", a, b, "--batch", file("both.toml", batch), "--json"}).json();
    EXPECT_EQ(object.at("runs").at(0).at("run"), "a");
    EXPECT_EQ(object.at("runs").at(1).at("run"), "b");
}

TEST_F(Analyse, millivoltsWithoutATypeNameTheOption) {
    std::string text = "time_s,probe_mv\n";
    for (int i = 0; i < 200; ++i) {
        text += fmt::format("{},{:.3f}\n", i, 0.9 + 0.001 * i);
    }
    const std::string csv = file("probe.csv", text);
    expectOneFault(potwatch({"analyse", csv, "--unit", "mV"}), 1, "--thermocouple");
    expectOneFault(potwatch({"analyse", csv, "--unit", "mV", "--thermocouple", "K"}), 1, "--cold-junction");
    const Outcome outcome = potwatch(
        {"analyse", csv, "--unit", "mV", "--thermocouple", "K", "--cold-junction", "22", "--series", path("s.csv")});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
}

TEST_F(Analyse, unknownChannelIsAFaultThatListsTheColumns) {
    const Outcome outcome = potwatch({"analyse", file("rod.csv", castingCsv()), "--channel", "core_c"});
    expectOneFault(outcome, 1, "pot_c");
}

TEST_F(Analyse, readsStandardInput) {
    const Outcome outcome = potwatch({"analyse", "-", "--json"}, {.input = castingCsv()});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.json().at("runs").at(0).at("run"), "standard input");
}

TEST_F(Analyse, givesGelTimeAndEquivalentTimeWhereTheyCanBeKnown) {
    const std::string csv = file("rod.csv", castingCsv());
    const std::string beside = file("rod.batch.toml", std::string(batch) + "gel_degree = 0.3\n");
    const Outcome outcome = potwatch({"analyse", csv, "--equivalent-at", "25", "--energy", "60", "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json cure = outcome.json().at("runs").at(0).at("cure");
    ASSERT_FALSE(cure.at("gel_time_s").is_null());
    expectEstimate(cure.at("gel_time_s"));
    const json& equivalent = cure.at("equivalent");
    expectEstimate(equivalent.at("time_s"));
    EXPECT_EQ(equivalent.at("reference_c"), 25.0);
    EXPECT_EQ(equivalent.at("e_kj_per_mol").at("u"), 5.0); // the default that the help names
    EXPECT_THAT(potwatch({"analyse", csv, "--equivalent-at", "25", "--energy", "60", "--energy-u", "2"}).out,
                HasSubstr("as much cure as"));
    const json plain = potwatch({"analyse", csv, "--json"}).json().at("runs").at(0).at("cure");
    EXPECT_TRUE(plain.at("equivalent").is_null());
}

TEST_F(Analyse, wantsTheEnergyOfAnEquivalentTime) {
    const std::string csv = file("rod.csv", castingCsv());
    expectOneFault(potwatch({"analyse", csv, "--equivalent-at", "25"}), 2, "--energy");
    expectOneFault(potwatch({"analyse", csv, "--energy", "60"}), 2, "--equivalent-at");
    expectOneFault(potwatch({"analyse", csv, "--energy-u", "2"}), 2, "--energy-u");
    expectOneFault(potwatch({"analyse", csv, "--equivalent-at", "-300", "--energy", "60"}), 2, "--equivalent-at");
    expectOneFault(potwatch({"analyse", csv, "--equivalent-at", "25", "--energy", "-60"}), 2, "--energy");
}

std::string truth(const std::string& name) {
    return std::string(POTWATCH_SOURCE_DIR) + "/tests/reference/truth/" + name;
}

TEST_F(Analyse, drawsTheSameFiguresFromOneSeed) {
    const std::string csv = file("rod.csv", castingCsv());
    const std::string beside = file("rod.batch.toml", batch);
    const auto heat = [&](const std::string& draws, const std::string& seed) {
        const Outcome outcome = potwatch({"analyse", csv, "--draws", draws, "--seed", seed, "--json"});
        EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
        return outcome.json().at("runs").at(0).at("heat").at("released_j");
    };
    const json linear = heat("0", "1");
    const json drawn = heat("400", "1");
    EXPECT_EQ(drawn, heat("400", "1"));
    EXPECT_NE(drawn, heat("400", "2"));
    EXPECT_EQ(drawn.at("value"), linear.at("value"));
    EXPECT_NEAR(drawn.at("u").get<double>(), linear.at("u").get<double>(), 0.2 * linear.at("u").get<double>());
    EXPECT_NE(potwatch({"analyse", csv, "--draws", "1.5"}).exit_code, 0);
    EXPECT_NE(potwatch({"analyse", csv, "--seed", "-1"}).exit_code, 0);
}

TEST_F(Analyse, tellsWhatADosedPotCouldHaveReached) {
    // Heat capacity before the dose 185 J/K, with it 197; heat 21 600 J.
    const auto heatOf = [&](const std::string& batch_file) {
        return potwatch({"analyse", truth("s03.csv"), "--batch", batch_file, "--json"}).json().at("runs")[0].at("heat");
    };
    const json catalyst = heatOf(truth("s03.batch.toml"));
    EXPECT_NEAR(catalyst.at("mtsr").at("temperature_c").at("value").get<double>(), 22.0 + 21600.0 / 185.0, 1.5);
    EXPECT_NEAR(catalyst.at("mtsr").at("time_s").get<double>(), 120.0, 2.0);
    EXPECT_NEAR(catalyst.at("thermal_inertia").at("value").get<double>(), 197.0 / 172.0, 1e-6);
    // Of a reactant only what is in and has not reacted counts: most late in the run, and far less.
    std::string text = contentOf(truth("s03.batch.toml"));
    const std::string role = "role = \"catalyst\"";
    text.replace(text.find(role), role.size(), "role = \"reactant\"");
    const json reactant = heatOf(file("reactant.toml", text));
    EXPECT_GT(reactant.at("mtsr").at("time_s").get<double>(), 500.0);
    EXPECT_LT(reactant.at("mtsr").at("temperature_c").at("high").get<double>(),
              catalyst.at("mtsr").at("temperature_c").at("value").get<double>());
    const Outcome told = potwatch({"analyse", truth("s03.csv")});
    EXPECT_THAT(told.out, HasSubstr("could reach"));
    EXPECT_THAT(told.out, HasSubstr("MTSR"));
    EXPECT_THAT(told.out, HasSubstr("thermal inertia"));
}

TEST_F(Analyse, tellsTheAdiabaticTraceWithoutItsVessel) {
    // Source: adiabatic-trace-phi1.5.csv and adiabatic-trace-phi1.0.csv, one reaction (E = 100 kJ/mol) with and without
    // a vessel, integrated outside the project.
    const std::string data = std::string(POTWATCH_SOURCE_DIR) + "/tests/reference/data/";
    const std::string batch_file = file("adiabatic.toml", "format = 1\n[charge]\nresin_g = 1.0\n"
                                                          "specific_heat_j_per_g_k = 1.0\n[vessel]\n"
                                                          "heat_capacity_j_per_k = 0.5\n"
                                                          "loss_coefficient_w_per_k = 0.0\n[surroundings]\n"
                                                          "temperature_c = 100.0\n[sensor]\nlag_s = 0.0\n");
    const std::string out = path("phi1.csv");
    const Outcome outcome = potwatch({"analyse", data + "adiabatic-trace-phi1.5.csv", "--unit", "K", "--columns", "T_K",
                                      "--batch", batch_file, "--without-vessel", out, "--energy", "100"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    // When the bare reaction passes 140 °C and 160 °C.
    const auto passes = [](const std::string& csv, double temperature, std::size_t column) {
        std::ifstream stream(csv);
        std::string line;
        std::getline(stream, line);
        double before_s = 0.0;
        double before = 0.0;
        while (std::getline(stream, line)) {
            const double time_s = number(line);
            const double here = number(line.substr(line.find(',') + column));
            if (here >= temperature) {
                return before_s + (time_s - before_s) * (temperature - before) / (here - before);
            }
            before_s = time_s;
            before = here;
        }
        return 0.0;
    };
    for (const double at_c : {120.0, 140.0, 160.0}) {
        const double truth_s = passes(data + "adiabatic-trace-phi1.0.csv", at_c + 273.15, 1);
        ASSERT_GT(truth_s, 0.0);
        EXPECT_NEAR(passes(out, at_c, 1) / truth_s, 1.0, 0.005) << at_c;
    }
    // A pot that loses heat has no such trace.
    const Outcome lossy = potwatch({"analyse", truth("s03.csv"), "--without-vessel", path("no.csv"), "--energy", "50"});
    EXPECT_EQ(lossy.exit_code, 4);
    EXPECT_THAT(lossy.err, HasSubstr("its trace is not adiabatic"));
    EXPECT_EQ(potwatch({"analyse", truth("s03.csv"), "--without-vessel", path("no.csv")}).exit_code, 2);
}

TEST_F(Analyse, callsTheHeatOfASecondHeatingResidual) {
    const std::string csv = file("again.csv", castingCsv());
    std::string text = batch;
    text.replace(text.find("name = \"rod 03\""), 15, "name = \"rod 03 again\"\nsecond_heating_of = \"rod 03\"");
    const Outcome told = potwatch({"analyse", csv, "--batch", file("second.toml", text)});
    ASSERT_EQ(told.exit_code, 0) << told.err;
    EXPECT_THAT(told.out, HasSubstr("residual heat"));
    EXPECT_THAT(told.out, HasSubstr("degree before it"));
    EXPECT_THAT(told.out, testing::Not(HasSubstr("heat released")));
}

} // namespace
} // namespace potwatch::test
