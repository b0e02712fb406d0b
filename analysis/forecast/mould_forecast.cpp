// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/mould_forecast.h"

#include "analysis/chemistry/water.h"
#include "analysis/forecast/mould_grid.h"
#include "analysis/forecast/stiff_integrator.h"
#include "analysis/signal/smooth_curve.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

namespace potwatch::forecast {

namespace {

constexpr double mm_per_m = 1000.0;
constexpr std::size_t times_of_course = 1200;
constexpr std::size_t first_cells = 20;
constexpr std::size_t most_cells = 320;
// Local errors of a step: peaks are then good to some 1e-3 K.
constexpr double relative_tolerance = 1e-6;
constexpr double temperature_tolerance_k = 1e-4;
constexpr double degree_tolerance = 1e-7;
// The heat that came through a surface, in kelvin of the whole mould.
constexpr double heat_tolerance_k = 1e-5;

Fault impossible(std::string what, std::string remedy = "correct it in the mould file") {
    return {.kind = FaultKind::range, .what = std::move(what), .where = {}, .remedy = std::move(remedy)};
}

bool isPositive(double value) {
    return value > 0.0 && std::isfinite(value);
}

std::optional<Fault> checkWalls(const std::vector<MouldWall>& walls) {
    for (const MouldWall& wall : walls) {
        if (!isPositive(wall.thickness_mm) || !isPositive(wall.conductivity_w_per_m_k) ||
            !isPositive(wall.density_kg_per_m3) || !isPositive(wall.specific_heat_j_per_g_k)) {
            return impossible(
                fmt::format("a wall{} has a thickness, conductivity, density or specific heat that is not "
                            "above 0",
                            wall.material.empty() ? "" : " (" + wall.material + ")"));
        }
    }
    return std::nullopt;
}

std::optional<Fault> checkCourse(const TemperatureCourse& air) {
    if (air.time_s.empty() || air.time_s.size() != air.temperature_c.size()) {
        return impossible("there is no temperature of the air", "give a programme, or the oven's trace");
    }
    for (std::size_t i = 0; i < air.time_s.size(); ++i) {
        if (!std::isfinite(air.time_s[i]) || !std::isfinite(air.temperature_c[i]) ||
            (i > 0 && air.time_s[i] <= air.time_s[i - 1])) {
            return impossible("the times of the air are not ascending, or a temperature is not a number",
                              "put the oven's trace in order");
        }
    }
    return std::nullopt;
}

std::optional<Fault> check(const MouldProblem& problem) {
    const Mould& mould = problem.mould;
    if (!isPositive(mould.half_thickness_mm)) {
        return impossible("the thickness (or radius) is not above 0");
    }
    if (!isPositive(mould.conductivity_w_per_m_k) || !isPositive(mould.density_kg_per_m3) ||
        !isPositive(mould.specific_heat_j_per_g_k)) {
        return impossible("conductivity, density or specific heat of the resin is not above 0");
    }
    if (!(mould.surface_w_per_m2_k > 0.0) || (mould.other_side && !(mould.other_side->surface_w_per_m2_k >= 0.0))) {
        return impossible("the surface coefficient is not above 0");
    }
    if (mould.other_side && mould.shape != MouldShape::slab) {
        return impossible("only a slab has an other side");
    }
    if (!(mould.resin_mass_fraction > 0.0) || mould.resin_mass_fraction > 1.0 || !(mould.start_degree >= 0.0) ||
        mould.start_degree > 1.0 || !std::isfinite(mould.start_c)) {
        return impossible("the start of the resin cannot be: its degree and its share lie between 0 and 1");
    }
    if (!(problem.heat_of_reaction_j_per_g >= 0.0) || !std::isfinite(problem.heat_of_reaction_j_per_g)) {
        return impossible("the heat of reaction is negative or not a number", "correct it in the kinetics file");
    }
    if (!isPositive(problem.until_s)) {
        return impossible("the forecast ends before it begins", "give a programme that takes some time");
    }
    for (const auto& fault :
         {checkWalls(mould.walls), mould.other_side ? checkWalls(mould.other_side->walls) : std::nullopt,
          checkCourse(problem.air), problem.other_air ? checkCourse(*problem.other_air) : std::nullopt}) {
        if (fault) {
            return fault;
        }
    }
    return std::nullopt;
}

// The states of a grid: the heat lost through the other side where there is one, then a temperature a cell, each of the
// resin followed by its degree, and last the heat lost through the outside. Neighbours stay within two places.
class Model {
public:
    Model(const MouldProblem& problem, std::size_t cells)
        : problem_(problem)
        , grid_(gridOf(problem.mould, cells)) {
        law_ = problem.law;
        law_.catalyst_order = 0.0; // the catalyst stands at its reference
        const double heat_j_per_g = problem.heat_of_reaction_j_per_g * problem.mould.resin_mass_fraction;
        rise_k_ = heat_j_per_g / problem.mould.specific_heat_j_per_g_k;
        std::size_t place = hasOtherSide() ? 1 : 0;
        for (std::size_t i = 0; i < grid_.size(); ++i) {
            place_.push_back(place);
            place += isResin(i) ? 2 : 1;
        }
        lost_ = place;
    }

    [[nodiscard]] BandedSystem system() const {
        BandedSystem system{.relative_tolerance = relative_tolerance, .half_band = 2};
        system.start.assign(lost_ + 1, 0.0);
        system.absolute_tolerance.assign(lost_ + 1, heatTolerance());
        for (std::size_t i = 0; i < grid_.size(); ++i) {
            system.start[place_[i]] = problem_.mould.start_c;
            system.absolute_tolerance[place_[i]] = temperature_tolerance_k;
            if (isResin(i)) {
                system.start[place_[i] + 1] = problem_.mould.start_degree;
                system.absolute_tolerance[place_[i] + 1] = degree_tolerance;
            }
        }
        system.derivatives = [this](double time_s, std::span<const double> state, std::span<double> change) {
            derivatives(time_s, state, change);
        };
        return system;
    }

    [[nodiscard]] std::vector<double> kinks() const {
        std::vector<double> times_s = problem_.air.time_s;
        if (problem_.other_air) {
            times_s.insert(times_s.end(), problem_.other_air->time_s.begin(), problem_.other_air->time_s.end());
        }
        std::sort(times_s.begin(), times_s.end());
        return times_s;
    }

    [[nodiscard]] std::vector<double> positionsMm() const {
        std::vector<double> positions;
        positions.push_back(hasOtherSide() ? -problem_.mould.half_thickness_mm : 0.0);
        for (std::size_t i = grid_.first_resin; i <= grid_.last_resin; ++i) {
            positions.push_back(mm_per_m * grid_.centre_m[i]);
        }
        positions.push_back(problem_.mould.half_thickness_mm);
        return positions;
    }

    // At positionsMm().
    [[nodiscard]] std::vector<double> temperatures(double time_s, std::span<const double> state) const {
        std::vector<double> row;
        row.reserve(resinCells() + 2);
        row.push_back(hasOtherSide() ? surfaceC({grid_.first_resin, true}, time_s, state)
                                     : centreOf([&](std::size_t i) { return state[place_[i]]; }));
        for (std::size_t i = grid_.first_resin; i <= grid_.last_resin; ++i) {
            row.push_back(state[place_[i]]);
        }
        row.push_back(surfaceC({grid_.last_resin, false}, time_s, state));
        return row;
    }

    [[nodiscard]] std::vector<double> degrees(std::span<const double> state) const {
        const auto degree = [&](std::size_t i) { return state[place_[i] + 1]; };
        std::vector<double> row;
        row.reserve(resinCells() + 2);
        const std::size_t first = grid_.first_resin;
        const std::size_t last = grid_.last_resin;
        row.push_back(hasOtherSide() ? 1.5 * degree(first) - 0.5 * degree(first + 1) : centreOf(degree));
        for (std::size_t i = first; i <= last; ++i) {
            row.push_back(degree(i));
        }
        row.push_back(1.5 * degree(last) - 0.5 * degree(last - 1));
        for (double& value : row) {
            value = std::clamp(value, 0.0, 1.0);
        }
        return row;
    }

    [[nodiscard]] MouldEnergy energy(std::span<const double> state) const {
        MouldEnergy energy{.lost_j = state[lost_] + (hasOtherSide() ? state[0] : 0.0)};
        for (std::size_t i = 0; i < grid_.size(); ++i) {
            energy.stored_j += grid_.capacity_j_per_k[i] * (state[place_[i]] - problem_.mould.start_c);
            if (isResin(i)) {
                energy.released_j +=
                    grid_.capacity_j_per_k[i] * rise_k_ * (state[place_[i] + 1] - problem_.mould.start_degree);
            }
        }
        return energy;
    }

    [[nodiscard]] bool hasOtherSide() const { return problem_.mould.other_side.has_value(); }
    [[nodiscard]] std::size_t resinCells() const { return grid_.last_resin - grid_.first_resin + 1; }

private:
    struct Surface {
        std::size_t cell = 0;
        bool other = false;
    };

    [[nodiscard]] bool isResin(std::size_t i) const { return i >= grid_.first_resin && i <= grid_.last_resin; }

    [[nodiscard]] double heatTolerance() const {
        double capacity_j_per_k = 0.0;
        for (const double of_cell : grid_.capacity_j_per_k) {
            capacity_j_per_k += of_cell;
        }
        return heat_tolerance_k * capacity_j_per_k;
    }

    [[nodiscard]] double airC(double time_s, bool other) const {
        const TemperatureCourse& air = other && problem_.other_air ? *problem_.other_air : problem_.air;
        return signal::linear(air.time_s, air.temperature_c, time_s);
    }

    // A symmetric parabola through the two innermost cells.
    template<class Value>
    [[nodiscard]] double centreOf(const Value& value) const {
        return value(0) - (value(1) - value(0)) / 8.0;
    }

    [[nodiscard]] double surfaceC(const Surface& surface, double time_s, std::span<const double> state) const {
        const double inwards = surface.other ? grid_.other_resin_to_surface_w_per_k : grid_.resin_to_surface_w_per_k;
        const double outwards = surface.other ? grid_.other_surface_outwards_w_per_k : grid_.surface_outwards_w_per_k;
        const bool bare = surface.other ? surface.cell == 0 : surface.cell + 1 == grid_.size();
        const double beyond_c =
            bare ? airC(time_s, surface.other) : state[place_[surface.other ? surface.cell - 1 : surface.cell + 1]];
        if (std::isinf(outwards)) {
            return beyond_c;
        }
        return (inwards * state[place_[surface.cell]] + outwards * beyond_c) / (inwards + outwards);
    }

    void derivatives(double time_s, std::span<const double> state, std::span<double> change) const {
        const std::size_t n = grid_.size();
        double inflow_w = 0.0;
        if (hasOtherSide()) {
            inflow_w = grid_.other_w_per_k * (airC(time_s, true) - state[place_.front()]);
            change[0] = -inflow_w;
        }
        for (std::size_t i = 0; i < n; ++i) {
            const double temperature_c = state[place_[i]];
            const double outflow_w = i + 1 < n ? grid_.conductance_w_per_k[i] * (temperature_c - state[place_[i + 1]])
                                               : grid_.outer_w_per_k * (temperature_c - airC(time_s, false));
            double rate_k_per_s = (inflow_w - outflow_w) / grid_.capacity_j_per_k[i];
            if (isResin(i)) {
                const double cure_per_s = curingRatePerS(
                    law_, {.temperature_c = temperature_c, .degree = state[place_[i] + 1], .catalyst_g_per_g = 1.0});
                change[place_[i] + 1] = cure_per_s;
                rate_k_per_s += rise_k_ * cure_per_s;
            }
            change[place_[i]] = rate_k_per_s;
            inflow_w = outflow_w;
        }
        change[lost_] = inflow_w;
    }

    const MouldProblem& problem_;
    MouldGrid grid_;
    CureLaw law_;
    double rise_k_ = 0.0; // of the whole cure
    std::vector<std::size_t> place_;
    std::size_t lost_ = 0;
};

// The highest value of a column of a course, by a parabola through it and its neighbours.
MouldPoint pointOf(const MouldCourse& course, std::size_t column) {
    std::size_t top = 0;
    for (std::size_t k = 1; k < course.time_s.size(); ++k) {
        if (course.temperature_c[k][column] > course.temperature_c[top][column]) {
            top = k;
        }
    }
    MouldPoint point{.peak_temperature_c = course.temperature_c[top][column],
                     .peak_time_s = course.time_s[top],
                     .degree_final = course.degree.back()[column]};
    if (top > 0 && top + 1 < course.time_s.size()) {
        const double before = course.temperature_c[top - 1][column] - point.peak_temperature_c;
        const double after = course.temperature_c[top + 1][column] - point.peak_temperature_c;
        const double bend = before + after;
        if (bend < 0.0) {
            const double shift = 0.5 * (before - after) / bend; // in steps
            point.peak_temperature_c -= 0.125 * (after - before) * (after - before) / bend;
            point.peak_time_s += shift * (course.time_s[top + 1] - course.time_s[top]);
        }
    }
    return point;
}

// Values in the middle of a slab that is solved from face to face: between its two middle cells.
void insertMiddle(MouldCourse& course) {
    const std::size_t at = course.position_mm.size() / 2; // an even number of cells and two surfaces
    course.position_mm.insert(course.position_mm.begin() + static_cast<std::ptrdiff_t>(at), 0.0);
    for (auto* rows : {&course.temperature_c, &course.degree}) {
        for (std::vector<double>& row : *rows) {
            row.insert(row.begin() + static_cast<std::ptrdiff_t>(at), 0.5 * (row[at - 1] + row[at]));
        }
    }
}

MouldForecast summary(MouldCourse course, bool other_side) {
    MouldForecast forecast;
    if (other_side) {
        insertMiddle(course);
    }
    const std::size_t last = course.position_mm.size() - 1;
    const std::size_t middle = other_side ? last / 2 : 0;
    forecast.core = pointOf(course, middle);
    forecast.skin = pointOf(course, last);
    if (other_side) {
        forecast.other_skin = pointOf(course, 0);
    }
    forecast.hottest = forecast.core;
    forecast.hottest_position_mm = course.position_mm[middle];
    for (std::size_t column = 0; column <= last; ++column) {
        const MouldPoint point = pointOf(course, column);
        if (point.peak_temperature_c > forecast.hottest.peak_temperature_c) {
            forecast.hottest = point;
            forecast.hottest_position_mm = course.position_mm[column];
        }
    }
    forecast.least_degree = *std::min_element(course.degree.back().begin(), course.degree.back().end());
    for (const std::vector<double>& row : course.temperature_c) {
        forecast.largest_difference_k = std::max(forecast.largest_difference_k, row[middle] - row[last]);
    }
    forecast.course = std::move(course);
    return forecast;
}

} // namespace

Result<MouldForecast> forecastMouldOn(std::size_t cells, const MouldProblem& problem, std::stop_token stop) {
    if (std::optional<Fault> fault = check(problem)) {
        return tl::unexpected(std::move(*fault));
    }
    const Model model(problem, std::max<std::size_t>(cells, 3));
    Result<StiffIntegrator> integrator = StiffIntegrator::of(model.system());
    if (!integrator) {
        return tl::unexpected(integrator.error());
    }
    const std::vector<double> kinks = model.kinks();
    MouldCourse course{.position_mm = model.positionsMm()};
    double reached_s = 0.0;
    for (std::size_t k = 0; k <= times_of_course; ++k) {
        if (stop.stop_requested()) {
            return tl::unexpected(Fault{.kind = FaultKind::cancelled, .what = "the forecast was stopped"});
        }
        const double time_s = problem.until_s * static_cast<double>(k) / static_cast<double>(times_of_course);
        while (reached_s < time_s) {
            const auto kink = std::upper_bound(kinks.begin(), kinks.end(), reached_s);
            const double kink_s = kink == kinks.end() ? -1.0 : *kink;
            const double next_s = kink_s > 0.0 ? std::min(kink_s, time_s) : time_s;
            if (Result<void> moved = integrator->advance(next_s, kink_s); !moved) {
                return tl::unexpected(moved.error());
            }
            reached_s = next_s;
        }
        course.time_s.push_back(time_s);
        course.temperature_c.push_back(model.temperatures(time_s, integrator->state()));
        course.degree.push_back(model.degrees(integrator->state()));
    }
    const MouldEnergy energy = model.energy(integrator->state());
    MouldForecast forecast = summary(std::move(course), model.hasOtherSide());
    forecast.energy = energy;
    forecast.cells = model.resinCells();
    return forecast;
}

Result<MouldForecast> forecastMould(const MouldProblem& problem, std::stop_token stop) {
    Result<MouldForecast> coarse = forecastMouldOn(first_cells, problem, stop);
    for (std::size_t cells = 2 * first_cells; coarse; cells *= 2) {
        Result<MouldForecast> fine = forecastMouldOn(cells, problem, stop);
        if (!fine) {
            return fine;
        }
        fine->grid_change_k = std::max(std::abs(fine->core.peak_temperature_c - coarse->core.peak_temperature_c),
                                       std::abs(fine->hottest.peak_temperature_c - coarse->hottest.peak_temperature_c));
        if (fine->grid_change_k < grid_tolerance_k || cells >= most_cells) {
            return fine;
        }
        coarse = std::move(fine);
    }
    return coarse;
}

std::optional<double> timeToDegreeS(const MouldForecast& forecast, double degree) {
    const auto least = [](const std::vector<double>& row) { return *std::min_element(row.begin(), row.end()); };
    double before = 0.0;
    for (std::size_t k = 0; k < forecast.course.time_s.size(); ++k) {
        const double now = least(forecast.course.degree[k]);
        if (now >= degree) {
            if (k == 0 || now == before) {
                return forecast.course.time_s[k];
            }
            const double share = (degree - before) / (now - before);
            return forecast.course.time_s[k - 1] + share * (forecast.course.time_s[k] - forecast.course.time_s[k - 1]);
        }
        before = now;
    }
    return std::nullopt;
}

FoamRisk foamRiskOf(const MouldForecast& forecast, double pressure_kpa) {
    FoamRisk risk;
    const double hottest_c = std::clamp(forecast.hottest.peak_temperature_c, chemistry::lowest_saturation_c,
                                        chemistry::highest_saturation_c);
    risk.holding_pressure_kpa = chemistry::saturationPressureKpa(hottest_c).value_or(0.0);
    const double boiling_c =
        chemistry::saturationTemperatureC(
            std::clamp(pressure_kpa, chemistry::lowest_saturation_kpa, chemistry::highest_saturation_kpa))
            .value_or(chemistry::highest_saturation_c);
    const MouldCourse& course = forecast.course;
    for (std::size_t k = 0; k < course.time_s.size() && !risk.foams; ++k) {
        const auto hottest = std::max_element(course.temperature_c[k].begin(), course.temperature_c[k].end());
        if (*hottest > boiling_c) {
            const auto column = static_cast<std::size_t>(hottest - course.temperature_c[k].begin());
            risk = {.foams = true,
                    .first_s = course.time_s[k],
                    .first_mm = course.position_mm[column],
                    .degree = course.degree[k][column],
                    .holding_pressure_kpa = risk.holding_pressure_kpa};
        }
    }
    return risk;
}

} // namespace potwatch::forecast
