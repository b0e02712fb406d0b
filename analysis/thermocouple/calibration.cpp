// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/calibration.h"

#include "analysis/chemistry/water.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::thermocouple {

namespace {

constexpr double lowest_air_kpa = 40.0; // about 7000 m up
constexpr double highest_air_kpa = 110.0;
constexpr double farthest_k = 10.0;
constexpr double one_point_share = 0.0075; // of the way to the other point
constexpr double between_points_k = 100.0;

Fault farOff(const char* where, double reading_c, double true_c) {
    return {.kind = FaultKind::range,
            .what =
                fmt::format("in {} the probe read {:.1f} °C, where it should read {:.1f} °C", where, reading_c, true_c),
            .where = {},
            .remedy = "check the probe and its type, and that ice and boiling water are not mixed up"};
}

} // namespace

Result<double> boilingPointC(double air_kpa) {
    if (!(air_kpa >= lowest_air_kpa && air_kpa <= highest_air_kpa)) {
        return tl::unexpected(Fault{.kind = FaultKind::range,
                                    .what = fmt::format("no air on land has a pressure of {} kPa", air_kpa),
                                    .where = {},
                                    .remedy = "give the air's own pressure, 40 to 110 kPa"});
    }
    return chemistry::saturationTemperatureC(air_kpa);
}

Result<Correction> correctionOf(const ProbeCalibration& calibration) {
    const auto& ice_c = calibration.ice_reading_c;
    const auto& boiling_c = calibration.boiling_reading_c;
    const double ice_u_k = calibration.ice_u_k.value_or(unstated_ice_u_k);
    const double boiling_u_k = calibration.boiling_u_k.value_or(unstated_boiling_u_k);
    if (ice_c && !(std::abs(*ice_c) <= farthest_k)) {
        return tl::unexpected(farOff("melting ice", *ice_c, 0.0));
    }
    const double one_point_u_k = one_point_share * between_points_k / std::sqrt(3.0);
    if (!boiling_c) {
        return ice_c ? Correction{.scale = 1.0, .offset_k = -*ice_c, .u_k = std::hypot(ice_u_k, one_point_u_k)}
                     : Correction{};
    }
    if (!calibration.boiling_pressure_kpa) {
        return tl::unexpected(Fault{.kind = FaultKind::missing,
                                    .what = "the air's pressure at the reading in boiling water is not stated",
                                    .where = {},
                                    .remedy = "give boiling_pressure_kpa: the boiling point goes by it"});
    }
    const Result<double> boils_c = boilingPointC(*calibration.boiling_pressure_kpa);
    if (!boils_c) {
        return tl::unexpected(boils_c.error());
    }
    if (!(std::abs(*boiling_c - *boils_c) <= farthest_k)) {
        return tl::unexpected(farOff("boiling water", *boiling_c, *boils_c));
    }
    if (!ice_c) {
        return Correction{
            .scale = 1.0, .offset_k = *boils_c - *boiling_c, .u_k = std::hypot(boiling_u_k, one_point_u_k)};
    }
    const double scale = *boils_c / (*boiling_c - *ice_c);
    return Correction{.scale = scale, .offset_k = -scale * *ice_c, .u_k = std::max(ice_u_k, boiling_u_k)};
}

} // namespace potwatch::thermocouple
