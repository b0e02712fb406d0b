// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/know_pot.h"

#include "app/cli/commands.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/output_check.h"
#include "app/cli/run_choice.h"
#include "app/format/findings_json.h"
#include "app/format/text.h"
#include "app/session/pot_knowledge_text.h"
#include "app/session/whole_file.h"

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
    session::OneRun run;
    std::string vessel;
    std::string out;
    std::optional<double> water_g;
    std::optional<double> water_c;
    std::optional<double> water_u_k;
    std::optional<double> vessel_c;
    std::optional<double> surroundings_c;
    std::optional<double> poured_s;
    std::optional<double> loss_g;
    bool covered = false;
    bool json = false;
};

ExitCode refuse(const Wanted& wanted, const std::vector<Fault>& faults) {
    return wanted.json ? finish(printJson(Json{{"format", 1}, {"faults", faultsJson(faults)}}), faults)
                       : finish({}, faults);
}

Json jsonOf(const PotKnowledge& known, const std::string& toml) {
    const auto number = [](const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); };
    const auto why = [](const std::string& reason) { return reason.empty() ? Json(nullptr) : Json(reason); };
    return Json{{"poured_s", number(known.poured_s)},
                {"mixed_c", format::estimateJson(known.mixed_c)},
                {"vessel_j_per_k", format::estimateJson(known.vessel_j_per_k)},
                {"why_no_vessel", why(known.why_no_vessel)},
                {"loss_coefficient_w_per_k", format::estimateJson(known.loss_coefficient_w_per_k)},
                {"loss_exponent", format::estimateJson(known.loss_exponent)},
                {"why_no_loss", why(known.why_no_loss)},
                {"cooling_from_s", known.cooling_from_s},
                {"cooling_to_s", known.cooling_to_s},
                {"evaporated_share", number(known.evaporated_share)},
                {"toml", toml}};
}

ExitCode runKnowPot(const Wanted& wanted) {
    checkRunChoice(wanted.run);
    const std::vector<std::string> inputs{wanted.run.file, wanted.run.open.batch_file,
                                          session::batchFileBeside(wanted.run.file)};
    checkOutput({"--out", wanted.out, Written::batch, {}}, inputs);
    tl::expected<session::OpenedRun, session::Faults> opened = session::openOneRun(wanted.run, false);
    if (!opened) {
        return refuse(wanted, asInputFaults(opened.error()));
    }
    Batch& batch = opened->run.batch;
    const std::optional<double> water_g = wanted.water_g ? wanted.water_g : batch.charge.water_g;
    if (!water_g) {
        return refuse(wanted, {{.kind = FaultKind::input,
                                .what = "the mass of the water is not stated",
                                .where = {.file = opened->run.file},
                                .remedy = "give --water-g, or [charge] water_g in the batch file"}});
    }
    if (wanted.surroundings_c) {
        batch.surroundings.temperature_c = wanted.surroundings_c;
        batch.surroundings.channel.clear();
    }
    HotWater water{.water_g = *water_g,
                   .water_c = wanted.water_c,
                   .vessel_c = wanted.vessel_c,
                   .poured_s = wanted.poured_s,
                   .covered = wanted.covered,
                   .loss_g = wanted.loss_g ? wanted.loss_g : batch.weighed_loss_g};
    water.water_u_k = wanted.water_u_k.value_or(water.water_u_k);
    Result<PotKnowledge> known = knowPot(opened->run, water, {.channel = wanted.run.open.channel});
    if (!known) {
        return refuse(wanted, {known.error()});
    }
    std::vector<std::string> warnings = opened->warnings;
    warnings.insert(warnings.end(), known->warnings.begin(), known->warnings.end());
    std::vector<Fault> faults;
    if (!known->vessel_j_per_k && !known->loss_coefficient_w_per_k) {
        faults.push_back({.kind = FaultKind::missing,
                          .what = "neither the vessel nor its loss can be known from this run: " + known->why_no_vessel,
                          .where = {.file = opened->run.file},
                          .remedy = known->why_no_loss});
    }
    const std::string toml = session::vesselToml(*known, wanted.vessel.empty() ? batch.vessel.name : wanted.vessel);
    if (!wanted.out.empty() && !toml.empty()) {
        if (const Result<void> written = session::writeWholeFile(wanted.out, toml); !written) {
            faults.push_back(written.error());
        }
    }
    if (wanted.json) {
        Json object{{"format", 1}};
        object.update(jsonOf(*known, toml));
        object["warnings"] = warnings;
        object["faults"] = faultsJson(faults);
        return finish(printJson(object), faults);
    }
    std::string text = session::knowledgeText(*known);
    for (const std::string& warning : warnings) {
        text += "\n  " + wrapped(format::oneLine(warning), 2) + '\n';
    }
    text +=
        toml.empty() ? "" : fmt::format("\n{}{}", wanted.out.empty() ? "" : "Written: " + wanted.out + "\n\n", toml);
    return finish(printText(text), faults);
}

} // namespace

Command addKnowPot(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser =
        program
            .add_subcommand("know-pot", "find a vessel's heat capacity and how it loses heat, from hot water that was "
                                        "poured into it and left to cool")
            ->group("Commands");
    addRunChoice(*parser, wanted->run);
    addJson(*parser, wanted->json);
    parser->add_option("--batch", wanted->run.open.batch_file, "what is known of the run (TOML)")->type_name("FILE");
    parser->add_option("--channel", wanted->run.open.channel, "the column that reads the water")->type_name("NAME");
    const auto number = [&](const char* name, const char* value, const char* description,
                            std::optional<double>& target) {
        addNumber(*parser, {.name = name, .value = value, .description = description}, target);
    };
    number("--water-g", "G", "the water, weighed", wanted->water_g);
    number("--water-c", "T", "its temperature just before it was poured, by the same probe", wanted->water_c);
    number("--water-u", "K", "how surely the water arrives at that, a standard uncertainty (0.3)", wanted->water_u_k);
    number("--vessel-c", "T", "the empty vessel's temperature (else the surroundings')", wanted->vessel_c);
    number("--surroundings-c", "T", "the room's temperature (else the batch file's)", wanted->surroundings_c);
    number("--poured-s", "S", "when it was poured, in seconds (else the event \"pour\", else found)", wanted->poured_s);
    number("--loss-g", "G", "the water that evaporated, weighed", wanted->loss_g);
    parser->add_flag("--lid", wanted->covered, "the pot was covered: otherwise only the cooling below 60 °C counts");
    parser->add_option("--vessel", wanted->vessel, "the vessel's name (else the batch file's)")->type_name("NAME");
    parser->add_option("--out", wanted->out, "write what is found as a batch file")->type_name("FILE.toml");
    parser->footer("How: weigh water, heat it, begin to record with the probe in the empty vessel; read the water's "
                   "temperature, pour\nit in, stir, put a lid on, and leave it until it has cooled to half of where it "
                   "began.\n"
                   "Example:\n  potwatch know-pot water.csv --water-g 200 --water-c 78.4 --surroundings-c 21 --lid");
    const auto run = [wanted] { return runKnowPot(*wanted); };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
