// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/stretches.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string_view>

namespace potwatch::findings {

namespace {

// The cooling is read from where the resin has fallen by this share of the rise: by then the top of the peak is past.
constexpr double fallen_share = 0.1;
// A cooling that covers less of the rise than this says nothing of the loss.
constexpr double shortest_cooling_share = 0.25;
// A pot that was moved or stirred needs this long until it cools as it then does.
constexpr double settling_s = 20.0;
constexpr double settling_lags = 3.0;

// What an event does to the logarithm of the loss coefficient from there on: shift and standard uncertainty.
struct Effect {
    std::string_view kind;
    double log_factor = 0.0;
    double log_u = 0.0;
};
constexpr std::array<Effect, 11> effects{{{"stirrer off", -0.2, 0.2},
                                          {"stirrer on", 0.2, 0.2},
                                          {"heat on", 0.0, 0.05},
                                          {"heat off", 0.0, 0.05},
                                          {"off the plate", 0.0, 0.15},
                                          {"lid on", -0.45, 0.26}, // keeps back between nothing and six tenths
                                          {"lid off", 0.45, 0.26},
                                          {"moved", 0.0, 0.3},
                                          {"pour", 0.0, 0.45},
                                          {"into oven", 0.0, 0.3},
                                          {"oven off", 0.0, 0.3}}};

const Effect* effectOf(const Event& event) {
    const auto found =
        std::find_if(effects.begin(), effects.end(), [&](const Effect& effect) { return effect.kind == event.kind; });
    return found == effects.end() ? nullptr : &*found;
}

class Stretches {
public:
    Stretches(RunStudy& study, const landmarks::Course& course)
        : study_(study)
        , problem_(study.problem)
        , course_(course)
        , events_(study.run->batch.events) {
        std::stable_sort(events_.begin(), events_.end(),
                         [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
    }

    void find() {
        if (study_.run->batch.blank) {
            // The probe needs some lags to show the water.
            problem_.cooling_from_s = course_.time_s.front() + 5.0 * study_.inputs.lag_s.value;
            problem_.cooling_to_s = course_.time_s.back();
            problem_.residual_cure = false;
            return;
        }
        findSpan();
        if (!study_.rises.empty() && study_.heat_withdrawn.empty()) {
            cut();
            findCooling();
            pour();
            setFactors();
        }
    }

private:
    void warn(std::string text) { study_.warnings.push_back(std::move(text)); }

    [[nodiscard]] bool surroundingsFollow() const {
        return problem_.surroundings_c.time_s.size() > 2; // a channel, not a figure
    }
    [[nodiscard]] bool heaterKnown() const {
        const Heater& heater = study_.run->batch.heater;
        return !heater.channel.empty() || heater.power_w;
    }
    // From when on something may react.
    [[nodiscard]] double reactsFrom() const {
        const double seen_s = study_.rises[study_.main_rise].first_deviation_s;
        return study_.inputs.dose ? std::min(seen_s, study_.inputs.dose->startS()) : seen_s;
    }

    // Where the balance begins and ends.
    void findSpan() {
        from_s_ = course_.time_s.front();
        to_s_ = course_.time_s.back();
        for (const Event& event : events_) {
            const double at_s = event.time_s;
            if (at_s <= from_s_ || at_s >= to_s_) {
                if (event.kind == "heat on" && !heaterKnown() && at_s <= from_s_) {
                    unmeasured_from_s_ = from_s_;
                }
                continue;
            }
            if (event.kind == "quench" || event.kind == "demould" ||
                ((event.kind == "into oven" || event.kind == "oven off") && !surroundingsFollow())) {
                to_s_ = at_s;
                break;
            }
            if (event.kind == "heat on" && !heaterKnown()) {
                unmeasured_from_s_ = at_s;
            } else if (event.kind == "off the plate" && !heaterKnown()) {
                if (!study_.rises.empty() && at_s < study_.rises[study_.main_rise].peak_s) {
                    from_s_ = at_s;
                    unmeasured_from_s_.reset();
                } else {
                    unmeasured_from_s_ = from_s_; // it stood on a plate until then
                }
            }
        }
        if (unmeasured_from_s_) {
            study_.heat_withdrawn =
                fmt::format("the pot stood on a plate whose power nobody measured (\"heat on\" at {:.0f} s), and a "
                            "plate goes on giving heat after it is switched off: heat, loss and degree of cure are not "
                            "given. State [heater] power_w or a channel, or take the pot off the plate before dosing "
                            "and mark it (\"off the plate\")",
                            *unmeasured_from_s_);
        }
        if (to_s_ < course_.time_s.back()) {
            problem_.to_s = to_s_;
            warn(
                fmt::format("the heat balance ends at {:.0f} s: what happened there (quench, oven, demoulding) changes "
                            "the heat loss in a way that the trace does not tell; heat and degree of cure are those up "
                            "to then",
                            to_s_));
        }
        if (from_s_ > course_.time_s.front()) {
            problem_.from_s = from_s_;
            startLate();
        }
    }

    // Heat that was released before the balance begins: at least nothing; at most the heat flow at its begin all the
    // time since something could react, since a cure that has not peaked went slower before.
    void startLate() {
        warn(fmt::format("the heat balance begins at {:.0f} s, where the pot was taken off a plate whose power nobody "
                         "measured",
                         from_s_));
        const double since_s = from_s_ - reactsFrom();
        if (since_s <= 0.0) {
            return;
        }
        const double above_k = course_.temperatureAt(from_s_) - problem_.surroundings_c.value.front();
        const double settled_s = from_s_ + settling_s + settling_lags * study_.inputs.lag_s.value;
        // What a pot that cools with a time constant of 500 s would lose, besides what it stores.
        const double power_w = problem_.pot.heat_capacity_j_per_k *
                               std::max(0.0, course_.rateAt(settled_s) + std::max(0.0, above_k) / 500.0);
        problem_.before_j = {0.5 * power_w * since_s, 0.5 * power_w * since_s / std::sqrt(3.0)};
    }

    void cut() {
        double from_s = from_s_;
        std::string after;
        for (const Event& event : events_) {
            if (event.time_s > from_s_ && event.time_s < to_s_ && effectOf(event) != nullptr) {
                problem_.stretches.push_back({.from_s = from_s, .to_s = event.time_s, .after = after});
                from_s = event.time_s;
                after = event.kind;
            }
        }
        if (!problem_.stretches.empty()) {
            problem_.stretches.push_back({.from_s = from_s, .to_s = to_s_, .after = after});
        }
    }

    // The last rise that peaks within the balance.
    [[nodiscard]] const landmarks::Rise* lastRise() const {
        const landmarks::Rise* last = nullptr;
        for (const landmarks::Rise& rise : study_.rises) {
            if (rise.peak_s < to_s_ && !rise.ends_rising) {
                last = &rise;
            }
        }
        return last;
    }

    // Of the stretches past the last peak, the one in which the pot cools furthest.
    void findCooling() {
        const landmarks::Rise* last = lastRise();
        if (last == nullptr) {
            return;
        }
        const double floor_c = std::min(last->baseline.at(last->peak_s), last->peak_c);
        const double fallen_c = last->peak_c - fallen_share * (last->peak_c - floor_c);
        double from_s = last->peak_s;
        while (from_s < std::min(last->to_s, to_s_) && course_.temperatureAt(from_s) > fallen_c) {
            from_s += std::max(1e-3, 1e-3 * (last->to_s - last->peak_s));
        }
        if (study_.plateau) {
            from_s = std::max(from_s, study_.plateau->end_s);
        }
        const double enough_k = shortest_cooling_share * (last->peak_c - floor_c);
        const double fallen_from_s = from_s;
        if (last->by_hand.end_s) {
            from_s = std::max(from_s, *last->by_hand.end_s); // the person says where the cure is over
            if (fallBetween(from_s, to_s_) < enough_k) {
                warn(fmt::format("the pot hardly cools after the end put by hand at {:.0f} s: the heat loss is read "
                                 "from the peak on, as if the end had not been put there",
                                 *last->by_hand.end_s));
                from_s = fallen_from_s;
            }
        }
        double furthest_k = 0.0;
        double best_from_s = 0.0;
        double best_to_s = 0.0;
        const auto consider = [&](double begin_s, double end_s) {
            if (end_s > begin_s && fallBetween(begin_s, end_s) > furthest_k) {
                furthest_k = fallBetween(begin_s, end_s);
                best_from_s = begin_s;
                best_to_s = end_s;
            }
        };
        if (problem_.stretches.empty()) {
            consider(from_s, to_s_);
        }
        for (const heat::Stretch& stretch : problem_.stretches) {
            const double settled_s = stretch.after.empty()
                                         ? stretch.from_s
                                         : stretch.from_s + settling_s + settling_lags * study_.inputs.lag_s.value;
            consider(std::max(from_s, settled_s), stretch.to_s);
        }
        if (furthest_k < enough_k) {
            return;
        }
        problem_.cooling_from_s = best_from_s;
        problem_.cooling_to_s = best_to_s;
    }

    [[nodiscard]] double fallBetween(double from_s, double to_s) const {
        return course_.temperatureAt(from_s) - course_.temperatureAt(to_s);
    }

    void pour() {
        for (const Event& event : events_) {
            if (event.kind != "pour" || event.time_s <= from_s_ || event.time_s >= to_s_) {
                continue;
            }
            if (problem_.cooling_from_s && *problem_.cooling_from_s < event.time_s) {
                // The pot cooled before it was poured, the mould does not tell of its loss.
                to_s_ = event.time_s;
                problem_.to_s = to_s_;
                warn(fmt::format("the heat balance ends at {:.0f} s: poured into a mould, of whose heat loss the trace "
                                 "does not tell; heat and degree of cure are those up to then",
                                 to_s_));
                return;
            }
            const double vessel_j_per_k = problem_.vessel_j_per_k.value;
            problem_.pot.pour = heat::Pour{.at_s = event.time_s,
                                           .vessel_j_per_k = vessel_j_per_k,
                                           .mould_j_per_k = 0.5 * vessel_j_per_k,
                                           .mould_c = problem_.surroundings_c.value.front()};
            problem_.mould_u_j_per_k = 0.5 * vessel_j_per_k / std::sqrt(3.0);
            warn(fmt::format("after \"pour\" at {:.0f} s the mould's heat capacity is not stated: between nothing and "
                             "the vessel's, and the heat's interval is wide for it",
                             event.time_s));
            return;
        }
    }

    // Loss of each stretch against that of the cooling: what was done in between adds up.
    void setFactors() {
        std::vector<heat::Stretch>& stretches = problem_.stretches;
        while (!stretches.empty() && stretches.back().from_s >= to_s_) {
            stretches.pop_back();
        }
        if (!problem_.cooling_from_s && !problem_.known_loss) {
            stretches.clear(); // no loss to compare with
            return;
        }
        const double reference_s =
            problem_.cooling_from_s ? 0.5 * (*problem_.cooling_from_s + problem_.cooling_to_s) : from_s_;
        for (heat::Stretch& stretch : stretches) {
            double variance = 0.0;
            const bool before = stretch.to_s <= reference_s;
            for (const Event& event : events_) {
                const Effect* effect = effectOf(event);
                const bool between = before ? event.time_s >= stretch.to_s && event.time_s <= reference_s
                                            : event.time_s >= reference_s && event.time_s <= stretch.from_s;
                if (effect != nullptr && between && event.time_s > from_s_ && event.time_s < to_s_) {
                    stretch.log_factor += before ? -effect->log_factor : effect->log_factor;
                    variance += effect->log_u * effect->log_u;
                }
            }
            stretch.log_factor_u = std::sqrt(variance);
        }
        const bool telling = std::any_of(stretches.begin(), stretches.end(),
                                         [](const heat::Stretch& stretch) { return stretch.log_factor_u > 0.1; });
        if (telling) {
            std::string what;
            for (const heat::Stretch& stretch : stretches) {
                if (!stretch.after.empty()) {
                    what +=
                        (what.empty() ? "" : ", ") + fmt::format("\"{}\" at {:.0f} s", stretch.after, stretch.from_s);
                }
            }
            warn(fmt::format("the pot lost heat differently before and after {}: the loss of each part is known within "
                             "a factor only, and the heat's interval is wide for it",
                             what));
        }
    }

    RunStudy& study_;
    heat::BalanceProblem& problem_;
    const landmarks::Course& course_;
    std::vector<Event> events_;
    double from_s_ = 0.0;
    double to_s_ = 0.0;
    std::optional<double> unmeasured_from_s_; // on a plate whose power nobody states
};

} // namespace

void findStretches(RunStudy& study, const landmarks::Course& course) {
    Stretches(study, course).find();
}

} // namespace potwatch::findings
