// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/power_before.h"

#include "analysis/signal/smooth_curve.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace potwatch::findings {

namespace {

constexpr double shortest_s = 20.0;
constexpr std::size_t fewest_readings = 12;
constexpr double settling_lags = 3.0;
// Power before the dose counts from this many standard uncertainties on.
constexpr double telling_sigma = 3.0;
// Power that would make up less of the heat than this is left alone; more than that, and the heat is not known.
constexpr double negligible_share = 0.005;
constexpr double ruinous_share = 0.4;
// How well the loss at rest follows the law that the cooling shows further up.
constexpr double loss_at_rest_log_u = 0.15;
// A room that is found from the pot's rest is taken to the pot's level within this share of the way.
constexpr double found_room_share_u = 0.2;
constexpr int room_rounds = 6;
constexpr double room_found_k = 0.02;

double meanOf(const heat::Profile& profile, double from_s, double to_s) {
    constexpr int parts = 16;
    double sum = 0.0;
    for (int i = 0; i < parts; ++i) {
        sum += signal::linear(profile.time_s, profile.value, from_s + (to_s - from_s) * (i + 0.5) / parts);
    }
    return sum / parts;
}

// Heat [W] that the pot loses at rest, by a loss that is known.
double lostAtRest(const RunStudy& study, const QuietStretch& quiet, const heat::Loss& loss) {
    const double above_k = quiet.mean_c - meanOf(study.problem.surroundings_c, quiet.from_s, quiet.to_s) - loss.shift_k;
    const double convection =
        above_k == 0.0 ? 1.0 : std::pow(std::abs(above_k) / heat::reference_difference_k, loss.exponent);
    const double factor = heat::lossFactorAt(study.problem.stretches, 0.5 * (quiet.from_s + quiet.to_s));
    return loss.coefficient_w_per_k * factor * above_k * convection;
}

struct Power {
    double value_w = 0.0;
    double u_w = 0.0;
};

Power unstatedPower(const RunStudy& study, const QuietStretch& quiet) {
    const heat::Balance& balance = *study.balance;
    const double capacity = study.problem.pot.heat_capacity_j_per_k;
    Power power{.value_w = capacity * quiet.rate_k_per_s - meanOf(study.problem.heater_w, quiet.from_s, quiet.to_s),
                .u_w = capacity * quiet.rate_u_k_per_s};
    if (balance.loss) {
        const double lost_w = lostAtRest(study, quiet, *balance.loss);
        power.value_w += lost_w;
        const double log_u = balance.fit ? std::sqrt(balance.fit->covariance[0]) : study.problem.known_loss->log_u;
        power.u_w = std::hypot(power.u_w, lost_w * std::hypot(log_u, loss_at_rest_log_u));
        power.u_w = std::hypot(power.u_w, balance.loss->coefficient_w_per_k * study.problem.surroundings_u_k);
    }
    return power;
}

// A room that is not stated: where the pot would neither gain nor lose, by its rate before the dose and the loss that
// its cooling shows; both are found together, round by round.
void findRoom(RunStudy& study, const QuietStretch& quiet) {
    heat::BalanceProblem& problem = study.problem;
    const double rest_u_k = problem.surroundings_u_k;
    for (int round = 0; round < room_rounds; ++round) {
        if (!study.balance || !study.balance->loss) {
            return;
        }
        const double conductance = study.balance->loss->coefficient_w_per_k *
                                   heat::lossFactorAt(problem.stretches, 0.5 * (quiet.from_s + quiet.to_s));
        const double away_k = problem.pot.heat_capacity_j_per_k * quiet.rate_k_per_s / conductance;
        const double away_u_k = problem.pot.heat_capacity_j_per_k * quiet.rate_u_k_per_s / conductance;
        const double room_c = quiet.mean_c + away_k;
        const double before_c = problem.surroundings_c.value.front();
        problem.surroundings_c = {.time_s = {0.0, 1.0}, .value = {room_c, room_c}};
        problem.surroundings_u_k = std::hypot(rest_u_k, std::hypot(away_u_k, found_room_share_u * away_k));
        study.balance = heat::balance(problem);
        if (std::abs(room_c - before_c) < room_found_k) {
            break;
        }
    }
    study.warnings.push_back(
        fmt::format("the room's temperature is not stated, and the pot was not at rest before the dose ({:+.2f} "
                    "K/min): it is taken "
                    "as {:.1f} °C, where the pot would have come to rest; state [surroundings] temperature_c",
                    60.0 * quiet.rate_k_per_s, problem.surroundings_c.value.front()));
}

heat::Profile withPower(const heat::Profile& heater_w, double power_w, double until_s) {
    heat::Profile profile = heater_w;
    for (double& value : profile.value) {
        value += power_w;
    }
    if (std::isfinite(until_s)) {
        const double then_w = signal::linear(heater_w.time_s, heater_w.value, until_s);
        heat::Profile cut;
        for (std::size_t i = 0; i < profile.time_s.size() && profile.time_s[i] < until_s; ++i) {
            cut.time_s.push_back(profile.time_s[i]);
            cut.value.push_back(profile.value[i]);
        }
        cut.time_s.insert(cut.time_s.end(), {until_s, until_s + 1e-3});
        cut.value.insert(cut.value.end(), {then_w + power_w, then_w});
        for (std::size_t i = 0; i < heater_w.time_s.size(); ++i) {
            if (heater_w.time_s[i] > until_s + 1e-3) {
                cut.time_s.push_back(heater_w.time_s[i]);
                cut.value.push_back(heater_w.value[i]);
            }
        }
        return cut;
    }
    return profile;
}

// The heat between what it is without the power, with it up to the peak and with it throughout: the middle of these at
// each node, and half of their spread as its uncertainty.
void widenBy(heat::Balance& balance, const heat::BalanceProblem& problem, const Power& power, double until_s) {
    const std::size_t n = balance.released_j.size();
    std::vector<double> least_j(n, 0.0);
    std::vector<double> most_j(n, 0.0);
    for (const double end_s : {until_s, std::numeric_limits<double>::infinity()}) {
        heat::BalanceProblem other = problem;
        const double power_w = power.value_w + std::copysign(power.u_w, power.value_w);
        other.heater_w = withPower(problem.heater_w, power_w, end_s);
        const heat::Balance found = heat::balance(other);
        const std::vector<double> with_j = signal::linear(found.course.time_s, found.released_j, balance.course.time_s);
        for (std::size_t i = 0; i < n; ++i) {
            least_j[i] = std::min(least_j[i], with_j[i] - balance.released_j[i]);
            most_j[i] = std::max(most_j[i], with_j[i] - balance.released_j[i]);
        }
    }
    for (std::size_t i = 0; i < n; ++i) {
        balance.released_j[i] += 0.5 * (least_j[i] + most_j[i]);
        balance.released_u_j[i] =
            std::hypot(balance.released_u_j[i], 0.5 * (most_j[i] - least_j[i]) / coverage_factor_95);
    }
    const double half_j = 0.5 * (most_j.back() - least_j.back());
    balance.released_widened.push_back({"power before the dose", half_j, half_j});
}

void holdAgainstQuiet(RunStudy& study, const QuietStretch& quiet) {
    heat::Balance& balance = *study.balance;
    const Power power = unstatedPower(study, quiet);
    const double peak_s = study.rises[study.main_rise].peak_s;
    const double put_in_j = std::abs(power.value_w) * (peak_s - quiet.from_s);
    const double released_j = std::max(1e-9, balance.released_j.back());
    if (std::abs(power.value_w) < telling_sigma * power.u_w || put_in_j < negligible_share * released_j) {
        return;
    }
    const std::string unit = study.inputs.masses_known ? "W" : "K/s of its own warming";
    const std::string what =
        fmt::format("the pot {} {:.{}f} {} before dosing that the batch file does not account for "
                    "(a plate, a stirrer, or a room {} than stated)",
                    power.value_w > 0.0 ? "gains" : "loses", std::abs(power.value_w),
                    std::abs(power.value_w) < 1.0 ? 2 : 1, unit, power.value_w > 0.0 ? "warmer" : "colder");
    // Without it the cure gave off so much at the least.
    const double cured_j = power.value_w > 0.0 ? std::max(0.0, released_j - put_in_j) : released_j;
    if (put_in_j > ruinous_share * cured_j) {
        study.heat_withdrawn =
            what + ": over the cure that is as much as the cure itself gives, so heat, loss and degree of cure are not "
                   "given. State [heater] power_w or the room's temperature, or take the pot off the plate before "
                   "dosing";
        study.balance.reset();
        return;
    }
    study.warnings.push_back(what + ": whether it went on is not known, and the heat's interval holds both. State "
                                    "[heater] power_w, or mark when it ended (\"heat off\")");
    widenBy(balance, study.problem, power, peak_s);
}

} // namespace

std::optional<QuietStretch> quietStretchOf(const RunStudy& study) {
    const auto& dose = study.inputs.dose;
    if (!dose || !study.run->batch.dose || study.run->batch.dose->role == DoseRole::diluent || study.run->batch.blank) {
        return std::nullopt;
    }
    const std::vector<double>& time_s = study.prepared.time_s;
    QuietStretch quiet{.from_s =
                           std::max(study.problem.from_s, time_s.front() + settling_lags * study.inputs.lag_s.value),
                       .to_s = dose->startS()};
    for (const Event& event : study.run->batch.events) {
        if (event.time_s > quiet.from_s && event.time_s < quiet.to_s && event.kind != "note") {
            quiet.to_s = event.time_s;
        }
    }
    double count = 0.0;
    double sum_t = 0.0;
    double sum_y = 0.0;
    const auto each = [&](const auto& use) {
        for (std::size_t i = 0; i < time_s.size(); ++i) {
            if (time_s[i] >= quiet.from_s && time_s[i] <= quiet.to_s && std::isfinite(study.prepared.value_c[i])) {
                use(time_s[i], study.prepared.value_c[i]);
            }
        }
    };
    each([&](double t, double y) {
        count += 1.0;
        sum_t += t;
        sum_y += y;
    });
    if (quiet.to_s - quiet.from_s < shortest_s || count < static_cast<double>(fewest_readings)) {
        return std::nullopt;
    }
    const double middle_s = sum_t / count;
    quiet.mean_c = sum_y / count;
    double spread = 0.0;
    double together = 0.0;
    each([&](double t, double y) {
        spread += (t - middle_s) * (t - middle_s);
        together += (t - middle_s) * (y - quiet.mean_c);
    });
    quiet.rate_k_per_s = together / spread;
    // Rounded readings of a slow drift err together: half a noise over the stretch, whatever their number.
    quiet.rate_u_k_per_s = std::hypot(study.prepared.noise_k / std::sqrt(spread),
                                      0.5 * study.prepared.noise_k / (quiet.to_s - quiet.from_s));
    return quiet;
}

void balanceHeat(RunStudy& study) {
    study.balance = heat::balance(study.problem);
    const std::optional<QuietStretch> quiet = quietStretchOf(study);
    if (!quiet || study.rises.empty()) {
        return;
    }
    const bool moves = std::abs(quiet->rate_k_per_s) > telling_sigma * quiet->rate_u_k_per_s;
    if (!study.inputs.surroundings_c) {
        if (moves) {
            findRoom(study, *quiet);
        }
        return; // the room is where the pot rests: no power can be told from it
    }
    holdAgainstQuiet(study, *quiet);
}

} // namespace potwatch::findings
