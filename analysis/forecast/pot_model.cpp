// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"

#include "analysis/chemistry/water.h"

#include <boost/numeric/odeint/stepper/controlled_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <exception>
#include <string>

namespace potwatch::forecast {

namespace {

// Local error of a step: a peak is then good to some 1e-6 K, far below any sensor, for a few milliseconds of work.
constexpr double absolute_tolerance = 1e-10;
constexpr double relative_tolerance = 1e-10;
constexpr double first_step_s = 0.01;
// A two-hour pot takes some hundred steps; more than this is a model that blows up.
constexpr int most_steps = 1000000;
// The temperature difference at which the loss coefficient is meant.
constexpr double loss_reference_k = 20.0;

// Temperature, degree, evaporated mass, heat lost, heat of evaporation.
using State = std::array<double, 5>;
using Controlled = boost::numeric::odeint::controlled_runge_kutta<boost::numeric::odeint::runge_kutta_dopri5<State>>;
using Stepper = boost::numeric::odeint::dense_output_runge_kutta<Controlled>;
enum Entry : std::size_t { temperature, degree, evaporated, lost, evaporation };

double capacity(const PotModel& model, double dosed_g, double evaporated_g) {
    return model.resin_g * model.specific_heat_j_per_g_k + model.vessel_j_per_k +
           dosed_g * model.dose_specific_heat_j_per_g_k - evaporated_g * model.water_specific_heat_j_per_g_k;
}

// A stretch of time in which the dosing rate does not change.
struct Stretch {
    double from_s = 0.0;
    double dosed_g = 0.0; // at from_s
    double rate_g_per_s = 0.0;
    bool boiling = false; // whether there is water left to boil off

    [[nodiscard]] double dosedAt(double time_s) const { return dosed_g + rate_g_per_s * (time_s - from_s); }
};

struct Balance {
    const PotModel& model;
    Stretch stretch;

    void operator()(const State& state, State& change, double time_s) const {
        const double temperature_c = state[temperature];
        const double dosed_g = stretch.dosedAt(time_s);
        const double above_k = temperature_c - model.surroundings_c;
        // An exponent that was fitted may lie a little below zero; a pot at the temperature around it loses nothing.
        const double convection = model.loss_exponent == 0.0 || above_k == 0.0
                                      ? 1.0
                                      : std::pow(std::abs(above_k) / loss_reference_k, model.loss_exponent);
        change[lost] = model.loss_coefficient_w_per_k * above_k * convection;
        change[evaporated] =
            stretch.boiling ? model.boil_g_per_s_k * std::max(0.0, temperature_c - model.boiling_c) : 0.0;
        change[evaporation] =
            change[evaporated] * model.latent_heat_j_per_g.value_or(chemistry::latentHeatJPerG(temperature_c));
        change[degree] = model.resin_g > 0.0 ? curingRatePerS(model.law, {.temperature_c = temperature_c,
                                                                          .degree = state[degree],
                                                                          .catalyst_g_per_g = dosed_g / model.resin_g})
                                             : 0.0;
        const double released_w = model.resin_g * model.heat_of_reaction_j_per_g * change[degree];
        const double dosing_w =
            stretch.rate_g_per_s * model.dose_specific_heat_j_per_g_k * (model.dose_c - temperature_c);
        change[temperature] = (released_w + model.heater_w - change[lost] + dosing_w - change[evaporation]) /
                              capacity(model, dosed_g, state[evaporated]);
    }
};

Fault impossible(std::string what) {
    return {.kind = FaultKind::range, .what = std::move(what), .where = {}, .remedy = "correct it in the batch file"};
}

std::optional<Fault> check(const PotModel& model, std::span<const double> times_s) {
    const auto negative = [](double value) { return !(value >= 0.0) || !std::isfinite(value); };
    if (negative(model.resin_g) || negative(model.water_g) || negative(model.loss_coefficient_w_per_k) ||
        negative(model.boil_g_per_s_k) || negative(model.vessel_j_per_k)) {
        return impossible("a mass, a heat capacity or a coefficient of the pot is negative or not a number");
    }
    // With all of its water gone the pot must still hold heat.
    const double water_g = model.boil_g_per_s_k > 0.0 ? model.water_g : 0.0;
    if (!(capacity(model, 0.0, water_g) > 0.0)) {
        return impossible("the pot and its contents have no heat capacity");
    }
    for (const DosePortion& dose : model.doses) {
        if (negative(dose.amount_g) || negative(dose.start_s) || negative(dose.over_s)) {
            return impossible("a dose has a negative mass, start or duration");
        }
    }
    for (const double value : {model.start_c, model.surroundings_c, model.start_degree, model.heater_w,
                               model.heat_of_reaction_j_per_g, model.loss_exponent}) {
        if (!std::isfinite(value)) {
            return impossible("a temperature, degree of cure or heat of the pot is not a number");
        }
    }
    for (std::size_t i = 0; i < times_s.size(); ++i) {
        if (!std::isfinite(times_s[i]) || times_s[i] < (i == 0 ? 0.0 : times_s[i - 1])) {
            return impossible("the times asked for are not ascending from the start of the run");
        }
    }
    return std::nullopt;
}

// Times at which the dosing rate jumps, ascending.
std::vector<double> jumps(const PotModel& model) {
    std::vector<double> result;
    for (const DosePortion& dose : model.doses) {
        result.push_back(dose.start_s);
        result.push_back(dose.start_s + dose.over_s);
    }
    std::sort(result.begin(), result.end());
    result.erase(std::unique(result.begin(), result.end()), result.end());
    return result;
}

class Simulation {
public:
    explicit Simulation(const PotModel& model)
        : model_(model)
        , state_{model.start_c, model.start_degree, 0.0, 0.0, 0.0} {
        stretch_.boiling = model.boil_g_per_s_k > 0.0 && model.water_g > 0.0;
    }

    // Brings in the portions that begin now, and sets the rate that holds from now on.
    void passJump(double time_s) {
        stretch_.dosed_g = stretch_.dosedAt(time_s);
        stretch_.from_s = time_s;
        stretch_.rate_g_per_s = 0.0;
        for (const DosePortion& dose : model_.doses) {
            if (dose.over_s == 0.0 && dose.start_s == time_s) {
                const double before_j_per_k = capacity(model_, stretch_.dosed_g, state_[evaporated]);
                const double added_j_per_k = dose.amount_g * model_.dose_specific_heat_j_per_g_k;
                state_[temperature] = (before_j_per_k * state_[temperature] + added_j_per_k * model_.dose_c) /
                                      (before_j_per_k + added_j_per_k);
                stretch_.dosed_g += dose.amount_g;
            } else if (dose.start_s <= time_s && time_s < dose.start_s + dose.over_s) {
                stretch_.rate_g_per_s += dose.amount_g / dose.over_s;
            }
        }
    }

    // Integrates from `from_s`, hands the states at the times to `result`, and ends at the last of them or at to_s.
    [[nodiscard]] std::optional<Fault> run(double from_s, double to_s, std::span<const double> times_s,
                                           std::vector<PotState>& result) {
        while (true) {
            Stepper stepper(Controlled(Controlled::error_checker_type(absolute_tolerance, relative_tolerance)));
            const Balance balance{model_, stretch_};
            stepper.initialize(state_, from_s, std::min(first_step_s, std::max(to_s - from_s, first_step_s * 1e-3)));
            std::size_t next = 0;
            State at{};
            bool dry = false;
            while (next < times_s.size() || stepper.current_time() < to_s) {
                if (++steps_ > most_steps) {
                    return gaveUp(stepper.current_time());
                }
                stepper.do_step(balance);
                if (!std::isfinite(stepper.current_state()[temperature])) {
                    return gaveUp(stepper.previous_time());
                }
                const double reached_s = std::min(stepper.current_time(), to_s);
                double dry_s = reached_s;
                if (stretch_.boiling) {
                    stepper.calc_state(reached_s, at);
                    if (at[evaporated] >= model_.water_g) {
                        dry = true;
                        dry_s = dryAt(stepper, reached_s);
                    }
                }
                for (; next < times_s.size() && times_s[next] <= dry_s; ++next) {
                    stepper.calc_state(times_s[next], at);
                    result.push_back(pot(at, times_s[next]));
                }
                if (dry) {
                    stepper.calc_state(dry_s, state_);
                    from_s = dry_s;
                    break;
                }
            }
            if (!dry) {
                stepper.calc_state(to_s, state_);
                return std::nullopt;
            }
            // The last water has gone: go on from there without boiling.
            stretch_.boiling = false;
            times_s = times_s.subspan(next);
        }
    }

private:
    // When the last water boils off, within the stepper's last step.
    [[nodiscard]] double dryAt(const Stepper& stepper, double reached_s) const {
        double low_s = stepper.previous_time();
        double high_s = reached_s;
        State at{};
        for (int halving = 0; halving < 50; ++halving) {
            const double middle_s = 0.5 * (low_s + high_s);
            stepper.calc_state(middle_s, at);
            (at[evaporated] >= model_.water_g ? high_s : low_s) = middle_s;
        }
        return high_s;
    }

    [[nodiscard]] PotState pot(const State& state, double time_s) const {
        const double dosed_g = stretch_.dosedAt(time_s);
        return {.temperature_c = state[temperature],
                .degree = state[degree],
                .dosed_g = dosed_g,
                .evaporated_g = state[evaporated],
                .heat_j = model_.resin_g * model_.heat_of_reaction_j_per_g * (state[degree] - model_.start_degree),
                .lost_j = state[lost],
                .evaporation_j = state[evaporation],
                .heat_capacity_j_per_k = capacity(model_, dosed_g, state[evaporated])};
    }

    [[nodiscard]] static Fault gaveUp(double time_s) {
        return {.kind = FaultKind::notConverged,
                .what = fmt::format("the pot could not be followed beyond {:.1f} s", time_s),
                .where = {},
                .remedy = "check the kinetics and the heat of reaction"};
    }

    const PotModel& model_;
    State state_;
    Stretch stretch_;
    int steps_ = 0;
};

} // namespace

Result<std::vector<PotState>> simulatePot(const PotModel& model, std::span<const double> times_s) {
    if (const auto fault = check(model, times_s)) {
        return tl::unexpected(*fault);
    }
    std::vector<PotState> result;
    if (times_s.empty()) {
        return result;
    }
    result.reserve(times_s.size());
    std::vector<double> edges = jumps(model);
    const double end_s = times_s.back();
    std::erase_if(edges, [&](double edge_s) { return edge_s >= end_s; });
    if (edges.empty() || edges.front() > 0.0) {
        edges.insert(edges.begin(), 0.0);
    }
    edges.push_back(end_s);
    try {
        Simulation simulation(model);
        for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
            simulation.passJump(edges[i]);
            const bool is_last = i + 2 == edges.size();
            // A time on a jump belongs to what follows it.
            const auto past = is_last ? times_s.end() : std::lower_bound(times_s.begin(), times_s.end(), edges[i + 1]);
            const auto count = static_cast<std::size_t>(past - times_s.begin());
            const auto pending = times_s.subspan(result.size(), count - result.size());
            if (const auto fault = simulation.run(edges[i], edges[i + 1], pending, result)) {
                return tl::unexpected(*fault);
            }
        }
    } catch (const std::exception& error) {
        return tl::unexpected(Fault{.kind = FaultKind::notConverged,
                                    .what = std::string("the pot could not be followed: ") + error.what(),
                                    .where = {},
                                    .remedy = "check the kinetics and the heat of reaction"});
    }
    return result;
}

} // namespace potwatch::forecast
