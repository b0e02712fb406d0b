// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/mould_grid.h"

#include <algorithm>
#include <cmath>

namespace potwatch::forecast {

namespace {

constexpr double mm_per_m = 1000.0;
constexpr double j_per_kj = 1000.0; // J/(g K) to J/(kg K)
constexpr double fewest_wall_cells = 3.0;
constexpr double most_wall_cells = 40.0;

struct Material {
    double conductivity_w_per_m_k = 0.0;
    double capacity_j_per_m3_k = 0.0;
};

Material of(const MouldWall& wall) {
    return {wall.conductivity_w_per_m_k, wall.density_kg_per_m3 * wall.specific_heat_j_per_g_k * j_per_kj};
}

// A layer of even cells.
struct Layer {
    Material material;
    double from_m = 0.0;
    double to_m = 0.0;
    std::size_t cells = 1;
};

class Builder {
public:
    Builder(const Mould& mould, std::size_t cells)
        : mould_(mould)
        , cells_(cells)
        , power_(static_cast<int>(mould.shape)) {
        static_assert(static_cast<int>(MouldShape::slab) == 0 && static_cast<int>(MouldShape::sphere) == 2);
    }

    MouldGrid build() {
        const double half_m = mould_.half_thickness_mm / mm_per_m;
        std::vector<Layer> layers;
        if (mould_.other_side) {
            double at_m = -half_m;
            for (const MouldWall& wall : mould_.other_side->walls) {
                const double next_m = at_m - wall.thickness_mm / mm_per_m;
                layers.insert(layers.begin(), layerOf(wall, next_m, at_m));
                at_m = next_m;
            }
        }
        const std::size_t resin = layers.size();
        layers.push_back({.material = {mould_.conductivity_w_per_m_k,
                                       mould_.density_kg_per_m3 * mould_.specific_heat_j_per_g_k * j_per_kj},
                          .from_m = mould_.other_side ? -half_m : 0.0,
                          .to_m = half_m,
                          .cells = mould_.other_side ? 2 * cells_ : cells_});
        double at_m = half_m;
        for (const MouldWall& wall : mould_.walls) {
            const double next_m = at_m + wall.thickness_mm / mm_per_m;
            layers.push_back(layerOf(wall, at_m, next_m));
            at_m = next_m;
        }
        for (std::size_t i = 0; i < layers.size(); ++i) {
            if (i == resin) {
                grid_.first_resin = grid_.size();
            }
            add(layers[i]);
            if (i == resin) {
                grid_.last_resin = grid_.size() - 1;
            }
        }
        connect();
        return std::move(grid_);
    }

private:
    // A heat wave crosses all cells in about the same time: width in proportion to the root of the diffusivity.
    [[nodiscard]] Layer layerOf(const MouldWall& wall, double from_m, double to_m) const {
        const Material resin{mould_.conductivity_w_per_m_k,
                             mould_.density_kg_per_m3 * mould_.specific_heat_j_per_g_k * j_per_kj};
        const Material own = of(wall);
        const double resin_cell_m = mould_.half_thickness_mm / mm_per_m / static_cast<double>(cells_);
        const double width_m = resin_cell_m * std::sqrt(own.conductivity_w_per_m_k / own.capacity_j_per_m3_k *
                                                        resin.capacity_j_per_m3_k / resin.conductivity_w_per_m_k);
        const double count = std::clamp(std::ceil((to_m - from_m) / width_m), fewest_wall_cells, most_wall_cells);
        return {.material = own, .from_m = from_m, .to_m = to_m, .cells = static_cast<std::size_t>(count)};
    }

    [[nodiscard]] double areaAt(double r_m) const { return power_ == 0 ? 1.0 : std::pow(r_m, power_); }

    [[nodiscard]] double volumeTo(double r_m) const {
        return power_ == 0 ? r_m : std::pow(r_m, power_ + 1) / static_cast<double>(power_ + 1);
    }

    void add(const Layer& layer) {
        const double width_m = (layer.to_m - layer.from_m) / static_cast<double>(layer.cells);
        for (std::size_t i = 0; i < layer.cells; ++i) {
            const double inner_m = layer.from_m + width_m * static_cast<double>(i);
            const double outer_m = i + 1 == layer.cells ? layer.to_m : inner_m + width_m;
            const double volume_m3 = volumeTo(outer_m) - volumeTo(inner_m);
            grid_.centre_m.push_back(0.5 * (inner_m + outer_m));
            grid_.volume_m3.push_back(volume_m3);
            grid_.capacity_j_per_k.push_back(layer.material.capacity_j_per_m3_k * volume_m3);
            inner_w_per_k_.push_back(layer.material.conductivity_w_per_m_k * areaAt(inner_m) / (0.5 * width_m));
            outer_w_per_k_.push_back(layer.material.conductivity_w_per_m_k * areaAt(outer_m) / (0.5 * width_m));
            outer_face_m_.push_back(outer_m);
        }
    }

    static double inSeries(double a, double b) { return std::isinf(b) ? a : (a + b > 0.0 ? a * b / (a + b) : 0.0); }

    void connect() {
        const std::size_t n = grid_.size();
        for (std::size_t i = 0; i + 1 < n; ++i) {
            grid_.conductance_w_per_k.push_back(inSeries(outer_w_per_k_[i], inner_w_per_k_[i + 1]));
        }
        const double film_w_per_k = mould_.surface_w_per_m2_k * areaAt(outer_face_m_.back());
        grid_.outer_w_per_k = inSeries(outer_w_per_k_.back(), film_w_per_k);
        grid_.resin_to_surface_w_per_k = outer_w_per_k_[grid_.last_resin];
        grid_.surface_outwards_w_per_k =
            grid_.last_resin + 1 == n ? film_w_per_k : inner_w_per_k_[grid_.last_resin + 1];
        if (mould_.other_side) {
            const double other_film_w_per_k = mould_.other_side->surface_w_per_m2_k; // a slab: 1 m2
            grid_.other_w_per_k = inSeries(inner_w_per_k_.front(), other_film_w_per_k);
            grid_.other_resin_to_surface_w_per_k = inner_w_per_k_[grid_.first_resin];
            grid_.other_surface_outwards_w_per_k =
                grid_.first_resin == 0 ? other_film_w_per_k : outer_w_per_k_[grid_.first_resin - 1];
        }
    }

    const Mould& mould_;
    std::size_t cells_;
    int power_;
    MouldGrid grid_;
    std::vector<double> inner_w_per_k_; // from a cell's middle to its inner face
    std::vector<double> outer_w_per_k_;
    std::vector<double> outer_face_m_;
};

} // namespace

MouldGrid gridOf(const Mould& mould, std::size_t cells) {
    return Builder(mould, cells).build();
}

} // namespace potwatch::forecast
