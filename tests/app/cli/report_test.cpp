// SPDX-License-Identifier: GPL-3.0-or-later
// `analyse FILE... --report`: the report of several runs, against what `--json` says.
#include "app/format/number.h"
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <fstream>
#include <iterator>
#include <map>
#include <optional>

namespace potwatch::test {
namespace {

using format::Quantity;
using nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

class Report : public CommandLine {
protected:
    [[nodiscard]] std::string castingNamed(const std::string& name, double rate, const std::string& more = "") const {
        const std::string csv = file(name + ".csv", castingCsv());
        std::ofstream(path(name + ".batch.toml"))
            << fmt::format("format = 1\n[batch]\nname = \"{}\"\n[charge]\nresin_g = 80.0\n"
                           "specific_heat_j_per_g_k = 2.0\n[vessel]\nheat_capacity_j_per_k = 25.0\n[surroundings]\n"
                           "temperature_c = 22.0\n[dose]\nsubstance = \"acid\"\ntotal_g = 4.0\nrate_g_per_min = {}\n"
                           "start_s = 120\n[cure]\nheat_of_reaction_j_per_g = 270.0\n[outcome]\nvoid_percent = 2.5\n{}",
                           name, rate, more);
        return csv;
    }
    [[nodiscard]] std::string contentOf(const std::string& name) const {
        std::ifstream stream(path(name), std::ios::binary);
        return {std::istreambuf_iterator<char>(stream), {}};
    }
};

const std::map<std::string, Quantity> quantities{{"time_s", Quantity::time},
                                                 {"temperature_c", Quantity::temperature},
                                                 {"rate_k_per_min", Quantity::rate},
                                                 {"released_j", Quantity::heat},
                                                 {"per_gram_j", Quantity::heat_per_gram},
                                                 {"heat_capacity_j_per_k", Quantity::heat_capacity},
                                                 {"loss_coefficient_w_per_k", Quantity::loss_coefficient},
                                                 {"loss_exponent", Quantity::loss_exponent},
                                                 {"evaporated_g", Quantity::mass},
                                                 {"adiabatic_rise_k", Quantity::temperature_difference},
                                                 {"thermal_inertia", Quantity::plain},
                                                 {"final", Quantity::degree},
                                                 {"degree", Quantity::degree},
                                                 {"gel_time_s", Quantity::time}};

std::optional<Estimate> estimateIn(const json& object) {
    if (!object.is_object() || !object.contains("value") || !object.contains("low")) {
        return std::nullopt;
    }
    return Estimate{.value = object.at("value").get<double>(),
                    .u = object.at("u").get<double>(),
                    .low = object.at("low").get<double>(),
                    .high = object.at("high").get<double>()};
}

// Every estimate below that object stands in the text as the program writes it; returns how many there were.
int expectEachIn(const std::string& text, const json& object, const std::string& place) {
    int found = 0;
    for (const auto& [key, value] : object.items()) {
        const std::string here = place + "." + key;
        if (const auto estimate = estimateIn(value)) {
            const auto quantity = quantities.find(key);
            if (quantity == quantities.end()) {
                ADD_FAILURE() << here << " is of no known quantity";
                continue;
            }
            EXPECT_THAT(text, HasSubstr(format::estimateText(*estimate, quantity->second))) << here;
            ++found;
        } else if (value.is_object()) {
            found += expectEachIn(text, value, here);
        }
    }
    return found;
}

// The part of the report that is about that run alone, its apostrophes as they are read.
std::string partOf(const std::string& html, const std::string& name) {
    const std::size_t from = html.find(">" + name + "</h2>");
    const std::size_t to = html.find("<h2", from == std::string::npos ? 0 : from);
    std::string part = from == std::string::npos ? std::string() : html.substr(from, to - from);
    const std::string escaped = "&#39;";
    for (std::size_t at = part.find(escaped); at != std::string::npos; at = part.find(escaped, at)) {
        part.replace(at, escaped.size(), "'");
    }
    return part;
}

TEST_F(Report, hasEachFigureOfTheJsonInTheRunsOwnPart) {
    const Outcome outcome = potwatch({"analyse", castingNamed("rod 01", 0.5), castingNamed("rod 02", 0.25), "--at",
                                      "300,700", "--report", path("r.html"), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const std::string html = contentOf("r.html");
    const json runs = outcome.json().at("runs");
    ASSERT_EQ(runs.size(), 2U);
    for (const json& run : runs) {
        const std::string part = partOf(html, run.at("run"));
        ASSERT_FALSE(part.empty());
        int found = expectEachIn(part, run.at("landmarks"), "landmarks");
        found += expectEachIn(part, run.at("heat"), "heat");
        found += expectEachIn(part, run.at("cure"), "cure");
        for (const json& at : run.at("cure").at("at")) {
            found += expectEachIn(part, at, "at");
        }
        EXPECT_GE(found, 16);
        for (const json& input : run.at("inputs")) {
            EXPECT_THAT(part, HasSubstr(">" + format::numberText(input.at("value").get<double>()))) << input;
        }
        for (const json& warning : run.at("warnings")) {
            EXPECT_THAT(part, HasSubstr(warning.get<std::string>().substr(0, 30)));
        }
    }
    EXPECT_THAT(html, HasSubstr(fmt::format("analysis version {}", runs.at(0).at("analysis_version").get<int>())));
}

TEST_F(Report, startsWithATableOfTheRunsWithDoseRateAndOutcome) {
    const Outcome outcome = potwatch(
        {"analyse", castingNamed("rod 01", 0.5), castingNamed("rod 02", 0.25), "--report", path("r.html"), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const std::string html = contentOf("r.html");
    const std::string table = partOf(html, "All runs");
    for (const char* const words : {"rod 01", "0.5 g/min", "rod 02", "0.25 g/min", "2.5 % voids"}) {
        EXPECT_THAT(table, HasSubstr(words));
    }
    json onset = outcome.json().at("runs").at(0).at("landmarks").at("onset");
    onset.erase("temperature_c"); // stands in the run's own part
    EXPECT_EQ(expectEachIn(table, onset, "onset"), 1);
}

TEST_F(Report, hasOnlyTheSectionsAskedForInTheirOrder) {
    const Outcome outcome = potwatch({"analyse", castingNamed("rod 01", 0.5), castingNamed("rod 02", 0.25), "--report",
                                      path("r.html"), "--sections", "cautions,findings,trace,method"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const std::string html = contentOf("r.html");
    EXPECT_LT(html.find(">Cautions<"), html.find(">rod 01<"));
    EXPECT_LT(html.find(">Findings<"), html.find(">Trace<"));
    EXPECT_LT(html.rfind(">Trace<"), html.find(">How the figures were found<"));
    for (const char* const heading : {">Inputs<", ">Warnings<", ">All runs<", ">Events<", ">What was in the pot<"}) {
        EXPECT_THAT(html, Not(HasSubstr(heading)));
    }
}

TEST_F(Report, namesTheNearestOfASectionThatThereIsNot) {
    const std::string csv = file("rod.csv", castingCsv());
    const Outcome outcome = potwatch({"analyse", csv, "--report", path("r.pdf"), "--sections", "trace,fotos"});
    expectOneFault(outcome, 2, "did you mean \"photos\"?");
    EXPECT_FALSE(std::filesystem::exists(path("r.pdf")));
    expectOneFault(potwatch({"analyse", csv, "--sections", "trace"}), 2, "counts only with --report");
}

TEST_F(Report, saysWhereThePhotoIsThatTheBatchFileNames) {
    const std::string csv = castingNamed("rod 01", 0.5, "photo = \"no-such.jpg\"\n");
    ASSERT_EQ(potwatch({"analyse", csv, "--report", path("r.html")}).exit_code, 0);
    EXPECT_THAT(contentOf("r.html"), HasSubstr("the photo that the batch file names is not in the report"));
}

TEST_F(Report, isMadeOfTheGoodFilesWhereOneIsBad) {
    const Outcome outcome = potwatch({"analyse", castingNamed("rod 01", 0.5), file("bad.csv", "no,table\n"),
                                      castingNamed("rod 02", 0.3), "--report", path("r.html")});
    EXPECT_EQ(outcome.exit_code, 1);
    EXPECT_THAT(contentOf("r.html"), HasSubstr("Cure report: 2 runs"));
}

} // namespace
} // namespace potwatch::test
