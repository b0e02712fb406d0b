// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/kinetics/kinetics_file.h"

#include "io/batch/array_value.h"
#include "io/batch/own_file.h"
#include "io/batch/schema.h"

#include <fmt/format.h>

#include <array>
#include <cstdint>

namespace potwatch::batch {

template<>
struct Words<RateModel> {
    static constexpr std::array<std::pair<std::string_view, RateModel>, 2> all{{
        {"autocatalytic", RateModel::autocatalytic},
        {"nth-order", RateModel::nth_order},
    }};
};

template<>
struct Value<std::array<double, 2>> {
    static bool read(const Item& item, const std::string& key, const Where& where, std::array<double, 2>& into,
                     Reading& reading) {
        std::vector<double> values;
        if (!Value<std::vector<double>>::read(item, key, where, values, reading)) {
            return false;
        }
        if (values.size() != into.size()) {
            reading.fault(FaultKind::input, item.position, fullName(key, where) + " does not have two numbers",
                          fmt::format("write {} = [lowest, highest]", key));
            return false;
        }
        into = {values[0], values[1]};
        return true;
    }
    static std::string literal(const std::array<double, 2>& values) {
        return Value<std::vector<double>>::literal({values[0], values[1]});
    }
};

} // namespace potwatch::batch

namespace potwatch::kinetics_file {

namespace {

using namespace batch;

constexpr std::int64_t format_version = 1;

// format = 1. A newer one was refused before anything else was read.
Entry<Kinetics> formatKey() {
    Entry<Kinetics> entry{.name = "format"};
    entry.read = [](const Item& item, const Where&, Kinetics&, Reading& reading) {
        const auto* const version = std::get_if<std::int64_t>(&item.value);
        if (version == nullptr || *version < 1) {
            reading.fault(FaultKind::input, item.position, "format is not a version number", "write format = 1");
            return false;
        }
        return true;
    };
    entry.write = [](const Kinetics&, const Where&, std::string& out) {
        out += fmt::format("format = {}\n", format_version);
    };
    return entry;
}

const Schema<Kinetics>& kineticsFormat() {
    static const Schema<Kinetics> format{
        formatKey(),
        section<Kinetics>("model",
                          {
                              required(key("kind", &Kinetics::kind)),
                              required(key("heat_of_reaction_j_per_g", &Kinetics::heat_of_reaction_j_per_g, positive)),
                              required(key("a1_per_s", &Kinetics::a1_per_s, not_negative)),
                              required(key("e1_kj_per_mol", &Kinetics::e1_kj_per_mol, not_negative)),
                              key("a2_per_s", &Kinetics::a2_per_s, not_negative),
                              key("e2_kj_per_mol", &Kinetics::e2_kj_per_mol, not_negative),
                              key("m", &Kinetics::m, not_negative),
                              required(key("n", &Kinetics::n, not_negative)),
                              key("catalyst_order", &Kinetics::catalyst_order),
                              key("catalyst_reference_g_per_g", &Kinetics::catalyst_reference_g_per_g, positive),
                              key("degree_limit", &Kinetics::degree_limit),
                              key("diffusion", &Kinetics::diffusion),
                          }),
        section("fit", &Kinetics::fit,
                {
                    required(key("parameters", &KineticsFit::parameters)),
                    required(key("covariance", &KineticsFit::covariance)),
                    key("t_min_c", &KineticsFit::t_min_c, temperature),
                    key("t_max_c", &KineticsFit::t_max_c, temperature),
                    key("degree_range", &KineticsFit::degree_range),
                    key("catalyst_range_g_per_g", &KineticsFit::catalyst_range_g_per_g),
                }),
    };
    return format;
}

std::vector<KnownKey> knownKeys() {
    std::vector<KnownKey> keys;
    listKeys(kineticsFormat(), Where{}, keys);
    return keys;
}

void check(const Kinetics& kinetics, Reading& reading) {
    const auto model = reading.positionOf("model");
    if (!model) {
        reading.fault(FaultKind::input, Position{}, "there is no [model]",
                      "is this a kinetics file? `potwatch fit --out` writes one");
        return;
    }
    if (kinetics.kind == RateModel::autocatalytic) {
        for (const char* needed : {"a2_per_s", "e2_kj_per_mol", "m"}) {
            if (!reading.positionOf(std::string("model.") + needed)) {
                reading.fault(FaultKind::input, *model,
                              fmt::format("{} is missing, which an autocatalytic law needs", needed),
                              "state it, or take kind = \"nth-order\"");
            }
        }
    }
    if (kinetics.catalyst_order != 0.0 && !reading.positionOf("model.catalyst_reference_g_per_g")) {
        reading.fault(FaultKind::input, *model, "catalyst_order is stated without catalyst_reference_g_per_g",
                      "state the catalyst per gram of resin at which a1 and a2 hold");
    }
    if (!kinetics.degree_limit.empty() && kinetics.degree_limit.size() != 2) {
        reading.fault(FaultKind::input, *reading.positionOf("model.degree_limit"),
                      "degree_limit does not have two numbers", "write degree_limit = [a, b_per_k]");
    }
    if (!kinetics.diffusion.empty() && kinetics.diffusion.size() != 3) {
        reading.fault(FaultKind::input, *reading.positionOf("model.diffusion"), "diffusion does not have three numbers",
                      "write diffusion = [c, a, b_per_k]");
    }
    if (!kinetics.fit) {
        return;
    }
    const std::size_t count = kinetics.fit->parameters.size();
    bool square = kinetics.fit->covariance.size() == count;
    for (const std::vector<double>& row : kinetics.fit->covariance) {
        square = square && row.size() == count;
    }
    if (const auto place = reading.positionOf("fit.covariance"); place && !square) {
        reading.fault(
            FaultKind::input, *place,
            fmt::format("the covariance does not have a row and a column for each of the {} parameters", count),
            "take [fit] out, or write the file anew with `potwatch fit --out`");
    }
}

} // namespace

tl::expected<Kinetics, Faults> readFile(const std::string& path) {
    const Result<std::string> bytes = batch::bytesOf(path);
    if (!bytes) {
        return tl::unexpected(Faults{bytes.error()});
    }
    return readText(*bytes, path);
}

tl::expected<Kinetics, Faults> readText(std::string_view text, const std::string& name) {
    const Result<Table> document = batch::documentOf(text, name, {.name = "kinetics file", .version = format_version});
    if (!document) {
        return tl::unexpected(Faults{document.error()});
    }
    Kinetics kinetics;
    kinetics.file = name;
    Reading reading(name, knownKeys());
    readTable(*document, Position{}, kineticsFormat(), Where{}, kinetics, reading);
    check(kinetics, reading);
    if (kinetics.kind == RateModel::nth_order) {
        kinetics.a2_per_s = 0.0; // a second path has no meaning in it
    }
    if (Faults faults = reading.faults(); !faults.empty()) {
        return tl::unexpected(std::move(faults));
    }
    return kinetics;
}

std::string write(const Kinetics& kinetics) {
    std::string out;
    if (kinetics.kind == RateModel::nth_order) {
        // The keys of the second path are left out: they would read as if they counted.
        Schema<Kinetics> format = kineticsFormat();
        writeTable(kinetics, format, Where{}, out);
        std::string kept;
        for (std::size_t at = 0; at < out.size();) {
            const std::size_t end = std::min(out.find('\n', at), out.size() - 1);
            const std::string line = out.substr(at, end - at + 1);
            if (!line.starts_with("a2_per_s") && !line.starts_with("e2_kj_per_mol") && !line.starts_with("m = ")) {
                kept += line;
            }
            at = end + 1;
        }
        return kept;
    }
    writeTable(kinetics, kineticsFormat(), Where{}, out);
    return out;
}

} // namespace potwatch::kinetics_file
