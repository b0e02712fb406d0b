// SPDX-License-Identifier: GPL-3.0-or-later
// `analyse FILE... --report`: the report of several runs, against what `--json` says.
#include "app/format/number.h"
#include "tests/app/cli/program.h"
#include "tests/app/printed_by.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <cstdio>
#include <cstdlib>
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
                                                 {"surroundings_c", Quantity::temperature},
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

// Seven runs of known truth; the last three boil.
std::vector<std::string> withTruthRuns(std::vector<std::string> words, int first, int last) {
    for (int run = first; run <= last; ++run) {
        words.push_back(fmt::format("{}/tests/reference/truth/s{:02}.csv", POTWATCH_SOURCE_DIR, run));
    }
    return words;
}

Outcome run(std::vector<std::string> words, const std::vector<std::string>& more) {
    words.insert(words.end(), more.begin(), more.end());
    return potwatch(words);
}

// The words of a PDF, one space between them; none where pdftotext is missing.
std::string wordsOfPdf(const std::string& file) {
    return printedBy(fmt::format("pdftotext '{}' - 2> /dev/null | tr -s '[:space:]' ' '", file));
}

TEST_F(Report, comparesTheRunsAsCompareAndAnalyseDo) {
    const Outcome analysed =
        run(withTruthRuns({"analyse"}, 1, 7), {"--report", path("r.html"), "--limit", "92", "--json"});
    ASSERT_EQ(analysed.exit_code, 0) << analysed.err;
    const Outcome compared = run(withTruthRuns({"compare"}, 1, 7), {"--limit", "92", "--json"});
    ASSERT_EQ(compared.exit_code, 0) << compared.err;
    const std::string part = partOf(contentOf("r.html"), "Comparison");
    const json found = compared.json();
    EXPECT_THAT(part, HasSubstr("<strong>" + found.at("next").at("sentence").get<std::string>() + "</strong>"));
    const json& rate = found.at("trend").at("rate_at_limit_g_per_min");
    const double half = 0.5 * (rate.at("high").get<double>() - rate.at("low").get<double>());
    const auto text = [&](const char* key) { return format::figureText(rate.at(key).get<double>(), half); };
    EXPECT_THAT(part, HasSubstr(fmt::format("comes to 92 °C at a dosing rate of {} g/min ({} to {})", text("value"),
                                            text("low"), text("high"))));
    EXPECT_THAT(part, HasSubstr(fmt::format("limit {} °C", 92)));
    const json runs = analysed.json().at("runs");
    ASSERT_EQ(runs.size(), 7U);
    for (std::size_t i = 0; i < 7; ++i) {
        const json& landmarks = runs[i].at("landmarks");
        const json& row = found.at("table")[i];
        const std::size_t from = part.find(">" + runs[i].at("run").get<std::string>() + "</th>");
        ASSERT_NE(from, std::string::npos);
        const std::string line = part.substr(from, part.find("</tr>", from) - from);
        const auto expect = [&](const json& estimate, Quantity quantity, const std::string& before = "") {
            EXPECT_THAT(line, HasSubstr(">" + before + format::estimateText(*estimateIn(estimate), quantity)));
        };
        const bool boiled = !landmarks.at("boil_plateau").is_null();
        EXPECT_EQ(boiled, i > 3);
        EXPECT_THAT(line, HasSubstr(boiled ? ">yes<" : ">no<"));
        expect(landmarks.at("peak").at("temperature_c"), Quantity::temperature, boiled ? "at least " : "");
        expect(landmarks.at("peak").at("time_s"), Quantity::time);
        expect(landmarks.at("onset").at("time_s"), Quantity::time);
        expect(runs[i].at("heat").at("released_j"), Quantity::heat);
        expect(runs[i].at("cure").at("final"), Quantity::degree);
        EXPECT_THAT(line, HasSubstr(format::numberText(row.at("dose_rate_g_per_min").get<double>()) + " g/min"));
        EXPECT_EQ(row.at("peak_temperature_c"), landmarks.at("peak").at("temperature_c").at("value"));
    }
    std::size_t drawings = 0;
    for (std::size_t at = part.find("<svg role=\"img\""); at != std::string::npos;
         at = part.find("<svg role", at + 1)) {
        ++drawings;
    }
    EXPECT_EQ(drawings, 2U) << "overlay and scatter, as vectors";
    EXPECT_THAT(part, Not(HasSubstr("<image")));
    EXPECT_THAT(part, HasSubstr("<figcaption>Open with an arrow: the pot boiled"));
    EXPECT_THAT(contentOf("r.html"), Not(HasSubstr(">All runs<"))) << "one table of them is enough";
}

TEST_F(Report, hasTheComparisonInThePdfAsText) {
    if (std::system("command -v pdftotext > /dev/null") != 0) {
        GTEST_SKIP() << "pdftotext (poppler-utils) is not installed";
    }
    const Outcome analysed = run(withTruthRuns({"analyse"}, 1, 7), {"--report", path("r.pdf"), "--json"});
    ASSERT_EQ(analysed.exit_code, 0) << analysed.err;
    const json found = run(withTruthRuns({"compare"}, 1, 7), {"--limit", "95", "--json"}).json();
    const std::string words = wordsOfPdf(path("r.pdf"));
    EXPECT_THAT(words, HasSubstr("Cure report: 7 runs Comparison Try "));
    EXPECT_THAT(words, HasSubstr(found.at("next").at("sentence").get<std::string>()));
    for (const char* const there : {"Temperature of the runs", "Peak temperature against dosing rate", "limit 95 °C",
                                    "95 % of runs", "Open with an arrow", "time from dose start, min"}) {
        EXPECT_THAT(words, HasSubstr(there));
    }
    const json all = analysed.json();
    for (const json& one : all.at("runs")) {
        const bool boiled = !one.at("landmarks").at("boil_plateau").is_null();
        const auto peak = estimateIn(one.at("landmarks").at("peak").at("temperature_c"));
        EXPECT_THAT(words, HasSubstr((boiled ? "at least " : "") + format::estimateText(*peak, Quantity::temperature)))
            << "no figure is parted from its unit";
        EXPECT_THAT(words, HasSubstr(format::estimateText(*estimateIn(one.at("cure").at("final")), Quantity::degree)));
    }
    EXPECT_THAT(words, Not(HasSubstr("\u2026 Open"))) << "nothing is cut";
}

TEST_F(Report, saysOfTheComparisonWhatCannotBeSaid) {
    const auto comparisonOf = [&](int first, int last, const std::vector<std::string>& more = {}) {
        std::vector<std::string> words{"--report", path("r.html"), "--sections", "comparison"};
        words.insert(words.end(), more.begin(), more.end());
        const Outcome outcome = run(withTruthRuns({"analyse"}, first, last), words);
        EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
        return partOf(contentOf("r.html"), "Comparison");
    };
    const std::string boiled = comparisonOf(5, 7);
    EXPECT_THAT(boiled, HasSubstr("<strong>Try 0.3 g/min next, half of the slowest: every run boiled"));
    EXPECT_THAT(boiled, HasSubstr("Every run boiled: none says how hot the pot would have become"));
    EXPECT_THAT(comparisonOf(1, 2), HasSubstr("A trend through two runs has no interval"));
    EXPECT_THAT(comparisonOf(1, 4, {"--limit", "40"}), HasSubstr("The limit of 40 °C lies below every run"));
    ASSERT_EQ(potwatch({"analyse", file("a.csv", castingCsv()), file("b.csv", castingCsv() + "5000,22.0\n"), "--report",
                        path("r.html")})
                  .exit_code,
              0);
    const std::string undosed = partOf(contentOf("r.html"), "Comparison");
    EXPECT_THAT(undosed, HasSubstr("No run has both dosing rate and peak temperature."));
    EXPECT_THAT(undosed, HasSubstr("a is not in the trend: dosing rate unknown: no dose is stated"));
    EXPECT_THAT(undosed, HasSubstr("laid over each other at the start")) << "where nothing was dosed";
}

TEST_F(Report, hasNoComparisonOfOneRunAndSaysWhy) {
    const std::string csv = castingNamed("rod 01", 0.5);
    ASSERT_EQ(potwatch({"analyse", csv, "--report", path("r.html")}).exit_code, 0);
    EXPECT_THAT(contentOf("r.html"), Not(HasSubstr(">Comparison<")));
    expectOneFault(potwatch({"analyse", csv, "--report", path("one.pdf"), "--sections", "comparison,trace"}), 2,
                   "a comparison takes two runs or more");
    EXPECT_FALSE(std::filesystem::exists(path("one.pdf")));
    expectOneFault(potwatch({"analyse", csv, "--limit", "80"}), 2, "counts only with --report");
}

TEST_F(Report, leavesTheComparisonOutWhereItIsNotAskedFor) {
    ASSERT_EQ(potwatch({"analyse", castingNamed("rod 01", 0.5), castingNamed("rod 02", 0.25), "--report",
                        path("r.html"), "--sections", "summary,trace"})
                  .exit_code,
              0);
    EXPECT_THAT(contentOf("r.html"), Not(HasSubstr(">Comparison<")));
    EXPECT_THAT(contentOf("r.html"), HasSubstr(">All runs<"));
}

TEST_F(Report, startsWithATableOfTheRunsWithDoseRateAndOutcome) {
    const Outcome outcome = potwatch(
        {"analyse", castingNamed("rod 01", 0.5), castingNamed("rod 02", 0.25), "--report", path("r.html"), "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const std::string html = contentOf("r.html");
    const std::string table = partOf(html, "Comparison");
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
