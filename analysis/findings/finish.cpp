// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/degree.h"
#include "analysis/cure/second_heating.h"
#include "analysis/findings/analyse_run.h"
#include "analysis/findings/biot.h"
#include "analysis/findings/cure_figures.h"
#include "analysis/findings/power.h"
#include "analysis/findings/series.h"
#include "analysis/heat/drawn_balance.h"
#include "analysis/landmarks/spread.h"
#include "analysis/signal/smooth_curve.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <thread>
#include <utility>

namespace potwatch::findings {

namespace {

// A final degree under this, though the heat flow has died away, casts doubt on the reference.
constexpr double doubtful_degree = 0.95;
constexpr double doubtful_over = 1.05;
// From here on the model of the residual cure carries so much of the loss coefficient that it has to be said.
constexpr double telling_residual_effect = 0.03;
constexpr double near_boiling_k = 1.0;
// Fewer draws hold too few beyond the ends of a 95 % interval to place them.
constexpr int fewest_draws_of_heat = 200;
// So many of them must come to a balance.
constexpr double smallest_share_of_draws = 0.95;

class Finisher {
public:
    Finisher(const RunStudy& study, const AnalyseOptions& options, std::stop_token stop)
        : study_(study)
        , in_(study.inputs)
        , options_(options)
        , stop_(std::move(stop))
        , course_(landmarks::courseOf(study.curves, study.inputs.lag_s.value)) {}

    Analysis finish() {
        findings_.run = study_.run->name;
        findings_.file = study_.run->file;
        findings_.channel = study_.prepared.channel;
        findings_.samples = study_.prepared.samples;
        findings_.inputs = in_.stated;
        findings_.by_hand = study_.by_hand;
        findings_.warnings = study_.prepared.warnings;
        append(in_.warnings);
        if (study_.balance && study_.balance->loss) {
            power_ = powerOf(study_, course_);
        }
        landmarks();
        append(study_.warnings);
        if (study_.balance) {
            drawHeat();
            heat();
            if (!study_.run->batch.blank) {
                cure();
            }
        } else if (!study_.heat_withdrawn.empty()) {
            warn(study_.heat_withdrawn);
        } else if (!study_.rises.empty()) {
            warn("the temperature of the surroundings is not known, so no heat is given: state [surroundings] "
                 "temperature_c, or record a minute before dosing");
        }
        equivalentTime();
        if (std::optional<std::string> thick = biotWarning(study_)) {
            warn(std::move(*thick));
        }
        return {.findings = std::move(findings_),
                .series = seriesOf(study_, course_, power_, reference_),
                .events = eventsOf(study_, course_),
                .annotations = study_.run->annotations};
    }

private:
    void warn(std::string text) { findings_.warnings.push_back(std::move(text)); }
    void append(const std::vector<std::string>& warnings) {
        findings_.warnings.insert(findings_.warnings.end(), warnings.begin(), warnings.end());
    }

    void landmarks() {
        const Prepared& prepared = study_.prepared;
        findings_.highest_reading = highestReading(prepared.time_s.front(), prepared.time_s.back());
        if (study_.run->batch.blank) {
            return;
        }
        if (study_.rises.empty()) {
            warn("no exotherm: the temperature does not rise by more than 1 K and its noise, over what heats the pot "
                 "and after the dose has begun where these are known; heat and cure are not given");
            return;
        }
        for (std::size_t i = 0; i < study_.rises.size(); ++i) {
            const landmarks::Rise& rise = study_.rises[i];
            const landmarks::RiseLandmarks found =
                landmarks::withUncertainty(rise, study_.curves, {in_.lag_s.value, in_.lag_s.u}, in_.thermocouple_u_k,
                                           {.count = options_.draws, .seed = options_.seed, .stop = stop_});
            const std::optional<Landmark> end = endOf(rise);
            Exotherm exotherm{.peak = Landmark{found.peak.time_s, found.peak.temperature_c}, .end = end};
            if (!rise.starts_rising || rise.by_hand.onset_s) {
                exotherm.onset = found.onset;
            }
            findings_.exotherms.push_back(exotherm);
            if (i != study_.main_rise) {
                continue;
            }
            Landmarks& marks = findings_.landmarks;
            marks.onset = exotherm.onset;
            if (!rise.starts_rising || rise.by_hand.first_deviation_s) {
                marks.first_deviation = found.first_deviation;
            }
            marks.steepest = found.steepest;
            marks.peak = found.peak;
            if (const auto highest = highestReading(rise.valley_s, rise.to_s)) {
                marks.peak->reading_c = highest->reading_c;
            }
            marks.end = end;
            marks.boil_plateau = study_.plateau;
            mainRiseWarnings(rise, found.peak);
        }
        sayHotterElsewhere();
    }

    // A trace may be hotter where nothing cured: on a plate, or before the recording began.
    void sayHotterElsewhere() {
        const auto& highest = findings_.highest_reading;
        const auto& peak = findings_.landmarks.peak;
        if (highest && peak && peak->reading_c && highest->reading_c > *peak->reading_c) {
            warn(fmt::format("the highest reading of the trace, {:.1f} °C at {:.0f} s, lies outside the exotherm that "
                             "peaks hottest: the peak is that exotherm's",
                             highest->reading_c, highest->time_s));
        }
    }

    void mainRiseWarnings(const landmarks::Rise& rise, const Peak& peak) {
        if (const double unseen_k = landmarks::unseenTop(rise, course_, study_.curves); unseen_k > 0.0) {
            warn(fmt::format("readings come every {:.0f} s, too seldom to show the top of this peak: it may be up to "
                             "{:.1f} K higher; record at least one reading a second",
                             study_.curves.reading_interval_s, unseen_k));
        }
        if (rise.starts_rising && !rise.by_hand.onset_s) {
            warn("the trace begins in the rise: there is no onset to be seen; start recording before dosing");
        }
        if (rise.ends_rising && !rise.by_hand.peak_s) {
            warn("the trace ends while the temperature still rises: peak is the highest temperature reached in it, and "
                 "the onset rests on the steepest part seen");
        }
        if (study_.plateau) {
            warn(
                fmt::format("the pot boiled from {:.0f} s to {:.0f} s at {:.1f} °C: the casting may be foam; dose more "
                            "slowly or make the pot smaller",
                            study_.plateau->start_s, study_.plateau->end_s, study_.plateau->temperature_c));
        } else if (peak.temperature_c.high > in_.boiling.temperature_c - near_boiling_k &&
                   peak.temperature_c.low < in_.boiling.temperature_c + near_boiling_k) {
            warn(fmt::format("the peak comes within {:.1f} K of the boiling point ({:.1f} °C); no boiling is seen",
                             std::abs(peak.temperature_c.value - in_.boiling.temperature_c),
                             in_.boiling.temperature_c));
        }
    }

    // Temperature at a time that is not in doubt, as uncertain as the curve there.
    [[nodiscard]] Landmark exactlyAt(double at_s) const {
        const std::vector<double> noise_u =
            signal::uncertaintyAtKnots(study_.curves.level, course_.lag_s, study_.curves.noise_k);
        const double slope = signal::linear(course_.time_s, study_.curves.level.fit.slope_per_s, at_s);
        const double u_k = std::hypot(std::hypot(signal::linear(course_.time_s, noise_u, at_s), in_.lag_s.u * slope),
                                      in_.thermocouple_u_k);
        return {.time_s = normalEstimate(at_s, 0.0), .temperature_c = normalEstimate(course_.temperatureAt(at_s), u_k)};
    }

    std::optional<Landmark> endOf(const landmarks::Rise& rise) const {
        if (rise.by_hand.end_s) {
            return exactlyAt(*rise.by_hand.end_s);
        }
        if (!power_ || rise.ends_rising) {
            return std::nullopt;
        }
        const std::optional<Estimate> time_s = endTime(*power_, rise);
        if (!time_s) {
            return std::nullopt;
        }
        const double temperature_c = course_.temperatureAt(time_s->value);
        const double u_k = std::hypot(in_.thermocouple_u_k, course_.rateAt(time_s->value) * time_s->u);
        return Landmark{.time_s = *time_s, .temperature_c = normalEstimate(temperature_c, u_k)};
    }

    [[nodiscard]] std::optional<HighestReading> highestReading(double from_s, double to_s) const {
        std::optional<HighestReading> highest;
        for (std::size_t i = 0; i < study_.prepared.time_s.size(); ++i) {
            const double at_s = study_.prepared.time_s[i];
            const double value = study_.prepared.value_c[i];
            if (std::isfinite(value) && at_s >= from_s && at_s <= to_s && (!highest || value > highest->reading_c)) {
                highest = {.time_s = at_s, .reading_c = value};
            }
        }
        return highest;
    }

    // Draws of the heat, where enough are wanted to read an interval off them.
    void drawHeat() {
        if (options_.draws < fewest_draws_of_heat || !study_.balance->loss || !in_.masses_known) {
            return;
        }
        const auto threads = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
        heat::BalanceProblem problem = study_.problem;
        problem.reading = study_.prepared.view(); // the study may have been moved since
        problem.curves = &study_.curves;
        drawn_ = heat::drawBalances(problem, options_.draws, options_.seed, threads, stop_);
        const auto enough = static_cast<std::size_t>(smallest_share_of_draws * options_.draws);
        if (drawn_->released_j.size() < enough) {
            drawn_.reset();
            if (!stop_.stop_requested()) {
                warn("too many draws of the inputs leave a cooling that cannot be read: the heat's interval is that of "
                     "linear propagation");
            }
        }
    }

    void heat() {
        const heat::Balance& balance = *study_.balance;
        HeatFindings& found = findings_.heat;
        found.lower_bound = !balance.loss || !balance.upper_known;
        if (balance.loss) {
            const double exponent_u = balance.fit                 ? std::sqrt(balance.fit->covariance[4])
                                      : study_.problem.known_loss ? study_.problem.known_loss->exponent_u
                                                                  : 0.0;
            found.loss_exponent = normalEstimate(balance.loss->exponent, exponent_u);
            found.loss_from = lossFrom();
        }
        if (!study_.run->batch.blank) {
            lossWarnings();
        }
        if (!in_.masses_known) {
            return;
        }
        const double capacity = heat::wholeHeatCapacity(balance.pot, balance.course);
        const std::vector<Contribution> capacity_from{
            {"heat capacity of the charge", study_.problem.charge_j_per_k.u, Distribution::rectangular},
            {"heat capacity of the vessel", study_.problem.vessel_j_per_k.u, Distribution::rectangular}};
        found.heat_capacity_j_per_k = combine(capacity, capacity_from);
        if (balance.loss) {
            found.surroundings_c = surroundings(balance);
            found.loss_coefficient_w_per_k =
                drawn_ ? fromDraws(balance.loss->coefficient_w_per_k, drawn_->loss_coefficient_w_per_k)
                       : combine(balance.loss->coefficient_w_per_k, balance.loss_from);
            found.loss_coefficient_w_per_k->low = std::max(0.0, found.loss_coefficient_w_per_k->low);
        }
        if (study_.run->batch.blank) {
            return;
        }
        Estimate released = drawn_ ? fromDraws(balance.released_j.back(), drawn_->released_j)
                                   : combine(balance.released_j.back(), balance.released_from);
        released = heat::widened(released, balance.released_widened);
        if (found.lower_bound) {
            released.high = std::max(released.high, balance.released_high_j);
        }
        if (released.high < 0.0) {
            warn("the balance leaves the cure less than no heat, so none is given: a heater, a plate or a warmer room "
                 "is "
                 "missing from the batch file, or the loss of heat is too low");
            return;
        }
        released.value = std::max(0.0, released.value);
        released.low = std::max(0.0, released.low);
        found.released_j = released;
        if (in_.resin_g) {
            found.per_gram_j = scaled(released, 1.0 / *in_.resin_g);
        }
        if (study_.plateau) {
            Estimate evaporated = normalEstimate(balance.evaporated_g.value, balance.evaporated_g.u);
            evaporated.low = std::max(0.0, evaporated.low);
            found.evaporated_g = evaporated;
            if (!study_.problem.evaporation_weighed) {
                warn(
                    fmt::format("the water that boiled off was not weighed: {:.1f} g is estimated from the plateau and "
                                "makes the heat's interval wide; weigh the pot before and after ([weighed] loss_g)",
                                balance.evaporated_g.value));
            }
        }
        found.adiabatic_rise_k = adiabaticRise(released, capacity, capacity_from);
    }

    // What the balance took as the surroundings, mean over its time.
    [[nodiscard]] Estimate surroundings(const heat::Balance& balance) const {
        const heat::PotCourse& course = balance.course;
        double sum_k_s = 0.0;
        for (std::size_t i = 1; i < course.size(); ++i) {
            sum_k_s += 0.5 * (course.surroundings_c[i] + course.surroundings_c[i - 1]) *
                       (course.time_s[i] - course.time_s[i - 1]);
        }
        const double u_k = balance.fit ? std::sqrt(balance.fit->covariance[8]) : study_.problem.surroundings_u_k;
        return normalEstimate(sum_k_s / (course.time_s.back() - course.time_s.front()) + balance.loss->shift_k, u_k);
    }

    // Released heat over heat capacity: what moves both together hardly moves the quotient.
    [[nodiscard]] Estimate adiabaticRise(const Estimate& released, double capacity,
                                         const std::vector<Contribution>& capacity_from) const {
        const double rise_k = released.value / capacity;
        if (drawn_) {
            std::vector<double> drawn_k = drawn_->released_j;
            for (std::size_t i = 0; i < drawn_k.size(); ++i) {
                drawn_k[i] /= drawn_->heat_capacity_j_per_k[i];
            }
            return fromDraws(rise_k, std::move(drawn_k));
        }
        std::vector<Contribution> rise_from = study_.balance->released_from;
        for (Contribution& part : rise_from) {
            part.u /= capacity;
            for (const Contribution& of_capacity : capacity_from) {
                if (part.input == of_capacity.input) {
                    part.u -= released.value * of_capacity.u / (capacity * capacity);
                }
            }
        }
        Estimate rise = heat::widened(combine(rise_k, rise_from), study_.balance->released_widened, 1.0 / capacity);
        if (findings_.heat.lower_bound) {
            rise.high = std::max(rise.high, released.high / capacity);
        }
        rise.low = std::max(0.0, rise.low);
        return rise;
    }

    static Estimate scaled(const Estimate& estimate, double factor) {
        return {.value = estimate.value * factor,
                .u = estimate.u * factor,
                .low = estimate.low * factor,
                .high = estimate.high * factor};
    }

    [[nodiscard]] std::string lossFrom() const {
        const heat::Balance& balance = *study_.balance;
        const std::string tail =
            balance.fit ? fmt::format("cooling tail {:.0f}-{:.0f} s", balance.fit->from_s, balance.fit->to_s) : "";
        if (!study_.loss_from.empty()) {
            return tail.empty() ? study_.loss_from : study_.loss_from + "; " + tail;
        }
        return balance.fit ? tail : "batch file";
    }

    void lossWarnings() {
        const heat::Balance& balance = *study_.balance;
        if (!balance.loss) {
            warn("the pot does not cool in this trace and nothing else says how it loses heat: the heat is a lower "
                 "bound. "
                 "Record until the pot has cooled, add a blank or other runs of the vessel (--same-vessel), or state "
                 "[vessel] loss_coefficient_w_per_k");
            return;
        }
        if (balance.fit && std::abs(balance.fit->residual_effect) > telling_residual_effect &&
            study_.loss_from.empty()) {
            warn(fmt::format(
                "the cure still went on while the pot cooled: without allowing for it the loss coefficient "
                "would read {:.0f} % lower, so its interval and the heat's are wide. A blank or other runs of "
                "the vessel (--same-vessel) narrow them",
                100.0 * (1.0 - std::exp(-std::abs(balance.fit->residual_effect)))));
        }
    }

    void cure() {
        const heat::Balance& balance = *study_.balance;
        if (in_.masses_known && !findings_.heat.released_j) {
            return;
        }
        CureFindings& found = findings_.cure;
        cure::Reference reference{.start_degree = in_.start_degree};
        const bool second_heating = !study_.run->batch.second_heating_of.empty();
        if (in_.heat_of_reaction_j_per_g && in_.resin_g) {
            reference.heat_j = in_.heat_of_reaction_j_per_g->value * *in_.resin_g;
            reference.u_j = in_.heat_of_reaction_j_per_g->u * *in_.resin_g;
            found.reference_j_per_g = in_.heat_of_reaction_j_per_g->value;
            found.reference_from = "batch file";
        } else if (second_heating) {
            secondHeatingAlone();
            return;
        } else if (balance.loss && balance.released_j.back() > 0.0) {
            reference.heat_j = balance.released_j.back() / std::max(1e-9, 1.0 - in_.start_degree);
            reference.own = true;
            if (in_.resin_g) {
                found.reference_j_per_g = reference.heat_j / *in_.resin_g;
            }
            found.reference_from = "this run itself";
            warn(
                "no heat of reaction is stated: the degree of cure is relative to this run's own heat, 1 at its end by "
                "construction; give [cure] heat_of_reaction_j_per_g");
        } else {
            return;
        }
        reference_ = reference;
        const std::size_t last = balance.released_j.size() - 1;
        if (second_heating) {
            found.final_degree = cure::degreeBefore(releasedAt(last), reference);
            saySecondHeating();
        } else {
            found.final_degree =
                drawn_ ? cure::degreeFromDraws(balance.released_j.back(), drawn_->released_j, drawn_->unit, reference)
                       : cure::degreeOf(releasedAt(last), reference);
            if (reference.own) {
                found.final_degree = Estimate{.value = 1.0, .u = 0.0, .low = 1.0, .high = 1.0};
            }
            judgeReference();
            if (!reference_) {
                return;
            }
        }
        for (const double at_s : options_.at_s) {
            DegreeAt at{.time_s = at_s, .degree = std::nullopt};
            if (at_s >= balance.course.time_s.front() && at_s <= balance.course.time_s.back() && second_heating) {
                // What is still to be released then is what is missing.
                cure::ReleasedHeat left = releasedAt(last);
                left.value_j -= signal::linear(balance.course.time_s, balance.released_j, at_s);
                at.degree = cure::degreeBefore(left, reference);
            } else if (at_s >= balance.course.time_s.front() && at_s <= balance.course.time_s.back()) {
                at.degree = cure::degreeOf({.value_j = signal::linear(balance.course.time_s, balance.released_j, at_s),
                                            .u_j = signal::linear(balance.course.time_s, balance.released_u_j, at_s),
                                            .high_j = std::nullopt},
                                           reference);
            } else {
                warn(fmt::format("{:.0f} s lies outside the trace: no degree of cure there", at_s));
            }
            found.at.push_back(at);
        }
        if (!second_heating) {
            gelTime(reference);
        }
        // A degree that is 1 by construction says nothing of the stage.
        found.stage = cure::stageOf(reference.own ? std::nullopt : found.final_degree, study_.run->batch.cure,
                                    study_.run->batch.outcome);
    }

    void saySecondHeating() {
        warn(fmt::format("second heating of {}: the final degree is the one that piece had before this heating",
                         study_.run->batch.second_heating_of));
    }

    // Of a second heating without a heat of reaction: the two heatings together are the whole.
    void secondHeatingAlone() {
        CureFindings& found = findings_.cure;
        const std::size_t last = study_.balance->released_j.size() - 1;
        const cure::ReleasedHeat residual = releasedAt(last);
        const std::optional<FirstHeating>& first = study_.first_heating;
        if (!first || !(residual.value_j > 0.0)) {
            warn(fmt::format("second heating of {}: neither a heat of reaction is stated nor is that run analysed "
                             "along, so its degree of cure is not known; give [cure] heat_of_reaction_j_per_g, or "
                             "analyse both together",
                             study_.run->batch.second_heating_of));
            return;
        }
        found.final_degree = cure::degreeFromBothHeatings(first->released, residual, first->start_degree);
        found.reference_from = "both heatings";
        found.reference_j_per_g =
            (first->released.value_j + residual.value_j) / (1.0 - first->start_degree) / *in_.resin_g;
        saySecondHeating();
        found.stage = cure::stageOf(found.final_degree, study_.run->batch.cure, study_.run->batch.outcome);
    }

    void gelTime(const cure::Reference& reference) {
        const std::optional<cure::GelTime> gel = gelTimeOf(study_, reference);
        if (!gel) {
            return;
        }
        findings_.cure.gel_time_s = gel->time_s;
        if (gel->may_not_gel) {
            warn("the degree of cure passes the gel degree by less than its uncertainty: the resin may not have gelled "
                 "in this trace");
        }
    }

    void equivalentTime() {
        if (options_.equivalent && !study_.run->batch.blank) {
            findings_.cure.equivalent = equivalentTimeOf(study_, course_, *options_.equivalent);
        }
    }

    [[nodiscard]] cure::ReleasedHeat releasedAt(std::size_t node) const {
        const heat::Balance& balance = *study_.balance;
        cure::ReleasedHeat released{
            .value_j = balance.released_j[node], .u_j = balance.released_u_j[node], .high_j = std::nullopt};
        if (!balance.loss) {
            released.high_j = balance.released_high_j;
        }
        return released;
    }

    void judgeReference() {
        Estimate& degree = *findings_.cure.final_degree;
        const double found = reference_->start_degree + study_.balance->released_j.back() / reference_->heat_j;
        if (found > doubtful_over) {
            const bool out_of_reach = found - coverage_factor_95 * degree.u > 1.0;
            warn(fmt::format(
                "{:.2f} times the heat was released that the heat of reaction allows{}: the reference of {:.0f} "
                "J/g may be low for this resin, or masses or specific heat are off",
                found, out_of_reach ? ", so no degree of cure is given" : "", *findings_.cure.reference_j_per_g));
            if (out_of_reach) {
                findings_.cure.final_degree.reset();
                reference_.reset();
            }
        } else if (degree.value < doubtful_degree && findings_.landmarks.end) {
            warn(fmt::format(
                "the heat flow has died away at degree {:.2f}: either the cure stopped there, or the reference "
                "of {:.0f} J/g is high for this resin",
                degree.value, *findings_.cure.reference_j_per_g));
            // A cure that has died away may well be complete.
            degree.high = std::max(degree.high, 1.0);
        }
    }

    const RunStudy& study_;
    const Inputs& in_;
    const AnalyseOptions& options_;
    std::stop_token stop_;
    landmarks::Course course_;
    std::optional<Power> power_;
    std::optional<heat::DrawnBalances> drawn_;
    std::optional<cure::Reference> reference_;
    Findings findings_;
};

} // namespace

Analysis finish(const RunStudy& study, const AnalyseOptions& options, std::stop_token stop) {
    return Finisher(study, options, std::move(stop)).finish();
}

} // namespace potwatch::findings
