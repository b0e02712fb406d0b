// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/pot_residuals.h"

#include "analysis/forecast/cure_law.h"
#include "analysis/heat/pot.h"

#include <algorithm>
#include <array>
#include <ceres/jet.h>
#include <cmath>

namespace potwatch::kinetics {

namespace {

constexpr double zero_celsius_k = 273.15;
constexpr double smallest_degree = 1e-12;      // where degree^m has a slope still
constexpr double smallest_remaining = 1e-12;   // of 1 - degree
constexpr double smallest_difference_k = 0.05; // where the power of a temperature difference is still smooth
// A trial law may run away; the pot does not.
constexpr double hottest_c = 400.0;
constexpr double coldest_c = -100.0;
constexpr double shortest_lag_s = 1e-3;

double valueOf(double x) {
    return x;
}
template<int N>
double valueOf(const ceres::Jet<double, N>& x) {
    return x.a;
}

using std::exp;
using std::log;

template<class T>
class Pot {
public:
    Pot(const PotRun& run, const T* p, const PotSettings& settings)
        : run_(run)
        , p_(p)
        , settings_(settings)
        , heat_j_(run.resin_g * run.heat_of_reaction_j_per_g * exp(p[log_heat]))
        , base_j_per_k_(run.charge_j_per_k.value * exp(p[log_charge]) + run.vessel_j_per_k.value * exp(p[log_vessel]))
        , dose_j_per_g_k_(run.dose_specific_heat_j_per_g_k * exp(p[log_charge]))
        , loss_w_per_k_(exp(p[log_loss])) {}

    // Calls at(bin, reading, degree, temperature, heat capacity) for every bin, and end(reading, temperature) for every
    // step.
    template<class At>
    bool follow(const At& at) {
        return follow(at, [](const T&, const T&) {});
    }
    template<class At, class End>
    bool follow(const At& at, const End& end) {
        T degree(run_.start_degree);
        T lost(0.0); // per loss coefficient [K s]
        T temperature = p_[start];
        T reading = p_[start];
        at(0, reading, degree, temperature, capacityAt(run_.start));
        Conditions before = run_.start;
        for (const Step& step : run_.steps) {
            const bool driven = settings_.driven || step.left_out;
            const double h = step.duration_s;
            const auto slopes = [&](const Conditions& c, const T& degree_now, const T& lost_now) {
                const T own_c = temperatureAt(c, degree_now, lost_now);
                const T drive_c = driven ? T(c.measured_c) : held(own_c);
                return Slopes{rate(c, drive_c, degree_now), loss(c, driven ? drive_c : own_c), own_c};
            };
            const Slopes a = slopes(before, degree, lost);
            const Slopes b = slopes(step.middle, degree + a.degree * (0.5 * h), lost + a.lost * (0.5 * h));
            const Slopes c = slopes(step.middle, degree + b.degree * (0.5 * h), lost + b.lost * (0.5 * h));
            const Slopes d = slopes(step.end, degree + c.degree * h, lost + c.lost * h);
            degree += (a.degree + 2.0 * (b.degree + c.degree) + d.degree) * (h / 6.0);
            lost += (a.lost + 2.0 * (b.lost + c.lost) + d.lost) * (h / 6.0);
            if (step.ends_left_out) {
                degree = 1.0 - (1.0 - degree) * exp(p_[skipped]);
            }
            const T end_c = temperatureAt(step.end, degree, lost);
            if (!std::isfinite(valueOf(end_c)) || !std::isfinite(valueOf(degree))) {
                return false;
            }
            // Where it boils the probe is in what was measured.
            const T middle_c = step.left_out ? T(step.middle.measured_c) : c.own_c;
            reading = probe(reading, step.left_out ? T(before.measured_c) : temperature, middle_c,
                            step.left_out ? T(step.end.measured_c) : end_c, h);
            temperature = end_c;
            before = step.end;
            end(reading, temperature);
            if (step.bin >= 0) {
                at(static_cast<std::size_t>(step.bin), reading, degree, temperature, capacityAt(step.end));
            }
        }
        return true;
    }

private:
    struct Slopes {
        T degree;
        T lost;
        T own_c;
    };

    static T held(const T& temperature_c) {
        return valueOf(temperature_c) > hottest_c   ? T(hottest_c)
               : valueOf(temperature_c) < coldest_c ? T(coldest_c)
                                                    : temperature_c;
    }

    [[nodiscard]] T capacityAt(const Conditions& c) const {
        const T dosed = dose_j_per_g_k_ * c.dosed_g;
        if (c.evaporated_share == 0.0) {
            return base_j_per_k_ + dosed;
        }
        return base_j_per_k_ + dosed - p_[steam] * (run_.water_specific_heat_j_per_g_k * c.evaporated_share);
    }

    [[nodiscard]] T temperatureAt(const Conditions& c, const T& degree, const T& lost) const {
        T stored = heat_j_ * (degree - run_.start_degree) - loss_w_per_k_ * lost + (c.heater_j - run_.start.heater_j);
        const double dosed_g = c.dosed_g - run_.start.dosed_g;
        if (dosed_g != 0.0) {
            stored += dose_j_per_g_k_ * (run_.dose_c - p_[start]) * dosed_g;
        }
        if (c.evaporated_share != 0.0) {
            stored -= p_[steam] * c.evaporated_share *
                      (run_.steam_j_per_g + run_.water_specific_heat_j_per_g_k * (boiling_c_ - p_[start]));
        }
        return p_[start] + stored / capacityAt(c);
    }

    // k1 and k2 share all but their own exponent, so two exponentials do for the whole law.
    [[nodiscard]] T rate(const Conditions& c, const T& temperature_c, const T& degree) const {
        if (!c.cures) {
            return T(0.0);
        }
        const T inverse = 1.0 / settings_.reference_k - 1.0 / (temperature_c + zero_celsius_k);
        const T scaled = inverse * (1000.0 / forecast::gas_constant_j_per_mol_k);
        const T remaining = 1.0 - degree;
        const T slowing =
            p_[power_n] * (valueOf(remaining) > smallest_remaining ? log(remaining) : T(std::log(smallest_remaining)));
        const T common = run_.dosed_catalyst ? slowing + p_[order] * c.log_catalyst : slowing;
        const T first = exp(common + p_[log_k1] + p_[e1] * scaled);
        if (!settings_.autocatalytic) {
            return first;
        }
        const T speeding =
            p_[power_m] * (valueOf(degree) > smallest_degree ? log(degree) : T(std::log(smallest_degree)));
        return first + exp(common + p_[log_k2] + p_[e2] * scaled + speeding);
    }

    [[nodiscard]] T loss(const Conditions& c, const T& temperature_c) const {
        const T difference = temperature_c - c.surroundings_c - p_[shift];
        const T square = difference * difference + smallest_difference_k * smallest_difference_k;
        constexpr double log_reference = 2.9957322735539909; // ln 20
        static_assert(heat::reference_difference_k == 20.0);
        return difference * exp(p_[loss_exponent] * (0.5 * log(square) - log_reference));
    }

    // The reading after a step in which the temperature goes as a parabola.
    [[nodiscard]] T probe(const T& reading, const T& from_c, const T& middle_c, const T& to_c, double h) const {
        const T& tau = p_[lag];
        if (valueOf(tau) < shortest_lag_s) {
            return to_c;
        }
        const T half_bend = (to_c - 2.0 * middle_c + from_c) * (2.0 / (h * h));
        const T slope = (4.0 * middle_c - 3.0 * from_c - to_c) * (1.0 / h);
        const T settled_from = from_c - tau * (slope - 2.0 * half_bend * tau);
        const T settled_to = to_c - tau * (slope + 2.0 * half_bend * h - 2.0 * half_bend * tau);
        return settled_to + (reading - settled_from) * exp(-h / tau);
    }

    const PotRun& run_;
    const T* p_;
    const PotSettings& settings_;
    T heat_j_;
    T base_j_per_k_;
    // The dose's specific heat is no better known than the resin's: it goes with it, so that the scale of all heats
    // stays what the person stated.
    T dose_j_per_g_k_;
    T loss_w_per_k_;
    double boiling_c_ =
        100.0; // at which the steam leaves; its sensible heat is a hundredth of its latent heat per 20 K
};

// A run that never boils has two parameters less, and even numbers of derivatives go two at a time.
template<int N>
bool differentiated(const PotRun& run, std::span<const double> parameters, const PotSettings& settings,
                    std::span<double> residuals, std::span<double> jacobian) {
    using Jet = ceres::Jet<double, N>;
    std::array<Jet, pot_parameter_count> jets;
    for (std::size_t i = 0; i < pot_parameter_count; ++i) {
        jets[i] = i < std::size_t{N} ? Jet(parameters[i], static_cast<int>(i)) : Jet(parameters[i]);
    }
    std::fill(jacobian.begin(), jacobian.end(), 0.0);
    return Pot<Jet>(run, jets.data(), settings)
        .follow([&](std::size_t bin, const Jet& reading, const Jet&, const Jet&, const Jet&) {
            const double u_k = run.bins[bin].u_k * run.inflation;
            residuals[bin] = (reading.a - run.bins[bin].reading_c) / u_k;
            for (std::size_t i = 0; i < std::min(std::size_t{pot_parameter_count}, std::size_t{N}); ++i) {
                jacobian[bin * pot_parameter_count + i] = reading.v[static_cast<Eigen::Index>(i)] / u_k;
            }
        });
}

} // namespace

bool potResiduals(const PotRun& run, std::span<const double> parameters, const PotSettings& settings,
                  std::span<double> residuals, std::span<double> jacobian) {
    if (jacobian.empty()) {
        return Pot<double>(run, parameters.data(), settings)
            .follow([&](std::size_t bin, double reading, double, double, double) {
                residuals[bin] = (reading - run.bins[bin].reading_c) / (run.bins[bin].u_k * run.inflation);
            });
    }
    static_assert(steam == 15 && pot_parameter_count == 17);
    return run.left_out ? differentiated<18>(run, parameters, settings, residuals, jacobian)
                        : differentiated<16>(run, parameters, settings, residuals, jacobian);
}

std::vector<double> stepErrors(const PotRun& run, const PotRun& halved, std::span<const double> parameters,
                               const PotSettings& settings) {
    const auto ends = [&](const PotRun& one) {
        std::vector<std::array<double, 2>> found;
        const bool done = Pot<double>(one, parameters.data(), settings)
                              .follow([](std::size_t, double, double, double, double) {},
                                      [&](double reading, double temperature_c) {
                                          found.push_back({reading, temperature_c});
                                      });
        return done ? found : std::vector<std::array<double, 2>>{};
    };
    const auto coarse = ends(run);
    const auto fine = ends(halved);
    std::vector<double> errors;
    if (coarse.size() != run.steps.size() || fine.size() != 2 * coarse.size()) {
        return errors;
    }
    // What was off before the step is not the step's.
    std::array<double, 2> before{};
    for (std::size_t i = 0; i < coarse.size(); ++i) {
        const std::array<double, 2> off{fine[2 * i + 1][0] - coarse[i][0], fine[2 * i + 1][1] - coarse[i][1]};
        errors.push_back(std::max(std::abs(off[0] - before[0]), std::abs(off[1] - before[1])));
        before = off;
    }
    return errors;
}

DegreeCourse degreeCourse(const PotRun& run, std::span<const double> parameters, const PotSettings& settings) {
    DegreeCourse course;
    const double heat_j = run.resin_g * run.heat_of_reaction_j_per_g * std::exp(parameters[log_heat]);
    const bool done =
        Pot<double>(run, parameters.data(), settings)
            .follow([&](std::size_t bin, double reading, double degree, double temperature_c, double capacity_j_per_k) {
                course.time_s.push_back(run.bins[bin].time_s);
                course.temperature_c.push_back(temperature_c);
                course.modelled.push_back(degree);
                const double difference_k = run.bins[bin].reading_c - reading;
                course.reading_difference_k.push_back(difference_k);
                course.measured.push_back(degree + difference_k * capacity_j_per_k / heat_j);
            });
    return done ? course : DegreeCourse{};
}

} // namespace potwatch::kinetics
