// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <cmath>
#include <fstream>
#include <functional>
#include <iterator>

namespace potwatch::test {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;

// One reading a second, a tenth of a kelvin of ripple on it.
std::string table(const std::string& column, int seconds, const std::function<double(int)>& reading_c) {
    std::string text = "time_s," + column + "\n";
    for (int t = 0; t <= seconds; ++t) {
        text += fmt::format("{},{:.3f}\n", t, reading_c(t) + 0.1 * std::sin(2.3 * t));
    }
    return text;
}

class Calibrate : public CommandLine {
protected:
    [[nodiscard]] Outcome run(std::vector<std::string> words) const {
        words.insert(words.begin(), "calibrate");
        words.insert(words.end(), {"--config", path("settings")});
        return potwatch(words);
    }
    [[nodiscard]] std::string kept() const {
        std::ifstream stream(path("settings/calibration.toml"), std::ios::binary);
        return {std::istreambuf_iterator<char>(stream), {}};
    }
    [[nodiscard]] std::string ice(const std::string& column = "pot_c") const {
        return file("ice.csv", table(column, 300, [](int t) { return 0.42 + 22.0 * std::exp(-t / 4.0); }));
    }
    [[nodiscard]] std::string boiling() const {
        return file("boiling.csv", table("pot_c", 300, [](int) { return 99.6; }));
    }
    [[nodiscard]] std::string plunge() const {
        return file("plunge.csv",
                    table("pot_c", 120, [](int t) { return t < 20 ? 80.0 : 0.4 + 79.6 * std::exp((20 - t) / 5.0); }));
    }
};

TEST_F(Calibrate, findsIcePointAndKeepsIt) {
    const Outcome outcome = run({"ice", ice(), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json probe = outcome.json()["probes"].at(0);
    EXPECT_EQ(probe["channel"], "pot_c");
    EXPECT_NEAR(probe["ice_reading_c"].get<double>(), 0.42, 0.03);
    EXPECT_EQ(probe["true_c"], 0.0);
    EXPECT_GT(probe["from_s"].get<double>(), 10.0);
    EXPECT_EQ(outcome.json()["kept"], path("settings/calibration.toml"));
    EXPECT_THAT(kept(), HasSubstr("format = 1\n"));
    EXPECT_THAT(kept(), HasSubstr("ice_reading_c = 0.4")); // with a point, whatever the locale
    const std::string text = run({"ice", ice()}).out;
    EXPECT_THAT(text, HasSubstr("too high there"));
    EXPECT_THAT(text, HasSubstr("any device"));
}

// Source of the boiling point: IAPWS R7-97(2012), region 4: 99.974 °C at 101.325 kPa.
TEST_F(Calibrate, boilingGoesByTheAirPressure) {
    const Outcome outcome = run({"boiling", boiling(), "--pressure-kpa", "101.325", "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_NEAR(outcome.json()["probes"].at(0)["true_c"].get<double>(), 99.974, 0.001);
    expectOneFault(run({"boiling", boiling()}), 1, "--pressure-kpa");
    expectOneFault(run({"boiling", boiling(), "--pressure-kpa", "1.013"}), 1, "1.013 kPa");
    expectOneFault(run({"boiling", boiling(), "--pressure-kpa", "98,2"}), 2, "--pressure-kpa");
}

TEST_F(Calibrate, findsTheLagOfAPlunge) {
    const Outcome outcome = run({"lag", plunge(), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_NEAR(outcome.json()["probes"].at(0)["lag_s"].get<double>(), 5.0, 0.1);
    EXPECT_THAT(run({"lag", plunge()}).out, HasSubstr("lag of 5"));
}

TEST_F(Calibrate, refusesWhatIsNoIceWater) {
    const std::string room = file("room.csv", table("pot_c", 300, [](int) { return 22.0; }));
    expectOneFault(run({"ice", room}), 1, "22.0 °C");
    const std::string warming = file("warming.csv", table("pot_c", 300, [](int t) { return 0.05 * t; }));
    expectOneFault(run({"ice", warming}), 4, "not steady");
    const std::string brief = file("brief.csv", table("pot_c", 30, [](int) { return 0.3; }));
    expectOneFault(run({"ice", brief}), 4, "a minute is needed");
    expectOneFault(run({"lag", room}), 1, "changed by");
    EXPECT_EQ(kept(), "");
    expectOneFault(run({"ice", ice(), "--channel", "core_c"}), 1, "core_c");
}

TEST_F(Calibrate, badInputIsOneLine) {
    expectOneFault(run({"ice", path("nowhere.csv")}), 1, "nowhere.csv");
    expectOneFault(run({"ice"}), 2, "FILE");
    expectOneFault(run({"ice", ice(), "--run", "ice"}), 2, "--run");
    expectOneFault(potwatch({"calibrate"}), 2, "ice, boiling, lag, list or forget");
    expectOneFault(run({"ice", "--run", "ice", "--book", path("nowhere.potbook")}), 1, "nowhere.potbook");
    expectOneFault(run({"ice", ice(), "--port", "/dev/null"}), 3, "--instrument");
    (void)run({"ice", ice()});
    const std::string good = kept();
    (void)file("settings/calibration.toml", "format = 9\n");
    expectOneFault(run({"ice", ice()}), 1, "format");
    EXPECT_EQ(kept(), "format = 9\n"); // a newer program's file is not overwritten
    (void)file("settings/calibration.toml", good + "colour = 3\n");
    expectOneFault(run({"list"}), 1, "colour");
}

TEST_F(Calibrate, listsAndForgets) {
    EXPECT_THAT(run({"list"}).out, HasSubstr("No probe was calibrated yet"));
    (void)run({"ice", ice(), "--instrument", "bench logger"});
    (void)run({"boiling", boiling(), "--pressure-kpa", "101.325", "--instrument", "bench logger"});
    (void)run({"lag", plunge(), "--instrument", "bench logger"});
    const json listed = run({"list", "--json"}).json();
    ASSERT_EQ(listed["probes"].size(), 1U);
    EXPECT_EQ(listed["probes"].at(0)["device"], "bench logger");
    EXPECT_EQ(listed["probes"].at(0)["boiling_pressure_kpa"], 101.325);
    EXPECT_TRUE(listed["probes"].at(0)["lag_s"].is_number());
    EXPECT_THAT(run({"list"}).out, HasSubstr("bench logger"));
    expectOneFault(run({"forget", "--channel", "pot_c"}), 1, "any device");
    EXPECT_EQ(run({"forget", "--channel", "pot_c", "--instrument", "bench logger"}).exit_code, 0);
    EXPECT_TRUE(run({"list", "--json"}).json()["probes"].empty());
}

TEST_F(Calibrate, recordAppliesItAndTheRunCarriesACopy) {
    (void)run({"ice", ice()});
    (void)run({"boiling", boiling(), "--pressure-kpa", "101.325"});
    (void)run({"lag", plunge()});
    std::string lines = "pot_c\n";
    for (int i = 0; i < 40; ++i) {
        lines += fmt::format("{:.3f}\n", 20.0 + 0.4 * i);
    }
    const std::vector<std::string> words{"record", "--from", "-",        "--book",        path("live.potbook"),
                                         "--name", "rod",    "--config", path("settings")};
    const Outcome recorded = potwatch(words, {.input = lines});
    ASSERT_EQ(recorded.exit_code, 0) << recorded.err;
    EXPECT_THAT(recorded.out, HasSubstr("pot_c is corrected by its calibration"));
    EXPECT_THAT(recorded.out, HasSubstr("Its lag is 5"));
    ASSERT_EQ(potwatch({"book", path("live.potbook"), "export", "--into", path("out")}).exit_code, 0);
    std::ifstream table_file(path("out/rod.csv"), std::ios::binary);
    const std::string samples{std::istreambuf_iterator<char>(table_file), {}};
    EXPECT_THAT(samples, HasSubstr(",20\n")); // as received
    std::ifstream batch_file(path("out/rod.batch.toml"), std::ios::binary);
    const std::string batch{std::istreambuf_iterator<char>(batch_file), {}};
    EXPECT_THAT(batch, HasSubstr("[probe.calibration]"));
    EXPECT_THAT(batch, HasSubstr("lag_u_s = "));
}

TEST_F(Calibrate, anewReadsTheProbeItselfAndNotItsCorrectedReadings) {
    (void)run({"ice", ice()});
    (void)file("ice.batch.toml",
               "[[probe]]\nchannel = \"pot_c\"\n[probe.calibration]\nice_reading_c = 0.42\nice_u_k = 0.06\n");
    const Outcome again = run({"ice", ice(), "--json"});
    ASSERT_EQ(again.exit_code, 0) << again.err;
    EXPECT_NEAR(again.json()["probes"].at(0)["ice_reading_c"].get<double>(), 0.42, 0.03);
}

TEST_F(Calibrate, analyseCorrectsAndCsvToBookAndBackIsTheSame) {
    const std::string csv = file("rod.csv", castingCsv());
    const json plain = potwatch({"analyse", csv, "--json"}).json()["runs"].at(0);
    (void)file("rod.batch.toml", "format = 1\n[[probe]]\nchannel = \"pot_c\"\nlag_s = 3.0\nlag_u_s = 0.3\n"
                                 "[probe.calibration]\nice_reading_c = 1.5\nice_u_k = 0.06\nboiling_reading_c = 99.0\n"
                                 "boiling_u_k = 0.14\nboiling_pressure_kpa = 101.325\n");
    const Outcome outcome = potwatch({"analyse", csv, "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json corrected = outcome.json()["runs"].at(0);
    const double reading_c = plain["landmarks"]["peak"]["reading_c"];
    const double scale = 99.974 / (99.0 - 1.5);
    EXPECT_NEAR(corrected["landmarks"]["peak"]["reading_c"].get<double>(), scale * (reading_c - 1.5), 0.002);
    EXPECT_GE(corrected["landmarks"]["peak"]["temperature_c"]["u"].get<double>(), 0.14);
    bool is_told = false;
    for (const json& input : corrected["inputs"]) {
        is_told = is_told || (input["from"] == "calibration" && input["name"] == "correction at 0 °C" &&
                              std::abs(input["value"].get<double>() + 1.5) < 1e-9);
    }
    EXPECT_TRUE(is_told);
    EXPECT_THAT(potwatch({"analyse", csv}).out, HasSubstr("calibration: \u22121.50 K at 0 °C, +0.97 K at boiling"));

    ASSERT_EQ(potwatch({"book", path("b.potbook"), "import", csv}).exit_code, 0);
    ASSERT_EQ(potwatch({"book", path("b.potbook"), "export", "--into", path("back")}).exit_code, 0);
    json again = potwatch({"analyse", path("back/rod.csv"), "--json"}).json()["runs"].at(0);
    again["file"] = corrected["file"];
    EXPECT_EQ(again, corrected);
}

TEST_F(Calibrate, aCalibrationThatNoProbeCanHaveIsAFault) {
    const std::string csv = file("rod.csv", castingCsv());
    (void)file("rod.batch.toml", "[[probe]]\nchannel = \"pot_c\"\n[probe.calibration]\nice_reading_c = 40.0\n");
    expectOneFault(potwatch({"analyse", csv}), 1, "melting ice");
    (void)file("rod.batch.toml", "[[probe]]\nchannel = \"pot_c\"\n[probe.calibration]\nboiling_reading_c = 99.0\n");
    expectOneFault(potwatch({"analyse", csv}), 1, "boiling_pressure_kpa");
}

} // namespace
} // namespace potwatch::test
