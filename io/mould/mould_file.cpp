// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/mould/mould_file.h"

#include "io/batch/own_file.h"
#include "io/batch/schema.h"

#include <array>
#include <cmath>
#include <cstdint>

namespace potwatch::batch {

template<>
struct Words<MouldShape> {
    static constexpr std::array<std::pair<std::string_view, MouldShape>, 3> all{{
        {"slab", MouldShape::slab},
        {"cylinder", MouldShape::cylinder},
        {"sphere", MouldShape::sphere},
    }};
};

} // namespace potwatch::batch

namespace potwatch::mould_file {

namespace {

using namespace batch;

constexpr std::int64_t format_version = 1;

// format = 1. A newer one was refused before anything else was read.
Entry<Mould> formatKey() {
    Entry<Mould> entry{.name = "format"};
    entry.read = [](const Item&, const Where&, Mould&, Reading&) { return true; };
    entry.write = [](const Mould&, const Where&, std::string& out) {
        out += fmt::format("format = {}\n", format_version);
    };
    return entry;
}

// A surface coefficient, which may be inf: the surface then follows the air.
template<class S>
Entry<S> surfaceKey(double S::*member) {
    constexpr std::string_view name = "surface_w_per_m2_k";
    Entry<S> entry = required(key(std::string(name), member, not_negative));
    entry.read = [member, finite = entry.read](const Item& item, const Where& where, S& into, Reading& reading) {
        if (const auto* const number = std::get_if<double>(&item.value);
            number != nullptr && *number > 0.0 && std::isinf(*number)) {
            into.*member = *number;
            return true;
        }
        return finite(item, where, into, reading);
    };
    return entry;
}

Schema<MouldWall> wallFormat() {
    return {
        key("material", &MouldWall::material),
        required(key("thickness_mm", &MouldWall::thickness_mm, positive)),
        required(key("conductivity_w_per_m_k", &MouldWall::conductivity_w_per_m_k, positive)),
        required(key("density_kg_per_m3", &MouldWall::density_kg_per_m3, positive)),
        required(key("specific_heat_j_per_g_k", &MouldWall::specific_heat_j_per_g_k, positive)),
    };
}

const Schema<Mould>& mouldFormat() {
    static const Schema<Mould> format{
        formatKey(),
        section<Mould>("mould",
                       {
                           required(key("shape", &Mould::shape)),
                           required(key("half_thickness_mm", &Mould::half_thickness_mm, positive)),
                           required(key("conductivity_w_per_m_k", &Mould::conductivity_w_per_m_k, positive)),
                           required(key("density_kg_per_m3", &Mould::density_kg_per_m3, positive)),
                           required(key("specific_heat_j_per_g_k", &Mould::specific_heat_j_per_g_k, positive)),
                           key("resin_mass_fraction", &Mould::resin_mass_fraction, positive_fraction),
                           surfaceKey(&Mould::surface_w_per_m2_k),
                           required(key("start_c", &Mould::start_c, temperature)),
                           key("start_degree", &Mould::start_degree, fraction),
                           key("pressure_kpa", &Mould::pressure_kpa, positive),
                           list("wall", &Mould::walls, wallFormat()),
                           section("other_side", &Mould::other_side,
                                   {
                                       surfaceKey(&OtherSide::surface_w_per_m2_k),
                                       list("wall", &OtherSide::walls, wallFormat()),
                                   }),
                       }),
    };
    return format;
}

void check(const Mould& mould, Reading& reading) {
    if (!reading.positionOf("mould")) {
        reading.fault(FaultKind::input, Position{}, "there is no [mould]",
                      "write shape, half_thickness_mm and what else the format lists under the header [mould]");
    } else if (const auto place = reading.positionOf("mould.other_side"); place && mould.shape != MouldShape::slab) {
        reading.fault(FaultKind::input, *place, "only a slab has an other side", "take [mould.other_side] out");
    } else if (const auto surface = reading.positionOf("mould.surface_w_per_m2_k");
               surface && mould.surface_w_per_m2_k == 0.0) {
        reading.fault(
            FaultKind::range, *surface, "surface_w_per_m2_k is 0: no heat would pass the surface",
            "state a coefficient above 0; a still oven has 5 to 15, a fan oven 20 to 40, inf follows the air");
    }
}

} // namespace

tl::expected<Mould, Faults> readFile(const std::string& path) {
    const Result<std::string> bytes = batch::bytesOf(path);
    if (!bytes) {
        return tl::unexpected(Faults{bytes.error()});
    }
    return readText(*bytes, path);
}

tl::expected<Mould, Faults> readText(std::string_view text, const std::string& name) {
    const Result<Table> document = batch::documentOf(text, name, {.name = "mould file", .version = format_version});
    if (!document) {
        return tl::unexpected(Faults{document.error()});
    }
    std::vector<KnownKey> keys;
    listKeys(mouldFormat(), Where{}, keys);
    Reading reading(name, keys);
    Mould mould;
    mould.file = name;
    readTable(*document, Position{}, mouldFormat(), Where{}, mould, reading);
    check(mould, reading);
    if (Faults faults = reading.faults(); !faults.empty()) {
        return tl::unexpected(std::move(faults));
    }
    return mould;
}

std::string write(const Mould& mould) {
    std::string out;
    writeTable(mould, mouldFormat(), Where{}, out);
    return out;
}

} // namespace potwatch::mould_file
