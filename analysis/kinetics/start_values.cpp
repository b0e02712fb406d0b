// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/start_values.h"

#include "analysis/forecast/cure_law.h"
#include "analysis/kinetics/auto_diff.h"
#include "analysis/kinetics/isoconversional.h"
#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

namespace potwatch::kinetics {

namespace {

constexpr double zero_celsius_k = 273.15;
constexpr double lowest_degree = 0.02;
constexpr double highest_degree = 0.98;
constexpr double clear_of_noise = 4.0; // standard uncertainties
constexpr double model_log_u = 0.1;    // how well a smoothed rate is known at best
constexpr double default_energy_kj = 55.0;
constexpr std::size_t most_samples = 400;

// The energy and the order that need no law, where the runs are enough for that.
struct LawFree {
    double energy_kj = default_energy_kj;
    std::optional<double> order;
};

LawFree lawFree(std::span<const findings::RunStudy> studies, std::optional<double> order) {
    std::vector<CureCourse> courses;
    for (const findings::RunStudy& study : studies) {
        if (auto course = cureCourseOf(study)) {
            courses.push_back(*std::move(course));
        }
    }
    FriedmanSettings settings;
    if (order) {
        settings.order = *order == 0.0 ? CatalystOrder::none : CatalystOrder::stated;
        settings.stated = normalEstimate(*order, 0.0);
    }
    LawFree found;
    const auto free = friedman(courses, settings);
    if (!free || free->at.empty()) {
        return found;
    }
    std::vector<double> energies;
    for (const EnergyAtDegree& one : free->at) {
        energies.push_back(one.e_kj_per_mol.value);
    }
    std::nth_element(energies.begin(), energies.begin() + static_cast<std::ptrdiff_t>(energies.size() / 2),
                     energies.end());
    found.energy_kj = std::clamp(energies[energies.size() / 2], 15.0, 200.0);
    if (free->catalyst_order) {
        found.order = std::clamp(free->catalyst_order->value, 0.0, 3.0);
    }
    return found;
}

// A law whose two paths both carry some of the cure, at one energy: noise in the rates at the start of a cure can leave
// one path without weight, and a search does not find back from there.
std::vector<double> balancedStart(const std::vector<double>& law) {
    std::vector<double> balanced = law;
    balanced[log_k1] = law[log_k2] - 1.0;
    balanced[e1] = law[e2];
    balanced[power_m] = 0.7;
    return balanced;
}

// Starts that no search tends to: ln of k1 over k2, what E1 and E2 are off the energy of the rates [kJ/mol], m and n.
constexpr std::array<std::array<double, 5>, 5> spread{{{-3.0, 12.0, -6.0, 0.5, 1.3},
                                                       {-1.0, -12.0, 6.0, 1.0, 1.8},
                                                       {-5.0, 5.0, 0.0, 0.4, 1.5},
                                                       {-2.0, 25.0, 0.0, 0.7, 1.1},
                                                       {0.0, 0.0, -10.0, 1.3, 2.2}}};

// Makes a law as fast as the rates are on average, one constant over the other as given.
void scale(std::vector<double>& law, std::span<const RateSample> samples, const PotSettings& settings) {
    double sum = 0.0;
    for (const RateSample& sample : samples) {
        const double inverse = (1.0 / settings.reference_k - 1.0 / (sample.temperature_c + zero_celsius_k)) * 1000.0 /
                               forecast::gas_constant_j_per_mol_k;
        double constant = std::exp(law[log_k1] + law[e1] * inverse);
        if (settings.autocatalytic) {
            constant += std::exp(law[log_k2] + law[e2] * inverse + law[power_m] * std::log(sample.degree));
        }
        sum += std::log(sample.rate_per_s) - std::log(constant) - law[power_n] * std::log(1.0 - sample.degree) -
               law[order] * sample.log_catalyst;
    }
    const double faster = samples.empty() ? -5.0 : sum / static_cast<double>(samples.size());
    law[log_k1] += faster;
    law[log_k2] += faster;
}

} // namespace

std::vector<RateSample> rateSamples(const findings::RunStudy& study, const PotRun& run, const heat::Loss& loss) {
    std::vector<RateSample> samples;
    if (!study.balance) {
        return samples;
    }
    const heat::Balance& balance = *study.balance;
    const heat::Loss used = balance.loss.value_or(loss);
    const std::vector<double> released =
        balance.loss ? balance.released_j : heat::releasedHeat(balance.pot, balance.course, loss);
    const landmarks::Course course = landmarks::courseOf(study.curves, study.inputs.lag_s.value);
    const std::vector<double> rate_u =
        signal::uncertaintyAtKnots(study.curves.rate, course.lag_s, study.curves.noise_k);
    const double reference_j = run.resin_g * run.heat_of_reaction_j_per_g;
    const double highest = run.start_degree + *std::max_element(released.begin(), released.end()) / reference_j;
    const double scale = highest > 0.995 ? 0.995 / highest : 1.0;
    for (std::size_t i = 0; i < course.rate_time_s.size(); ++i) {
        const double time_s = course.rate_time_s[i];
        if (run.left_out && time_s > run.left_out->from_s) {
            break;
        }
        const double dosed_g = balance.pot.dose ? balance.pot.dose->dosedAt(time_s) : 0.0;
        if (run.dosed_catalyst && !(dosed_g > 0.0)) {
            continue;
        }
        const double capacity = balance.pot.heat_capacity_j_per_k + balance.pot.dose_specific_heat_j_per_g_k * dosed_g;
        const double power_w = heat::curePower(
            balance.pot, used,
            {.time_s = time_s,
             .temperature_c = course.temperatureAt(time_s),
             .rate_k_per_s = course.rate_k_per_s[i],
             .surroundings_c = signal::linear(balance.course.time_s, balance.course.surroundings_c, time_s),
             .heater_w = signal::linear(study.problem.heater_w.time_s, study.problem.heater_w.value, time_s),
             .heat_capacity_j_per_k = capacity,
             .evaporation_g_per_s = 0.0});
        RateSample sample{.time_s = time_s,
                          .temperature_c = course.temperatureAt(time_s),
                          .degree = scale * (run.start_degree +
                                             signal::linear(balance.course.time_s, released, time_s) / reference_j),
                          .rate_per_s = scale * power_w / reference_j,
                          .u_per_s = scale * capacity * rate_u[i] / reference_j};
        if (sample.degree > lowest_degree && sample.degree < highest_degree &&
            sample.rate_per_s > clear_of_noise * sample.u_per_s) {
            sample.log_catalyst =
                run.dosed_catalyst ? std::log(dosed_g / run.resin_g / run.catalyst_reference_g_per_g) : 0.0;
            samples.push_back(sample);
        }
    }
    return samples;
}

std::vector<std::vector<double>> startValues(std::span<const findings::RunStudy> studies,
                                             std::span<const RateSample> all, const PotSettings& settings,
                                             std::optional<double> order_held) {
    std::vector<RateSample> samples;
    const std::size_t stride = 1 + all.size() / most_samples;
    for (std::size_t i = 0; i < all.size(); i += stride) {
        samples.push_back(all[i]);
    }
    const LawFree free = lawFree(studies, order_held);
    const double energy_kj = free.energy_kj;
    const double start_order = order_held.value_or(free.order.value_or(1.0));
    const LeastSquares rates = autoDiff<7>(samples.size() + 7, [&](const auto* p, auto* residual) {
        using T = std::decay_t<decltype(*p)>;
        using std::exp;
        using std::log;
        for (std::size_t i = 0; i < samples.size(); ++i) {
            const RateSample& sample = samples[i];
            const double inverse = (1.0 / settings.reference_k - 1.0 / (sample.temperature_c + zero_celsius_k)) *
                                   1000.0 / forecast::gas_constant_j_per_mol_k;
            T constant = exp(p[log_k1] + p[e1] * inverse);
            if (settings.autocatalytic) {
                constant += exp(p[log_k2] + p[e2] * inverse + p[power_m] * std::log(sample.degree));
            }
            const T model = log(constant) + p[power_n] * std::log(1.0 - sample.degree) + p[order] * sample.log_catalyst;
            residual[i] =
                (model - std::log(sample.rate_per_s)) / std::hypot(model_log_u, sample.u_per_s / sample.rate_per_s);
        }
        // Weak knowledge, so that nothing runs away where the rates say nothing.
        T* weak = residual + samples.size();
        weak[0] = (p[log_k1] + 7.0) / 3.0;
        weak[1] = (p[e1] - energy_kj) / 15.0;
        weak[2] = (p[log_k2] + 5.0) / 3.0;
        weak[3] = (p[e2] - energy_kj) / 15.0;
        weak[4] = (p[power_m] - 0.8) / 0.5;
        weak[5] = (p[power_n] - 1.3) / 0.5;
        weak[6] = (p[order] - start_order) / (order_held ? 1e-4 : 0.5);
        return true;
    });
    std::vector<std::pair<double, std::vector<double>>> found;
    for (const double m : {0.5, 1.0}) {
        for (const double share : {-3.0, 0.0}) { // ln of k1 over k2
            if (!settings.autocatalytic && (m != 0.5 || share != 0.0)) {
                continue;
            }
            const std::vector<std::vector<double>> start{
                {-6.0 + share, energy_kj, -5.0, energy_kj, m, 1.3, start_order}};
            const auto solution = solve(rates, start,
                                        {.most_iterations = 60,
                                         .function_tolerance = 1e-6,
                                         .parameter_tolerance = 1e-6,
                                         .polishing_steps = 0,
                                         .thorough = false});
            if (solution) {
                found.emplace_back(solution->sum_of_squares, solution->parameters);
            }
        }
    }
    std::sort(found.begin(), found.end());
    std::vector<std::vector<double>> starts;
    for (auto& one : found) {
        if (order_held) {
            one.second[order] = *order_held;
        }
        // Those that arrived at the same place count once.
        const bool known = std::any_of(starts.begin(), starts.end(), [&](const std::vector<double>& other) {
            double distance = 0.0;
            for (std::size_t i = 0; i < other.size(); ++i) {
                distance = std::max(distance, std::abs(other[i] - one.second[i]));
            }
            return distance < 0.05;
        });
        if (!known) {
            starts.push_back(std::move(one.second));
        }
    }
    if (starts.empty()) {
        starts.push_back({-7.0, energy_kj, -5.0, energy_kj, 0.7, 1.3, start_order});
    }
    if (settings.autocatalytic) {
        starts.insert(starts.begin(), balancedStart(starts.front()));
    }
    for (const std::array<double, 5>& one : spread) {
        std::vector<double> law{one[0], energy_kj + one[1], 0.0, energy_kj + one[2], one[3], one[4], start_order};
        scale(law, samples, settings);
        starts.push_back(std::move(law));
    }
    return starts;
}

} // namespace potwatch::kinetics
