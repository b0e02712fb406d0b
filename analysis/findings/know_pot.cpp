// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/know_pot.h"

#include "analysis/chemistry/water.h"
#include "analysis/findings/inputs.h"
#include "analysis/findings/prepare.h"
#include "analysis/values/uncertainty.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

namespace potwatch {

namespace {

constexpr double settle_s = 60.0; // until water and vessel have one temperature
constexpr double settle_lags = 5.0;
constexpr double carried_back_s = 120.0; // of cooling: longer, and it bends too much for a straight line
constexpr double shortest_s = 60.0;
constexpr double bin_s = 10.0;
constexpr double longest_back_s = 300.0; // from there to the pouring
// Of what it cooled meanwhile: the first minute need not cool as the next ones, least of all where vapour leaves.
constexpr double covered_share_u = 0.03;
constexpr double open_share_u = 0.1;
constexpr double least_rise_k = 5.0; // of a pouring that is seen
constexpr double least_difference_k = 15.0;
constexpr double open_below_c = 60.0;
constexpr double least_cooling_k = 10.0;
constexpr double specific_heat_rel_u = 0.002;
constexpr double told_exponent_u = 0.1; // the usual range has 0.15
constexpr double notable_share = 0.05;
constexpr double stated_loss_rel_u = 0.03; // as findings::inputsOf() takes it

Fault refusal(FaultKind kind, const Run& run, std::string what, std::string remedy) {
    return {.kind = kind, .what = std::move(what), .where = {.file = run.file}, .remedy = std::move(remedy)};
}

// Where the reading rises fastest on its way to the highest one; nothing where it does not rise.
std::optional<double> pouringSeen(const findings::Prepared& prepared) {
    const std::vector<double>& value = prepared.value_c;
    std::size_t top = value.size();
    for (std::size_t i = 0; i < value.size(); ++i) {
        top = std::isfinite(value[i]) && (top == value.size() || value[i] > value[top]) ? i : top;
    }
    const auto first = static_cast<std::size_t>(
        std::find_if(value.begin(), value.end(), [](double v) { return std::isfinite(v); }) - value.begin());
    if (top >= value.size() || value[top] - value[first] < least_rise_k) {
        return std::nullopt;
    }
    double steepest = 0.0;
    std::optional<double> at_s;
    std::size_t before = first;
    for (std::size_t i = first + 1; i <= top; ++i) {
        if (!std::isfinite(value[i])) {
            continue;
        }
        const double rate = (value[i] - value[before]) / (prepared.time_s[i] - prepared.time_s[before]);
        if (rate > steepest) {
            steepest = rate;
            at_s = prepared.time_s[before];
        }
        before = i;
    }
    return at_s;
}

std::optional<double> pouringOf(const Run& run, const HotWater& water, const findings::Prepared& prepared) {
    if (water.poured_s) {
        return water.poured_s;
    }
    for (const Event& event : run.batch.events) {
        if (event.kind == "pour") {
            return event.time_s;
        }
    }
    return pouringSeen(prepared);
}

// The temperature at the pouring, from the cooling after it.
struct Mixed {
    double value_c = 0.0;
    double u_k = 0.0;
};

std::optional<Mixed> mixedAt(double poured_s, const findings::Prepared& prepared, const heat::Uncertain& lag_s,
                             double surroundings_c, double carried_share_u) {
    const double from_s = std::max(poured_s + settle_s + settle_lags * lag_s.value, prepared.time_s.front());
    const double to_s = std::min(from_s + carried_back_s, prepared.time_s.back());
    if (from_s - poured_s > longest_back_s || to_s - from_s < shortest_s) {
        return std::nullopt;
    }
    // Bins, so that slow wandering of the readings counts for what it is.
    const auto count = static_cast<std::size_t>((to_s - from_s) / bin_s);
    std::vector<double> sum_t(count);
    std::vector<double> sum_v(count);
    std::vector<double> n(count);
    for (std::size_t i = 0; i < prepared.time_s.size(); ++i) {
        const double since_s = prepared.time_s[i] - from_s;
        const auto bin = static_cast<std::size_t>(std::max(0.0, since_s) / bin_s);
        if (since_s >= 0.0 && bin < count && std::isfinite(prepared.value_c[i])) {
            sum_t[bin] += prepared.time_s[i] - poured_s;
            sum_v[bin] += prepared.value_c[i];
            n[bin] += 1.0;
        }
    }
    std::vector<double> t;
    std::vector<double> y;
    for (std::size_t bin = 0; bin < count; ++bin) {
        const double above_k = n[bin] > 0.0 ? sum_v[bin] / n[bin] - surroundings_c : 0.0;
        if (above_k > 0.0) {
            t.push_back(sum_t[bin] / n[bin]);
            y.push_back(std::log(above_k));
        }
    }
    constexpr std::size_t fewest_bins = 4;
    if (t.size() < fewest_bins) {
        return std::nullopt;
    }
    const auto bins = static_cast<double>(t.size());
    double t_mean = 0.0;
    double y_mean = 0.0;
    for (std::size_t i = 0; i < t.size(); ++i) {
        t_mean += t[i] / bins;
        y_mean += y[i] / bins;
    }
    double stt = 0.0;
    double sty = 0.0;
    for (std::size_t i = 0; i < t.size(); ++i) {
        stt += (t[i] - t_mean) * (t[i] - t_mean);
        sty += (t[i] - t_mean) * (y[i] - y_mean);
    }
    const double slope = sty / stt;
    double left = 0.0;
    for (std::size_t i = 0; i < t.size(); ++i) {
        const double residual = y[i] - y_mean - slope * (t[i] - t_mean);
        left += residual * residual;
    }
    const double variance = left / (bins - 2.0);
    const double at_start = y_mean - slope * t_mean;
    const double log_u = std::sqrt(variance * (1.0 / bins + t_mean * t_mean / stt));
    const double above_k = std::exp(at_start);
    // A probe that lags reads what was a lag ago.
    const double mixed_c = surroundings_c + above_k * (1.0 + lag_s.value * slope);
    const double carried_k = above_k * (1.0 - std::exp(slope * (from_s - poured_s)));
    return Mixed{.value_c = mixed_c,
                 .u_k =
                     std::hypot(std::hypot(above_k * log_u, above_k * slope * lag_s.u), carried_share_u * carried_k)};
}

void findVessel(PotKnowledge& known, const Run& run, const HotWater& water, const findings::Prepared& prepared,
                const findings::Inputs& inputs, double surroundings_c) {
    if (!known.poured_s) {
        known.why_no_vessel = "the pouring is not in the recording: begin to record before it, or say when it was";
        return;
    }
    const std::optional<Mixed> mixed = mixedAt(*known.poured_s, prepared, inputs.lag_s, surroundings_c,
                                               water.covered ? covered_share_u : open_share_u);
    if (!mixed) {
        known.why_no_vessel =
            fmt::format("the recording does not hold the minutes after the pouring at {:.0f} s", *known.poured_s);
        return;
    }
    known.mixed_c = normalEstimate(mixed->value_c, mixed->u_k);
    if (!water.water_c) {
        known.why_no_vessel = "the temperature of the water before it was poured is not stated";
        return;
    }
    const double vessel_c = water.vessel_c.value_or(surroundings_c);
    const double warmed_k = mixed->value_c - vessel_c;
    const double cooled_k = *water.water_c - mixed->value_c;
    if (warmed_k < least_difference_k) {
        known.why_no_vessel = fmt::format("the vessel was warmed by {:.1f} K only: take hotter water", warmed_k);
        return;
    }
    const double specific_heat = chemistry::liquidSpecificHeatJPerGK((*water.water_c + mixed->value_c) / 2.0);
    const double capacity = water.water_g * specific_heat * cooled_k / warmed_k;
    const double per_k = water.water_g * specific_heat / warmed_k;
    const std::array<Contribution, 5> from{
        {{"water", per_k / water.water_g * cooled_k * water.water_u_g, Distribution::rectangular},
         {"specific heat of water", capacity * specific_heat_rel_u, Distribution::rectangular},
         {"temperature of the water", per_k * water.water_u_k, Distribution::rectangular},
         {"temperature after the pouring", -(per_k + capacity / warmed_k) * mixed->u_k, Distribution::normal},
         {"temperature of the vessel", capacity / warmed_k * inputs.surroundings_u_k, Distribution::rectangular}}};
    Estimate estimate = combine(capacity, from);
    if (estimate.high <= 0.0 || capacity <= 0.0) {
        known.why_no_vessel =
            fmt::format("the water was stated to have {:.1f} °C before it was poured, and had {:.1f} °C afterwards: "
                        "measure it with the same probe, just before",
                        *water.water_c, mixed->value_c);
        return;
    }
    estimate.low = std::max(0.0, estimate.low);
    known.vessel_j_per_k = estimate;
    if (estimate.u > capacity / 2.0) {
        known.warnings.push_back(fmt::format("the vessel takes up little heat beside {:.0f} g of water: take less "
                                             "water to know its heat capacity better",
                                             water.water_g));
    }
    if (run.batch.vessel.heat_capacity_j_per_k &&
        std::abs(*run.batch.vessel.heat_capacity_j_per_k - capacity) > 3.0 * estimate.u) {
        known.warnings.push_back(fmt::format("the batch file states {:.1f} J/K for the vessel, which this run does not "
                                             "bear out",
                                             *run.batch.vessel.heat_capacity_j_per_k));
    }
}

// The part of the run in which the pot cools, as a blank.
Run coolingOf(const Run& run, const HotWater& water, const findings::Prepared& prepared, double lag_s,
              PotKnowledge& known) {
    double from_s = prepared.time_s.front();
    if (known.poured_s) {
        from_s = std::max(from_s, *known.poured_s + settle_s + settle_lags * lag_s);
    }
    std::optional<double> below_s; // from where it stays below
    double last_c = 0.0;
    for (std::size_t i = 0; i < prepared.time_s.size(); ++i) {
        const double value_c = prepared.value_c[i];
        if (!std::isfinite(value_c) || prepared.time_s[i] < from_s) {
            continue;
        }
        if (value_c > open_below_c) {
            below_s.reset();
        } else if (!below_s) {
            below_s = prepared.time_s[i];
        }
        last_c = value_c;
    }
    if (!water.covered && below_s && *below_s > from_s) {
        if (open_below_c - last_c >= least_cooling_k) {
            from_s = *below_s;
        } else {
            below_s.reset();
        }
    }
    if (!water.covered && !below_s) {
        known.warnings.emplace_back("the pot stood open above 60 °C, where evaporation carries off much of the heat: "
                                    "the loss coefficient is too high for a pot of resin. Put a lid on, or let it cool "
                                    "to 50 °C or below");
    }
    known.cooling_from_s = from_s;
    known.cooling_to_s = prepared.time_s.back();
    Run cooling = run;
    cooling.time_s.clear();
    for (Channel& channel : cooling.channels) {
        channel.values.clear();
    }
    for (std::size_t i = 0; i < run.time_s.size(); ++i) {
        if (run.time_s[i] >= from_s) {
            cooling.time_s.push_back(run.time_s[i]);
            for (std::size_t c = 0; c < run.channels.size(); ++c) {
                cooling.channels[c].values.push_back(run.channels[c].values[i]);
            }
        }
    }
    cooling.overrides.clear();
    Batch& batch = cooling.batch;
    batch.vessel.loss_coefficient_w_per_k.reset();
    batch.vessel.loss_exponent.reset();
    batch.vessel.heat_capacity_j_per_k.reset();
    batch.uncertainty.vessel_j_per_k.reset();
    batch.weighed_loss_g.reset();
    if (known.vessel_j_per_k) {
        batch.vessel.heat_capacity_j_per_k = known.vessel_j_per_k->value;
        batch.uncertainty.vessel_j_per_k = known.vessel_j_per_k->u;
    }
    return cooling;
}

void findLoss(PotKnowledge& known, const Run& cooling, const AnalyseOptions& options) {
    const std::vector<Result<Analysis>> analyses = analyse({&cooling, 1}, options);
    if (!analyses.front()) {
        known.why_no_loss = describe(analyses.front().error());
        return;
    }
    const HeatFindings& heat = analyses.front()->findings.heat;
    if (!heat.loss_coefficient_w_per_k) {
        known.why_no_loss = "the water does not cool for long enough: record until it has lost 10 K and more";
        return;
    }
    known.loss_coefficient_w_per_k = heat.loss_coefficient_w_per_k;
    if (heat.loss_exponent && heat.loss_exponent->u < told_exponent_u) {
        known.loss_exponent = heat.loss_exponent;
    }
    const Estimate& loss = *known.loss_coefficient_w_per_k;
    if (loss.u > stated_loss_rel_u * loss.value && known.vessel_j_per_k) {
        known.warnings.push_back(fmt::format("a loss coefficient that a batch file states is taken as known to 3 %; "
                                             "this one is known to {:.0f} %: keep this run in the book as a blank of "
                                             "the vessel rather than stating it",
                                             100.0 * loss.u / loss.value));
    }
    if (!known.vessel_j_per_k) {
        known.warnings.emplace_back("the vessel's heat capacity is not known from this run: the loss coefficient's "
                                    "interval is wide for it");
    }
}

// The balance takes the heat capacity as the same all the way. Water's is not (4.19 at 75 °C, 4.18 at 35 °C), and that
// much of the loss's growth with the difference may be the water's.
void widenExponent(PotKnowledge& known, const HotWater& water, const findings::Prepared& prepared,
                   double surroundings_c) {
    if (!known.loss_exponent) {
        return;
    }
    double hottest_c = surroundings_c;
    for (std::size_t i = 0; i < prepared.value_c.size(); ++i) {
        if (prepared.time_s[i] >= known.cooling_from_s && prepared.value_c[i] > hottest_c) {
            hottest_c = prepared.value_c[i];
        }
    }
    if (!(hottest_c > surroundings_c)) {
        return;
    }
    // The first e-fold of the difference carries most of the heat, and so most of what is known of the exponent.
    const double cooler_c = surroundings_c + (hottest_c - surroundings_c) * std::exp(-1.0);
    const double hot = chemistry::liquidSpecificHeatJPerGK(hottest_c);
    const double cool = chemistry::liquidSpecificHeatJPerGK(cooler_c);
    const double vessel = known.vessel_j_per_k ? known.vessel_j_per_k->value / water.water_g : 0.0;
    const double tilt = std::log((hot + vessel) / (cool + vessel)); // for a difference e times as large
    // combine() takes standard uncertainties; nothing between none of it and all of it is likelier.
    const std::array<Contribution, 2> from{
        {{"cooling", known.loss_exponent->u, Distribution::normal},
         {"specific heat of water", tilt / std::sqrt(3.0), Distribution::rectangular}}};
    known.loss_exponent = combine(known.loss_exponent->value, from);
}

} // namespace

Result<PotKnowledge> knowPot(const Run& run, const HotWater& water, const AnalyseOptions& options) {
    if (!(water.water_g > 0.0) || (water.water_c && !(*water.water_c > 0.0 && *water.water_c <= 105.0))) {
        return tl::unexpected(refusal(FaultKind::range, run, "water of that mass or temperature cannot be poured",
                                      "give its grams, and its temperature between 0 and 105 °C"));
    }
    Run blank = run;
    Batch& batch = blank.batch;
    batch.blank = true;
    batch.charge = {.water_g = water.water_g};
    batch.ingredients.clear();
    batch.dose.reset();
    batch.cure = {};
    const Result<std::size_t> channel = findings::potChannel(blank, options.channel);
    const Result<findings::Prepared> prepared =
        channel ? findings::prepare(blank, *channel) : tl::unexpected(channel.error());
    const Result<findings::Inputs> inputs =
        prepared ? findings::inputsOf(blank, blank.channels[*channel].name) : tl::unexpected(prepared.error());
    if (!inputs) {
        return tl::unexpected(inputs.error());
    }
    if (!inputs->surroundings_c) {
        return tl::unexpected(refusal(FaultKind::missing, run, "the temperature of the surroundings is not stated",
                                      "give --surroundings-c, or [surroundings] in the batch file"));
    }
    PotKnowledge known;
    known.warnings = prepared->warnings;
    known.poured_s = pouringOf(blank, water, *prepared);
    const double surroundings_c = inputs->surroundings_c->value.front();
    findVessel(known, blank, water, *prepared, *inputs, surroundings_c);
    const Run cooling = coolingOf(blank, water, *prepared, inputs->lag_s.value, known);
    findLoss(known, cooling, options);
    widenExponent(known, water, *prepared, surroundings_c);
    const auto last = std::find_if(prepared->value_c.rbegin(), prepared->value_c.rend(),
                                   [](double value_c) { return std::isfinite(value_c); });
    if (water.loss_g && known.mixed_c && known.mixed_c->value > *last) {
        const double mean_c = (known.mixed_c->value + *last) / 2.0;
        const double capacity = water.water_g * chemistry::liquidSpecificHeatJPerGK(mean_c) +
                                (known.vessel_j_per_k ? known.vessel_j_per_k->value : 0.0);
        known.evaporated_share =
            *water.loss_g * chemistry::latentHeatJPerG(mean_c) / (capacity * (known.mixed_c->value - *last));
        if (*known.evaporated_share > notable_share) {
            known.warnings.push_back(fmt::format("{:.0f} % of the heat left as vapour: a pot of resin, from which less "
                                                 "evaporates, loses that much less",
                                                 100.0 * *known.evaporated_share));
        }
    }
    return known;
}

} // namespace potwatch
