// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/chemistry/piece_density.h"

#include <fmt/format.h>

namespace potwatch::chemistry {

namespace {

constexpr double lowest_c = 0.0;
constexpr double highest_c = 40.0;
constexpr double air_g_per_ml = 0.0012;

} // namespace

Result<double> waterDensityGPerMl(double temperature_c) {
    if (!(temperature_c >= lowest_c && temperature_c <= highest_c)) {
        return tl::unexpected(
            Fault{.kind = FaultKind::range,
                  .what = fmt::format("the density of water is known from 0 to 40 °C, not at {} °C", temperature_c),
                  .remedy = "weigh in water of room temperature, and state it"});
    }
    constexpr double a1 = -3.983035;
    constexpr double a2 = 301.797;
    constexpr double a3 = 522528.9;
    constexpr double a4 = 69.34881;
    constexpr double a5 = 0.999974950;
    const double t = temperature_c;
    return a5 * (1.0 - (t + a1) * (t + a1) * (t + a2) / (a3 * (t + a4)));
}

Result<double> pieceDensityGPerMl(const Weighings& weighings) {
    if (!(weighings.dry_g > 0.0) || !(weighings.in_water_g >= 0.0) || !(weighings.in_water_g < weighings.dry_g)) {
        return tl::unexpected(Fault{.kind = FaultKind::range,
                                    .what = "the piece has to weigh less in water than dry",
                                    .remedy = "are the two weights swapped? A piece that floats is pulled under by a "
                                              "weight of known mass"});
    }
    const Result<double> water = waterDensityGPerMl(weighings.water_c);
    if (!water) {
        return tl::unexpected(water.error());
    }
    return weighings.dry_g / (weighings.dry_g - weighings.in_water_g) * (*water - air_g_per_ml) + air_g_per_ml;
}

} // namespace potwatch::chemistry
