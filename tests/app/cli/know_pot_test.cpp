// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/analysis/findings/hot_water.h"
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <fstream>
#include <iterator>

namespace potwatch::test {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;

class KnowPotCommand : public CommandLine {
protected:
    [[nodiscard]] std::string water(const Beaker& truth = {}) const {
        const potwatch::Run run = hotWaterRun(truth, {.noise_k = 0.03});
        std::string text = "time_s,pot_c\n";
        for (std::size_t i = 0; i < run.time_s.size(); ++i) {
            text += fmt::format("{},{:.4f}\n", run.time_s[i], run.channels[0].values[i]);
        }
        return file("water.csv", text);
    }
    [[nodiscard]] Outcome run(std::vector<std::string> words) const {
        words.insert(words.begin(), "know-pot");
        return potwatch(words);
    }
};

TEST_F(KnowPotCommand, findsVesselAndLossAndWritesThem) {
    const std::string csv = water();
    const Outcome outcome = run({csv, "--water-g", "200", "--water-c", "78", "--surroundings-c", "21", "--lid",
                                 "--vessel", "beaker 250", "--out", path("vessel.toml"), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json found = outcome.json();
    EXPECT_EQ(found["format"], 1);
    EXPECT_LE(found["vessel_j_per_k"]["low"].get<double>(), 40.0);
    EXPECT_GE(found["vessel_j_per_k"]["high"].get<double>(), 40.0);
    EXPECT_NEAR(found["loss_coefficient_w_per_k"]["value"].get<double>(), 0.8, 0.05);
    std::ifstream stream(path("vessel.toml"), std::ios::binary);
    const std::string toml{std::istreambuf_iterator<char>(stream), {}};
    EXPECT_EQ(found["toml"], toml);
    EXPECT_THAT(toml, HasSubstr("[vessel]\nname = \"beaker 250\"\nheat_capacity_j_per_k = "));
    EXPECT_THAT(toml, HasSubstr("[uncertainty]\nvessel_j_per_k = "));
    const std::string csv_of_a_cure = file("rod.csv", castingCsv());
    EXPECT_EQ(potwatch({"analyse", csv_of_a_cure, "--batch", path("vessel.toml")}).exit_code, 0); // it can be used
    const std::string text = run({csv, "--water-g", "200", "--water-c", "78", "--surroundings-c", "21", "--lid"}).out;
    EXPECT_THAT(text, HasSubstr("loss coefficient"));
    EXPECT_THAT(text, HasSubstr("[vessel]"));
}

TEST_F(KnowPotCommand, saysWhatIsMissing) {
    const std::string csv = water();
    expectOneFault(run({csv}), 1, "--water-g");
    expectOneFault(run({csv, "--water-g", "200"}), 4, "--surroundings-c");
    expectOneFault(run({csv, "--water-g", "-5", "--surroundings-c", "21"}), 1, "mass");
    const Outcome unmeasured = run({csv, "--water-g", "200", "--surroundings-c", "21", "--lid", "--json"});
    EXPECT_EQ(unmeasured.exit_code, 0) << unmeasured.err;
    EXPECT_TRUE(unmeasured.json()["vessel_j_per_k"].is_null());
    EXPECT_THAT(unmeasured.json()["why_no_vessel"].get<std::string>(), HasSubstr("not stated"));
    expectOneFault(run({file("idle.csv", idleCsv()), "--water-g", "200", "--surroundings-c", "22"}), 4, "neither");
    expectOneFault(run({path("nowhere.csv"), "--water-g", "200"}), 1, "nowhere.csv");
    expectOneFault(run({"--water-g", "200"}), 2, "FILE");
}

TEST_F(KnowPotCommand, readsARunOfTheBook) {
    const std::string csv = water();
    (void)file("water.batch.toml", "[batch]\nblank = true\n[charge]\nwater_g = 200.0\n[vessel]\nname = \"beaker 250\"\n"
                                   "[surroundings]\ntemperature_c = 21.0\n");
    ASSERT_EQ(potwatch({"book", path("b.potbook"), "import", csv}).exit_code, 0);
    const Outcome outcome = run({"--run", "water", "--book", path("b.potbook"), "--water-c", "78", "--lid", "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_THAT(outcome.json()["toml"].get<std::string>(), HasSubstr("beaker 250"));
    expectOneFault(run({"--run", "wine", "--book", path("b.potbook")}), 1, "wine");
}

} // namespace
} // namespace potwatch::test
