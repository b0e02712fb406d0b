// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/reference_function.h"
#include "app/cli/commands.h"
#include "app/cli/options.h"
#include "app/cli/output.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;

struct Wanted {
    std::string type;
    std::optional<double> mv;
    std::optional<double> celsius;
    std::optional<double> cold_junction_c;
    bool json = false;
};

// Both ends of one question, whichever was asked.
struct Answer {
    double mv = 0.0;
    std::vector<double> temperatures_c; // more than one where the voltage does not tell
    bool ambiguous = false;
};

Result<Answer> fromVoltage(thermocouple::Type type, double mv, double cold_junction_c) {
    return thermocouple::temperatureC(type, mv, cold_junction_c).map([&](const thermocouple::HotJunction& hot) {
        Answer answer{.mv = mv, .temperatures_c = {hot.temperature_c}, .ambiguous = hot.ambiguous};
        if (hot.other_c) {
            answer.temperatures_c.insert(answer.temperatures_c.begin(), *hot.other_c);
        }
        return answer;
    });
}

// The voltage that a meter reads: that of the hot junction less that of the cold one.
Result<Answer> fromTemperature(thermocouple::Type type, double celsius, double cold_junction_c) {
    const Result<double> hot_mv = thermocouple::electromotiveForceMv(type, celsius);
    const Result<double> cold_mv = thermocouple::electromotiveForceMv(type, cold_junction_c);
    if (!hot_mv || !cold_mv) {
        return tl::unexpected(hot_mv ? cold_mv.error() : hot_mv.error());
    }
    return Answer{.mv = *hot_mv - *cold_mv, .temperatures_c = {celsius}, .ambiguous = false};
}

std::vector<std::string> warningsOf(const Answer& answer) {
    if (answer.temperatures_c.size() > 1) {
        return {fmt::format(
            "type B gives this voltage at {:.2f} °C and at {:.2f} °C; the voltage alone does not tell which",
            answer.temperatures_c[0], answer.temperatures_c[1])};
    }
    if (answer.ambiguous) {
        return {"type B gives this voltage at a second temperature as well, below 0 °C, where its reference function "
                "is not "
                "defined; the voltage alone does not tell which"};
    }
    return {};
}

Json jsonOf(const Wanted& wanted, thermocouple::Type type, double cold_junction_c, const Answer& answer) {
    const bool certain = answer.temperatures_c.size() == 1 && !answer.ambiguous;
    return Json{{"format", 1},
                {"type", thermocouple::nameOf(type)},
                {"asked", wanted.mv ? "mv" : "celsius"},
                {"cold_junction_c", cold_junction_c},
                {"mv", answer.mv},
                {"celsius", certain ? Json(answer.temperatures_c.front()) : Json(nullptr)},
                {"celsius_all", answer.temperatures_c},
                {"warnings", warningsOf(answer)},
                {"faults", Json::array()}};
}

std::string textOf(const Wanted& wanted, thermocouple::Type type, double cold_junction_c, const Answer& answer) {
    const std::string_view letter = thermocouple::nameOf(type);
    if (!wanted.mv) {
        return fmt::format("Type {} at {} °C with its cold junction at {} °C: {:.4f} mV\n", letter,
                           answer.temperatures_c.front(), cold_junction_c, answer.mv);
    }
    std::string temperatures;
    for (const double temperature_c : answer.temperatures_c) {
        temperatures += fmt::format("{}{:.2f} °C", temperatures.empty() ? "" : " or ", temperature_c);
    }
    std::string text = fmt::format("Type {} at {} mV with its cold junction at {} °C: {}\n", letter, answer.mv,
                                   cold_junction_c, temperatures);
    for (const std::string& warning : warningsOf(answer)) {
        text += wrapped(warning, 0) + '\n';
    }
    return text;
}

void check(const Wanted& wanted) {
    demand("TYPE", !wanted.type.empty());
    if (!thermocouple::typeOf(wanted.type)) {
        throw CLI::ValidationError("TYPE",
                                   "there is no thermocouple \"" + wanted.type + "\"; the types are B E J K N R S T");
    }
    if (wanted.mv.has_value() == wanted.celsius.has_value()) {
        throw CLI::ValidationError("give either --mv or --celsius", "the other one is the answer");
    }
}

ExitCode runThermocouple(const Wanted& wanted) {
    const thermocouple::Type type = *thermocouple::typeOf(wanted.type);
    const double cold_junction_c = wanted.cold_junction_c.value_or(0.0);
    const Result<Answer> answer = wanted.mv ? fromVoltage(type, *wanted.mv, cold_junction_c)
                                            : fromTemperature(type, *wanted.celsius, cold_junction_c);
    if (!answer) {
        const std::vector<Fault> faults{answer.error()};
        return wanted.json ? finish(printJson(Json{{"format", 1}, {"faults", faultsJson(faults)}}), faults)
                           : finish({}, faults);
    }
    return finish(wanted.json ? printJson(jsonOf(wanted, type, cold_junction_c, *answer))
                              : printText(textOf(wanted, type, cold_junction_c, *answer)),
                  {});
}

} // namespace

Command addThermocouple(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser =
        program.add_subcommand("thermocouple", "turn a thermocouple's voltage into a temperature, or back")
            ->group("Commands");
    parser->add_option("TYPE", wanted->type, "letter of IEC 60584-1: B E J K N R S T")->type_name("");
    addJson(*parser, wanted->json);
    addNumber(*parser, {.name = "--mv", .value = "V", .description = "the voltage that was measured, in millivolts"},
              wanted->mv);
    addNumber(*parser, {.name = "--celsius", .value = "T", .description = "the temperature of the hot junction, in °C"},
              wanted->celsius);
    addNumber(*parser,
              {.name = "--cold-junction",
               .value = "T",
               .description =
                   "the temperature of the cold junction, in °C (0, an ice bath, where nothing is said); it is "
                   "accounted for in millivolts"},
              wanted->cold_junction_c);
    parser->footer("Example:\n  potwatch thermocouple K --mv 2.436 --cold-junction 22.5\n"
                   "  potwatch thermocouple J --celsius 95");
    const auto run = [wanted] {
        check(*wanted);
        return runThermocouple(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
