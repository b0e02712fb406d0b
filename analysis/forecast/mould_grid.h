// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/mould.h"

#include <cstddef>
#include <vector>

namespace potwatch::forecast {

// A mould cut into cells, from its innermost (or other) side outwards. Areas and volumes are those of 1 m2 of a slab,
// of a cylinder 1 m long over 2 pi, and of a sphere over 4 pi.
struct MouldGrid {
    // Shape: one a cell.
    std::vector<double> centre_m;
    std::vector<double> volume_m3;
    std::vector<double> capacity_j_per_k; // of the cell
    // Conductance [W/K] between a cell and the next, without the last.
    std::vector<double> conductance_w_per_k;
    // From the outermost cell's middle to the air; and, of a slab with another side, from the first cell's.
    double outer_w_per_k = 0.0;
    double other_w_per_k = 0.0; // 0: the centre, or a plane of symmetry
    // The resin is cells first_resin to last_resin, both included.
    std::size_t first_resin = 0;
    std::size_t last_resin = 0;
    // From the middle of the resin's last (first) cell to its surface, and on to the middle of the wall's cell or to
    // the air [W/K], infinite where the surface follows the air.
    double resin_to_surface_w_per_k = 0.0;
    double surface_outwards_w_per_k = 0.0;
    double other_resin_to_surface_w_per_k = 0.0;
    double other_surface_outwards_w_per_k = 0.0;

    [[nodiscard]] std::size_t size() const { return centre_m.size(); }
};

// Cells of resin of even width, `cells` from the middle to the surface; walls in cells of about equal Fourier number,
// at least three a layer. Assumes: the mould was checked.
[[nodiscard]] MouldGrid gridOf(const Mould& mould, std::size_t cells);

} // namespace potwatch::forecast
