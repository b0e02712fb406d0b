// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace potwatch {

enum class MouldShape { slab, cylinder, sphere };

// A layer between the resin and the air.
struct MouldWall {
    std::string material;
    double thickness_mm = 0.0;
    double conductivity_w_per_m_k = 0.0;
    double density_kg_per_m3 = 0.0;
    double specific_heat_j_per_g_k = 0.0;

    bool operator==(const MouldWall&) const = default;
};

// What lies on the other side of a slab where it is not the same as on the first: a tool plate, a bench.
struct OtherSide {
    double surface_w_per_m2_k = 0.0; // infinite: the surface follows the air
    std::vector<MouldWall> walls;    // from the resin outwards

    bool operator==(const OtherSide&) const = default;
};

// A casting in its mould: the mould file, field for field (io/mould/FORMAT.md). Field names and units are the TOML
// keys. A slab is half_thickness_mm to either side of its middle; of a cylinder and a sphere it is the radius.
struct Mould {
    std::string file; // where it was read from; empty = nowhere
    MouldShape shape = MouldShape::slab;
    double half_thickness_mm = 0.0;
    double conductivity_w_per_m_k = 0.0; // of the resin, as the next two
    double density_kg_per_m3 = 0.0;
    double specific_heat_j_per_g_k = 0.0;
    double resin_mass_fraction = 1.0; // the rest (fibre, filler) holds heat and does not react
    double surface_w_per_m2_k =
        0.0; // air to the outermost wall, or to the resin; infinite: the surface follows the air
    double start_c = 0.0;
    double start_degree = 0.0;
    double pressure_kpa = 101.325; // absolute, on the resin
    std::vector<MouldWall> walls;  // from the resin outwards
    std::optional<OtherSide> other_side;

    bool operator==(const Mould&) const = default;
};

} // namespace potwatch
