// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/pot_run.h"

#include "analysis/heat/evaporation.h"
#include "analysis/signal/noise.h"
#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace potwatch::kinetics {

namespace {

// Boiling is left out from this far under the boiling point: its beginning is rounded by the smoothing.
constexpr double boiling_margin_k = 1.0;
// And until the probe has forgotten it.
constexpr double boiling_margin_lags = 2.0;
// No bin is known better than this: the model of the pot is not.
constexpr double smallest_u_k = 0.01;
// Neighbouring bins that rounding puts off to one side: most that count as one.
constexpr double most_alike = 10.0;

class Builder {
public:
    Builder(const findings::RunStudy& study, double catalyst_reference)
        : study_(study)
        , problem_(study.problem)
        , course_(landmarks::courseOf(study.curves, study.inputs.lag_s.value))
        , reference_(catalyst_reference) {
        findBoiling();
    }

    [[nodiscard]] const std::optional<Stretch>& leftOut() const { return left_out_; }

    [[nodiscard]] Conditions at(double time_s) const {
        Conditions c;
        c.dosed_g = problem_.pot.dose ? problem_.pot.dose->dosedAt(time_s) : 0.0;
        if (reference_ > 0.0) {
            const double catalyst = c.dosed_g / *study_.inputs.resin_g;
            c.cures = catalyst > 0.0;
            c.log_catalyst = c.cures ? std::log(catalyst / reference_) : 0.0;
        }
        c.surroundings_c = signal::linear(problem_.surroundings_c.time_s, problem_.surroundings_c.value, time_s);
        c.heater_j = heaterUpTo(time_s);
        c.measured_c = course_.temperatureAt(time_s);
        c.evaporated_share = shareAt(time_s);
        return c;
    }

    [[nodiscard]] std::vector<Bin> bins(const Binning& binning) const {
        const std::vector<double>& time_s = study_.prepared.time_s;
        const std::vector<double>& value_c = study_.prepared.value_c;
        const double widest_s = binning.widest_share * (time_s.back() - time_s.front());
        const double step_k = signal::quantisationStep(value_c);
        std::vector<Bin> bins;
        for (std::size_t i = 0; i < time_s.size();) {
            double sum_t = 0.0;
            double sum_y = 0.0;
            std::size_t count = 0;
            std::size_t k = i;
            const bool out = isOut(time_s[i]);
            const double speed = std::abs(slopeAt(time_s[i]));
            for (; k < time_s.size(); ++k) {
                const double width_s = time_s[k] - time_s[i];
                const double fastest = std::max(speed, std::abs(slopeAt(time_s[k])));
                if (k > i && (width_s > widest_s || width_s * fastest > binning.widest_k || isOut(time_s[k]) != out)) {
                    break;
                }
                if (std::isfinite(value_c[k])) {
                    sum_t += time_s[k];
                    sum_y += value_c[k];
                    ++count;
                }
            }
            const double width_s = time_s[k - 1] - time_s[i];
            i = k;
            if (count == 0 || out) {
                continue;
            }
            Bin bin{.time_s = sum_t / static_cast<double>(count)};
            // Mean over evenly spread samples to the value at their middle: w²/24 of the second derivative.
            bin.reading_c = sum_y / static_cast<double>(count) - width_s * width_s / 24.0 * curvatureAt(bin.time_s);
            bin.u_k = std::hypot(study_.prepared.noise_k / std::sqrt(static_cast<double>(count)), smallest_u_k,
                                 roundingOver(width_s * speed, step_k));
            if (bins.empty() || bin.time_s > bins.back().time_s) {
                bins.push_back(bin);
            }
        }
        return bins;
    }

    // Ends of the steps: every bin, every kink of the dose, the ends of the boiling, and in it steps of their own.
    [[nodiscard]] std::vector<double> nodes(const std::vector<Bin>& bins, const Binning& binning) const {
        std::vector<double> nodes;
        for (const Bin& bin : bins) {
            nodes.push_back(bin.time_s);
        }
        // A resin that needs no dose cures from the first reading on, not from the middle of the first bin.
        const double from_s = std::min(study_.prepared.time_s.front(), nodes.front());
        const double to_s = nodes.back();
        nodes.push_back(from_s);
        const auto add = [&](double time_s) {
            if (time_s > from_s && time_s < to_s) {
                nodes.push_back(time_s);
            }
        };
        if (problem_.pot.dose) {
            std::for_each(problem_.pot.dose->time_s.begin(), problem_.pot.dose->time_s.end(), add);
        }
        if (left_out_) {
            const int pieces = 1 + static_cast<int>((left_out_->to_s - left_out_->from_s) / 1.0);
            for (int i = 0; i <= pieces; ++i) {
                add(left_out_->from_s + (left_out_->to_s - left_out_->from_s) * i / pieces);
            }
        }
        std::sort(nodes.begin(), nodes.end());
        nodes.erase(std::unique(nodes.begin(), nodes.end(), [](double a, double b) { return b - a < 1e-9; }),
                    nodes.end());
        // Long steps where something happens are cut.
        std::vector<double> cut;
        for (std::size_t i = 0; i < nodes.size(); ++i) {
            if (i > 0) {
                const double length_s = nodes[i] - nodes[i - 1];
                const double change_k =
                    length_s * std::max({std::abs(course_.rateAt(nodes[i])), std::abs(course_.rateAt(nodes[i - 1])),
                                         std::abs(course_.rateAt(0.5 * (nodes[i] + nodes[i - 1])))});
                const int pieces = std::clamp(static_cast<int>(std::ceil(change_k / (1.5 * binning.widest_k))), 1, 64);
                for (int k = 1; k < pieces; ++k) {
                    cut.push_back(nodes[i - 1] + length_s * k / pieces);
                }
            }
            cut.push_back(nodes[i]);
        }
        return cut;
    }

    [[nodiscard]] std::vector<Step> steps(const std::vector<double>& nodes, const std::vector<Bin>& bins) const {
        std::vector<Step> steps;
        std::size_t bin = bins.front().time_s <= nodes.front() ? 1 : 0; // else the first is the start
        for (std::size_t i = 1; i < nodes.size(); ++i) {
            Step step{.duration_s = nodes[i] - nodes[i - 1]};
            const double middle_s = 0.5 * (nodes[i] + nodes[i - 1]);
            step.middle = at(middle_s);
            step.end = at(nodes[i]);
            step.left_out = left_out_ && middle_s > left_out_->from_s && middle_s < left_out_->to_s;
            if (bin < bins.size() && nodes[i] >= bins[bin].time_s - 1e-9) {
                step.bin = static_cast<int>(bin++);
            }
            steps.push_back(step);
        }
        for (std::size_t i = 0; i < steps.size(); ++i) {
            steps[i].ends_left_out = steps[i].left_out && (i + 1 == steps.size() || !steps[i + 1].left_out);
        }
        return steps;
    }

private:
    void findBoiling() {
        if (!study_.plateau) {
            return;
        }
        const double warm_c = problem_.boiling_c - boiling_margin_k;
        double from_s = study_.plateau->start_s;
        double to_s = study_.plateau->end_s;
        const double step_s = std::max(0.05, 0.01 * (to_s - from_s));
        while (from_s > course_.time_s.front() && course_.temperatureAt(from_s) > warm_c) {
            from_s -= step_s;
        }
        while (to_s < course_.time_s.back() && course_.temperatureAt(to_s) > warm_c) {
            to_s += step_s;
        }
        to_s = std::min(course_.time_s.back(), to_s + boiling_margin_lags * study_.inputs.lag_s.value);
        left_out_ = Stretch{from_s, to_s};
        // Steam against time, on a fine grid of its own.
        const int pieces = 400;
        for (int i = 0; i <= pieces; ++i) {
            const double time_s = from_s + (to_s - from_s) * i / pieces;
            steam_.time_s.push_back(time_s);
            steam_.temperature_c.push_back(course_.temperatureAt(time_s));
        }
        share_ = heat::evaporatedShare(
            steam_, {.start_s = from_s, .end_s = to_s, .temperature_c = study_.plateau->temperature_c},
            problem_.boiling_c);
    }

    [[nodiscard]] double shareAt(double time_s) const {
        return share_.empty() ? 0.0 : signal::linear(steam_.time_s, share_, time_s);
    }

    [[nodiscard]] double heaterUpTo(double time_s) const {
        const auto& profile = problem_.heater_w;
        if (std::all_of(profile.value.begin(), profile.value.end(), [](double w) { return w == 0.0; })) {
            return 0.0;
        }
        double sum_j = 0.0;
        double last_s = study_.prepared.time_s.front();
        double last_w = signal::linear(profile.time_s, profile.value, last_s);
        for (std::size_t i = 0; i <= profile.time_s.size(); ++i) {
            const double next_s = i < profile.time_s.size() ? std::min(profile.time_s[i], time_s) : time_s;
            if (next_s > last_s) {
                const double next_w = signal::linear(profile.time_s, profile.value, next_s);
                sum_j += 0.5 * (next_w + last_w) * (next_s - last_s);
                last_s = next_s;
                last_w = next_w;
            }
        }
        return sum_j;
    }

    // What rounding does to the mean of readings that pass so far through its steps: over a whole step it evens out.
    // Bins within one half of a step are all off to one side, so that they say no more than one of them.
    [[nodiscard]] double roundingOver(double passed_k, double step_k) const {
        const double passes = step_k > 0.0 ? std::max(passed_k / step_k, 1e-9) : 1.0;
        const double alike = std::clamp(0.5 / passes, 1.0, most_alike);
        return study_.prepared.rounding_u_k * std::min(1.0, 1.0 / (std::numbers::pi * passes)) * std::sqrt(alike);
    }

    [[nodiscard]] bool isOut(double time_s) const {
        return left_out_ && time_s >= left_out_->from_s && time_s <= left_out_->to_s;
    }
    [[nodiscard]] double slopeAt(double time_s) const {
        return signal::linear(study_.curves.level.time_s, study_.curves.level.fit.slope_per_s, time_s);
    }
    [[nodiscard]] double curvatureAt(double time_s) const {
        return signal::linear(study_.curves.level.time_s, study_.curves.level.fit.curvature_per_s2, time_s);
    }

    const findings::RunStudy& study_;
    const heat::BalanceProblem& problem_;
    landmarks::Course course_;
    double reference_ = 0.0;
    std::optional<Stretch> left_out_;
    heat::PotCourse steam_;
    std::vector<double> share_;
};

} // namespace

double catalystOf(const findings::RunStudy& study) {
    const auto& dose = study.run->batch.dose;
    return dose && dose->role == DoseRole::catalyst && study.inputs.dose && study.inputs.resin_g
               ? study.inputs.dose->dosedAt(study.prepared.time_s.back()) / *study.inputs.resin_g
               : 0.0;
}

PotRun potRunOf(const findings::RunStudy& study, double catalyst_reference_g_per_g, const Binning& binning) {
    const findings::Inputs& in = study.inputs;
    const heat::BalanceProblem& problem = study.problem;
    const Builder builder(study, catalyst_reference_g_per_g);
    PotRun run{.name = study.run->name, .vessel = study.run->batch.vessel.name, .channel = study.prepared.channel};
    run.bins = builder.bins(binning);
    run.left_out = builder.leftOut();
    const std::vector<double> nodes = builder.nodes(run.bins, binning);
    run.start_s = nodes.front();
    run.start = builder.at(nodes.front());
    run.steps = builder.steps(nodes, run.bins);
    run.resin_g = *in.resin_g;
    run.heat_of_reaction_j_per_g = in.heat_of_reaction_j_per_g->value;
    run.heat_of_reaction_rel = in.heat_of_reaction_j_per_g->u / in.heat_of_reaction_j_per_g->value;
    run.start_degree = in.start_degree;
    run.charge_j_per_k = problem.charge_j_per_k;
    run.vessel_j_per_k = problem.vessel_j_per_k;
    run.dose_specific_heat_j_per_g_k = problem.pot.dose_specific_heat_j_per_g_k;
    run.dose_c = problem.pot.dose_temperature_c;
    run.dosed_g = problem.pot.dose ? problem.pot.dose->totalG() : 0.0;
    run.dosed_catalyst = catalyst_reference_g_per_g > 0.0;
    run.catalyst_reference_g_per_g = catalyst_reference_g_per_g;
    run.steam_j_per_g = problem.pot.latent_heat_j_per_g;
    run.water_specific_heat_j_per_g_k = problem.pot.water_specific_heat_j_per_g_k;
    run.evaporation_weighed = problem.evaporation_weighed && in.weighed_loss_g.has_value();
    if (study.plateau && study.balance) {
        run.evaporated_g = study.balance->evaporated_g;
    }
    run.lag_s = in.lag_s;
    run.surroundings_u_k = in.surroundings_u_k;
    run.loss_exponent = in.exponent;
    run.thermocouple_u_k = in.thermocouple_u_k;
    if (in.stated_loss) {
        run.stated_loss_w_per_k = heat::Uncertain{in.stated_loss->loss.coefficient_w_per_k,
                                                  in.stated_loss->log_u * in.stated_loss->loss.coefficient_w_per_k};
    }
    if (study.balance && study.balance->fit) {
        run.tail_loss = study.balance->fit->loss;
        run.tail_loss_log_u = std::sqrt(study.balance->fit->covariance[0]);
    }
    return run;
}

PotRun withStepsCut(const findings::RunStudy& study, const PotRun& run, const std::vector<bool>& cut) {
    const Builder builder(study, run.catalyst_reference_g_per_g);
    PotRun finer = run;
    finer.steps.clear();
    double time_s = run.start_s;
    for (std::size_t i = 0; i < run.steps.size(); ++i) {
        const Step& step = run.steps[i];
        if (cut[i]) {
            Step first = step;
            first.duration_s = 0.5 * step.duration_s;
            first.middle = builder.at(time_s + 0.25 * step.duration_s);
            first.end = step.middle;
            first.bin = -1;
            first.ends_left_out = false;
            Step second = step;
            second.duration_s = first.duration_s;
            second.middle = builder.at(time_s + 0.75 * step.duration_s);
            finer.steps.push_back(first);
            finer.steps.push_back(second);
        } else {
            finer.steps.push_back(step);
        }
        time_s += step.duration_s;
    }
    return finer;
}

} // namespace potwatch::kinetics
