// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/reference/pot_set.h"

#include "tests/reference/repeats.h"
#include "tests/wild/wild_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <stdexcept>

// Source: invented resins and benches, drawn and integrated by tests/wild; nothing of the product is in them.
namespace potwatch::reference {

namespace {

using wild::Moment;
using wild::Pot;
using wild::Random;

constexpr double step_s = 0.5;
constexpr double coarse_step_s = 5.0;
constexpr int most_attempts = 400;
constexpr double gas_kj_per_mol_k = 8.314462618e-3;

// Standard uncertainties as tests/wild states them.
constexpr double specific_heat_rel = 0.03;
constexpr double heat_of_reaction_rel = 0.05;
constexpr double vessel_j_per_k = 2.0;
constexpr double surroundings_k = 0.5;
constexpr double lag_s = 0.7;

// Of the stated standard uncertainty: normal, as 95 % intervals are meant to hold it.
double off(Random& random) {
    return std::clamp(random.normal(), -3.0, 3.0);
}

// The same resin and vessel on another day: other amounts, another dose, another room.
Pot another(const Pot& first, Random& random) {
    Pot pot = first;
    pot.resin_g *= random.logBetween(0.8, 1.25);
    const double room_c = random.between(16.0, 27.0);
    pot.room = {{0.0, room_c}};
    pot.start_c = room_c + 0.3 * off(random);
    pot.dose_c = room_c;
    pot.water_g = first.water_g * pot.resin_g / first.resin_g;
    if (!pot.doses.empty()) {
        const double share = first.doses.front().amount_g / first.resin_g * random.logBetween(0.6, 1.6);
        pot.doses = {{.start_s = 60.0 * random.whole(1, 5),
                      .over_s = random.logBetween(90.0, 1500.0),
                      .amount_g = pot.resin_g * std::clamp(share, 0.03, 0.08)}};
    }
    return pot;
}

const Moment& hottest(const std::vector<Moment>& history) {
    return *std::max_element(history.begin(), history.end(),
                             [](const Moment& a, const Moment& b) { return a.pot_c < b.pot_c; });
}

// When it has fallen to that part of its rise; nothing where it does not, or its peak is not as its kind wants it.
std::optional<double> endOf(const wild::Draft& draft, const Pot& pot, const std::vector<Moment>& history) {
    const Moment& peak = hottest(history);
    const double low_c = pot.start_c + draft.end_rise * (peak.pot_c - pot.start_c);
    const auto end = std::find_if(history.begin(), history.end(),
                                  [&](const Moment& now) { return now.time_s > peak.time_s && now.pot_c < low_c; });
    const bool wanted = peak.pot_c > draft.peak_low_c && peak.pot_c < draft.peak_high_c &&
                        history.back().evaporated_g <= draft.boiled_high_g;
    return wanted && end != history.end() ? std::optional(end->time_s) : std::nullopt;
}

double specificHeatStated(const wild::Draft& draft) {
    const Pot& pot = draft.pot;
    return pot.specific_heat_j_per_g_k * (1.0 + pot.specific_heat_per_k * (draft.belief.specific_heat_at_c - 25.0) +
                                          0.5 * pot.specific_heat_per_degree);
}

Batch batchOf(const Pot& pot, const wild::Draft& draft, const Off& stated) {
    Batch batch;
    batch.file = "simulated";
    batch.charge = {.resin_g = pot.resin_g,
                    .specific_heat_j_per_g_k = specificHeatStated(draft) * stated.specific_heat};
    if (std::isfinite(pot.boiling_c)) {
        batch.charge.boiling_c = pot.boiling_c;
    }
    batch.vessel = {.name = "beaker",
                    .heat_capacity_j_per_k = std::max(1.0, pot.vessel.heat_capacity_j_per_k + stated.vessel_j_per_k)};
    batch.surroundings.temperature_c = pot.room.front().temperature_c + stated.surroundings_k;
    if (!pot.doses.empty()) {
        const wild::DoseStep& dose = pot.doses.front();
        batch.dose = Dose{.role = DoseRole::catalyst,
                          .total_g = dose.amount_g,
                          .rate_g_per_min = 60.0 * dose.amount_g / dose.over_s,
                          .start_s = dose.start_s,
                          .specific_heat_j_per_g_k = pot.dose_specific_heat_j_per_g_k,
                          .temperature_c = pot.dose_c};
    }
    batch.cure.heat_of_reaction_j_per_g = wild::totalHeat(pot) / pot.resin_g * stated.heat_of_reaction;
    batch.sensor_lag_s = std::max(0.3, draft.probe.lag_s + draft.probe.second_lag_s + stated.lag_s);
    batch.uncertainty = {.specific_heat_rel = specific_heat_rel,
                         .vessel_j_per_k = vessel_j_per_k,
                         .surroundings_k = surroundings_k,
                         .lag_s = lag_s,
                         .heat_of_reaction_rel = heat_of_reaction_rel,
                         .thermocouple_k = 0.0};
    return batch;
}

const FittedParameter* named(const KineticFit& fit, const std::string& name) {
    const auto found = std::find_if(fit.parameters.begin(), fit.parameters.end(),
                                    [&](const FittedParameter& one) { return one.name == name; });
    return found == fit.parameters.end() ? nullptr : &*found;
}

// ln k = ln A - E / (R T), with the covariance of ln A and E.
Estimate logK(const KineticFit& fit, const std::string& path, double temperature_k) {
    const KineticsFit& law = fit.kinetics.fit.value();
    const auto place = [&](const std::string& name) {
        return static_cast<std::size_t>(std::find(law.parameters.begin(), law.parameters.end(), name) -
                                        law.parameters.begin());
    };
    const std::size_t a = place("ln_a" + path + "_per_s");
    const std::size_t e = place("e" + path + "_kj_per_mol");
    const double by_e = -1.0 / (gas_kj_per_mol_k * temperature_k);
    const double log_a = std::log(path == "1" ? fit.kinetics.a1_per_s : fit.kinetics.a2_per_s);
    const double energy = path == "1" ? fit.kinetics.e1_kj_per_mol : fit.kinetics.e2_kj_per_mol;
    const double variance =
        law.covariance[a][a] + 2.0 * by_e * law.covariance[a][e] + by_e * by_e * law.covariance[e][e];
    return normalEstimate(log_a + by_e * energy, std::sqrt(std::max(0.0, variance)));
}

bool isFalse(const Estimate& off_by, double truth) {
    const double found = truth + off_by.value;
    return (found > 1.5 * truth || found < truth / 1.5) && (off_by.low > 0.0 || off_by.high < 0.0);
}

} // namespace

PotSet potSet(const std::string& kind, std::uint64_t seed, int n, int runs) {
    const wild::Draft draft = wild::drawn(kind, seed, n).draft;
    Random random(seed * 7919 + static_cast<std::uint64_t>(n));
    Off stated{.specific_heat = 1.0 + specific_heat_rel * off(random),
               .heat_of_reaction = 1.0 + heat_of_reaction_rel * off(random),
               .vessel_j_per_k = vessel_j_per_k * off(random),
               .lag_s = lag_s * off(random)};
    PotSet set;
    for (int attempt = 0; static_cast<int>(set.runs.size()) < runs; ++attempt) {
        if (attempt == most_attempts) {
            throw std::runtime_error("no set could be drawn of the kind " + kind);
        }
        const Pot pot = another(draft.pot, random);
        if (!endOf(draft, pot, wild::simulate(pot, draft.longest_s, coarse_step_s))) {
            continue;
        }
        const std::vector<Moment> history = wild::simulate(pot, draft.longest_s, step_s);
        const auto end_s = endOf(draft, pot, history);
        if (!end_s) {
            continue;
        }
        stated.surroundings_k = surroundings_k * off(random);
        Run run;
        run.name = fmt::format("run {}", set.runs.size() + 1);
        Channel channel{.name = "pot_c", .unit = "degC", .values = {}};
        for (const wild::Reading& reading : wild::read(history, *end_s, draft.probe, random)) {
            run.time_s.push_back(reading.time_s);
            channel.values.push_back(reading.pot_c);
        }
        run.channels = {std::move(channel)};
        run.batch = batchOf(pot, draft, stated);
        set.pots.push_back(pot);
        set.runs.push_back(std::move(run));
    }
    return set;
}

double trueAdiabaticRise(const Pot& pot) {
    double dosed_j_per_k = 0.0;
    for (const wild::DoseStep& dose : pot.doses) {
        dosed_j_per_k += dose.amount_g * pot.dose_specific_heat_j_per_g_k;
    }
    constexpr int steps = 2000;
    double temperature_c = pot.start_c;
    for (int i = 0; i < steps; ++i) {
        const double degree = (i + 0.5) / steps;
        const double specific = pot.specific_heat_j_per_g_k * (1.0 + pot.specific_heat_per_k * (temperature_c - 25.0) +
                                                               pot.specific_heat_per_degree * degree);
        temperature_c +=
            wild::totalHeat(pot) / steps / (pot.resin_g * specific + dosed_j_per_k + pot.vessel.heat_capacity_j_per_k);
    }
    return temperature_c - pot.start_c;
}

LawOff lawOff(const KineticFit& fit, const Pot& pot) {
    const wild::Reaction& law = pot.reactions.front();
    const KineticsFit& range = fit.kinetics.fit.value();
    const double temperature_k = 273.15 + 0.5 * (range.t_min_c + range.t_max_c);
    const double by_catalyst =
        law.catalyst_order > 0.0
            ? law.catalyst_order * std::log(fit.kinetics.catalyst_reference_g_per_g / law.catalyst_reference_g_per_g)
            : 0.0;
    const auto true_log_k = [&](double at_320_per_s, double energy_j_per_mol) {
        return std::log(at_320_per_s) + by_catalyst +
               energy_j_per_mol / 1000.0 / gas_kj_per_mol_k * (1.0 / 320.0 - 1.0 / temperature_k);
    };
    LawOff found{.e1 = less(named(fit, "e1_kj_per_mol")->value, law.e1_j_per_mol / 1000.0),
                 .e2 = less(named(fit, "e2_kj_per_mol")->value, law.e2_j_per_mol / 1000.0),
                 .log_k1 = less(logK(fit, "1", temperature_k), true_log_k(law.k1_per_s, law.e1_j_per_mol)),
                 .log_k2 = less(logK(fit, "2", temperature_k), true_log_k(law.k2_per_s, law.e2_j_per_mol))};
    found.false_law = isFalse(found.e1, law.e1_j_per_mol / 1000.0) || isFalse(found.e2, law.e2_j_per_mol / 1000.0);
    return found;
}

} // namespace potwatch::reference
