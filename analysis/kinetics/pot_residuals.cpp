// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/pot_residuals.h"

#include "analysis/forecast/cure_law.h"
#include "analysis/heat/pot.h"
#include "analysis/kinetics/auto_diff.h"

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
// At which the steam leaves; its sensible heat is a hundredth of its latent heat per 20 K.
constexpr double boiling_c = 100.0;
constexpr double inverse_k_per_kj_per_mol = 1000.0 / forecast::gas_constant_j_per_mol_k;

template<class T>
class Pot {
public:
    Pot(const PotRun& run, const T* p, const PotSettings& settings)
        : run_(run)
        , settings_(settings) {
        for (std::size_t i = 0; i < pot_parameter_count; ++i) {
            p_[i] = valueOf(p[i]);
        }
        start_c_ = p[start];
        heat_j_ = run.resin_g * run.heat_of_reaction_j_per_g * std::exp(p_[log_heat]);
        charge_j_per_k_ = run.charge_j_per_k.value * std::exp(p_[log_charge]);
        vessel_j_per_k_ = run.vessel_j_per_k.value * std::exp(p_[log_vessel]);
        dose_j_per_g_k_ = run.dose_specific_heat_j_per_g_k * std::exp(p_[log_dose]);
        loss_w_per_k_ = std::exp(p_[log_loss]);
    }

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
        T temperature = start_c_;
        T reading = start_c_;
        if (run_.bins.front().time_s <= run_.start_s) {
            at(0, reading, degree, temperature, capacityAt(run_.start));
        }
        const Conditions* before = &run_.start;
        for (const Step& step : run_.steps) {
            const double h = step.duration_s;
            const bool driven = settings_.driven || step.left_out;
            const Slopes a = slopes(*before, degree, lost, driven);
            const Slopes b =
                slopes(step.middle, moved(degree, a.degree, 0.5 * h), moved(lost, a.lost, 0.5 * h), driven);
            const T degree_c = moved(degree, b.degree, 0.5 * h);
            const T lost_c = moved(lost, b.lost, 0.5 * h);
            const Slopes c = slopes(step.middle, degree_c, lost_c, driven);
            const Slopes d = slopes(step.end, moved(degree, c.degree, h), moved(lost, c.lost, h), driven);
            degree = stepped(degree, a.degree, b.degree, c.degree, d.degree, h);
            lost = stepped(lost, a.lost, b.lost, c.lost, d.lost, h);
            if (step.ends_left_out) {
                const double kept = std::exp(p_[skipped]);
                const double remaining = (1.0 - valueOf(degree)) * kept;
                degree = chained<T>(1.0 - remaining, Slope{kept, degree});
                addSlope(degree, skipped, -remaining);
            }
            const T end_c = temperatureAt(step.end, degree, lost);
            if (!std::isfinite(valueOf(end_c)) || !std::isfinite(valueOf(degree))) {
                return false;
            }
            // Where it boils the probe is in what was measured.
            reading = step.left_out
                          ? probe(reading, T(before->measured_c), T(step.middle.measured_c), T(step.end.measured_c), h)
                          : probe(reading, temperature, temperatureAt(step.middle, degree_c, lost_c), end_c, h);
            temperature = end_c;
            before = &step.end;
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
    };

    static T moved(const T& from, const T& slope, double h) {
        return chained<T>(valueOf(from) + h * valueOf(slope), Slope{1.0, from}, Slope{h, slope});
    }
    static T stepped(const T& from, const T& a, const T& b, const T& c, const T& d, double h) {
        const double sixth = h / 6.0;
        return chained<T>(valueOf(from) + sixth * (valueOf(a) + 2.0 * (valueOf(b) + valueOf(c)) + valueOf(d)),
                          Slope{1.0, from}, Slope{sixth, a}, Slope{2.0 * sixth, b}, Slope{2.0 * sixth, c},
                          Slope{sixth, d});
    }

    [[nodiscard]] Slopes slopes(const Conditions& c, const T& degree, const T& lost, bool driven) const {
        if (driven) {
            const T drive_c(c.measured_c);
            return {rate(c, drive_c, degree), loss(c, drive_c)};
        }
        const T own_c = temperatureAt(c, degree, lost);
        return {rate(c, held(own_c), degree), loss(c, own_c)};
    }

    static T held(const T& temperature_c) {
        return valueOf(temperature_c) > hottest_c   ? T(hottest_c)
               : valueOf(temperature_c) < coldest_c ? T(coldest_c)
                                                    : temperature_c;
    }

    [[nodiscard]] double capacityAt(const Conditions& c) const {
        return charge_j_per_k_ + vessel_j_per_k_ + dose_j_per_g_k_ * c.dosed_g -
               p_[steam] * run_.water_specific_heat_j_per_g_k * c.evaporated_share;
    }

    [[nodiscard]] T temperatureAt(const Conditions& c, const T& degree, const T& lost) const {
        const double per_capacity = 1.0 / capacityAt(c);
        const double cured_j = heat_j_ * (valueOf(degree) - run_.start_degree);
        const double lost_j = loss_w_per_k_ * valueOf(lost);
        const double dose_j_per_k = dose_j_per_g_k_ * (c.dosed_g - run_.start.dosed_g);
        const double water_j_per_g_k = run_.water_specific_heat_j_per_g_k * c.evaporated_share;
        const double steam_j_per_g =
            run_.steam_j_per_g * c.evaporated_share + water_j_per_g_k * (boiling_c - p_[start]);
        const double rise_k = (cured_j - lost_j + c.heater_j - run_.start.heater_j +
                               dose_j_per_k * (run_.dose_c - p_[start]) - p_[steam] * steam_j_per_g) *
                              per_capacity;
        T temperature = chained<T>(p_[start] + rise_k, Slope{heat_j_ * per_capacity, degree},
                                   Slope{-loss_w_per_k_ * per_capacity, lost});
        addSlope(temperature, log_heat, cured_j * per_capacity);
        addSlope(temperature, log_loss, -lost_j * per_capacity);
        addSlope(temperature, log_charge, -rise_k * charge_j_per_k_ * per_capacity);
        addSlope(temperature, log_dose,
                 (dose_j_per_k * (run_.dose_c - p_[start]) - rise_k * dose_j_per_g_k_ * c.dosed_g) * per_capacity);
        addSlope(temperature, log_vessel, -rise_k * vessel_j_per_k_ * per_capacity);
        addSlope(temperature, start, 1.0 + (p_[steam] * water_j_per_g_k - dose_j_per_k) * per_capacity);
        addSlope(temperature, steam, (rise_k * water_j_per_g_k - steam_j_per_g) * per_capacity);
        return temperature;
    }

    // k1 and k2 share all but their own exponent, so two exponentials do for the whole law.
    [[nodiscard]] T rate(const Conditions& c, const T& temperature_c, const T& degree) const {
        if (!c.cures) {
            return T(0.0);
        }
        const double temperature_k = valueOf(temperature_c) + zero_celsius_k;
        const double scaled = (1.0 / settings_.reference_k - 1.0 / temperature_k) * inverse_k_per_kj_per_mol;
        const double remaining = std::max(1.0 - valueOf(degree), smallest_remaining);
        const double log_remaining = std::log(remaining);
        const double common = p_[power_n] * log_remaining + (run_.dosed_catalyst ? p_[order] * c.log_catalyst : 0.0);
        const double first = std::exp(common + p_[log_k1] + p_[e1] * scaled);
        double second = 0.0;
        double log_degree = 0.0;
        double by_degree = 0.0;
        if (settings_.autocatalytic) {
            const double cured = std::max(valueOf(degree), smallest_degree);
            log_degree = std::log(cured);
            second = std::exp(common + p_[log_k2] + p_[e2] * scaled + p_[power_m] * log_degree);
            by_degree = valueOf(degree) > smallest_degree ? p_[power_m] * second / cured : 0.0;
        }
        const double both = first + second;
        by_degree -= 1.0 - valueOf(degree) > smallest_remaining ? p_[power_n] * both / remaining : 0.0;
        const double by_temperature =
            (p_[e1] * first + p_[e2] * second) * inverse_k_per_kj_per_mol / (temperature_k * temperature_k);
        T result = chained<T>(both, Slope{by_temperature, temperature_c}, Slope{by_degree, degree});
        addSlope(result, log_k1, first);
        addSlope(result, e1, first * scaled);
        addSlope(result, log_k2, second);
        addSlope(result, e2, second * scaled);
        addSlope(result, power_m, second * log_degree);
        addSlope(result, power_n, both * log_remaining);
        addSlope(result, order, run_.dosed_catalyst ? both * c.log_catalyst : 0.0);
        return result;
    }

    [[nodiscard]] T loss(const Conditions& c, const T& temperature_c) const {
        const double difference = valueOf(temperature_c) - c.surroundings_c - p_[shift];
        const double square = difference * difference + smallest_difference_k * smallest_difference_k;
        constexpr double log_reference = 2.9957322735539909; // ln 20
        static_assert(heat::reference_difference_k == 20.0);
        const double log_share = 0.5 * std::log(square) - log_reference;
        const double factor = std::exp(p_[loss_exponent] * log_share);
        const double by_difference = factor * (1.0 + p_[loss_exponent] * difference * difference / square);
        T result = chained<T>(difference * factor, Slope{by_difference, temperature_c});
        addSlope(result, shift, -by_difference);
        addSlope(result, loss_exponent, difference * factor * log_share);
        return result;
    }

    // The reading after a step in which the temperature goes as a parabola: a weighted mean of the reading before and
    // the three temperatures.
    [[nodiscard]] T probe(const T& reading, const T& from_c, const T& middle_c, const T& to_c, double h) const {
        const double tau = p_[lag];
        if (tau < shortest_lag_s) {
            return to_c;
        }
        const double forgotten = std::exp(-h / tau);
        const double x = tau / h;
        const double xx = 4.0 * x * x;
        const double by_from = xx - x - forgotten * (1.0 + 3.0 * x + xx);
        const double by_middle = 4.0 * x - 2.0 * xx + forgotten * (4.0 * x + 2.0 * xx);
        const double by_to = 1.0 - 3.0 * x + xx - forgotten * (x + xx);
        const double from = valueOf(from_c);
        const double middle = valueOf(middle_c);
        const double to = valueOf(to_c);
        T result = chained<T>(forgotten * valueOf(reading) + by_from * from + by_middle * middle + by_to * to,
                              Slope{forgotten, reading}, Slope{by_from, from_c}, Slope{by_middle, middle_c},
                              Slope{by_to, to_c});
        const double bend = 8.0 * x / h * (from - 2.0 * middle + to);
        const double settled_from = from + x * (3.0 * from - 4.0 * middle + to) + xx * (from - 2.0 * middle + to);
        const double settled_by_tau = bend - (from - 4.0 * middle + 3.0 * to) / h;
        const double settled_from_by_tau = bend + (3.0 * from - 4.0 * middle + to) / h;
        addSlope(result, lag,
                 settled_by_tau - forgotten * settled_from_by_tau +
                     (valueOf(reading) - settled_from) * forgotten * h / (tau * tau));
        return result;
    }

    const PotRun& run_;
    const PotSettings& settings_;
    std::array<double, pot_parameter_count> p_{};
    T start_c_{};
    double heat_j_ = 0.0;
    double charge_j_per_k_ = 0.0;
    double vessel_j_per_k_ = 0.0;
    double dose_j_per_g_k_ = 0.0;
    double loss_w_per_k_ = 0.0;
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
        .follow([&](std::size_t bin, const Jet& reading, const Jet&, const Jet&, double) {
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
    static_assert(steam == 16 && pot_parameter_count == 18);
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
