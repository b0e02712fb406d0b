// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/by_hand.h"

#include "analysis/landmarks/boil.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

namespace potwatch::findings {

namespace {

// Two landmarks of which the first cannot lie after the second.
using Order = std::pair<LandmarkKind, LandmarkKind>;
constexpr std::array<Order, 9> orders{{{LandmarkKind::firstDeviation, LandmarkKind::steepest},
                                       {LandmarkKind::firstDeviation, LandmarkKind::peak},
                                       {LandmarkKind::onset, LandmarkKind::steepest},
                                       {LandmarkKind::onset, LandmarkKind::peak},
                                       {LandmarkKind::steepest, LandmarkKind::peak},
                                       {LandmarkKind::firstDeviation, LandmarkKind::end},
                                       {LandmarkKind::onset, LandmarkKind::end},
                                       {LandmarkKind::steepest, LandmarkKind::end},
                                       {LandmarkKind::peak, LandmarkKind::end}}};

class Placing {
public:
    Placing(const landmarks::Rise& rise, const std::optional<BoilPlateau>& plateau, const landmarks::Course& course,
            const landmarks::Curves& curves)
        : found_(rise)
        , found_plateau_(plateau)
        , course_(course)
        , curves_(curves) {}

    PutByHand place(std::span<const LandmarkOverride> overrides) {
        for (const LandmarkOverride& one : overrides) {
            take(one);
        }
        // Each round leaves one out at most.
        while (rejectsOne()) {
        }
        result_.rise = located();
        placePlateau();
        for (const LandmarkKind kind : all_landmark_kinds) {
            if (time(kind)) {
                result_.used.push_back(kind);
            }
        }
        return std::move(result_);
    }

private:
    std::optional<double>& time(LandmarkKind kind) { return time_s_[static_cast<std::size_t>(kind)]; }

    void leaveOut(LandmarkKind kind, double at_s, std::string_view because) {
        result_.warnings.push_back(
            fmt::format("the {} put by hand at {:.0f} s {}: it is left out; put it elsewhere, or "
                        "reset it",
                        wordsFor(kind), at_s, because));
        time(kind) = std::nullopt;
    }

    void take(const LandmarkOverride& one) {
        if (!std::isfinite(one.time_s) || one.time_s < course_.time_s.front() || one.time_s > course_.time_s.back()) {
            leaveOut(one.landmark, one.time_s, "lies outside the trace");
            return;
        }
        // The end may lie where the analysis sees another rise begin: the person knows better.
        if (one.time_s < found_.from_s || (one.time_s > found_.to_s && one.landmark != LandmarkKind::end)) {
            leaveOut(one.landmark, one.time_s,
                     fmt::format("lies outside the largest exotherm ({:.0f} to {:.0f} s)", found_.from_s, found_.to_s));
            return;
        }
        time(one.landmark) = one.time_s;
    }

    [[nodiscard]] landmarks::Rise located() {
        landmarks::Rise rise = found_;
        rise.by_hand = {.first_deviation_s = time(LandmarkKind::firstDeviation),
                        .onset_s = time(LandmarkKind::onset),
                        .steepest_s = time(LandmarkKind::steepest),
                        .peak_s = time(LandmarkKind::peak),
                        .end_s = time(LandmarkKind::end)};
        return rise.by_hand == landmarks::ByHand{} ? found_ : landmarks::locate(rise, course_, curves_);
    }

    // Leaves out the first landmark that contradicts another one, or what the trace shows.
    bool rejectsOne() {
        for (const Order& order : orders) {
            const std::optional<double> first = time(order.first);
            const std::optional<double> second = time(order.second);
            if (first && second && *first > *second) {
                leaveOut(order.second, *second,
                         fmt::format("lies before the {} put by hand at {:.0f} s", wordsFor(order.first), *first));
                return true;
            }
        }
        if (const auto peak_s = time(LandmarkKind::peak);
            peak_s &&
            (*peak_s <= found_.baseline.to_s || !(course_.temperatureAt(*peak_s) > found_.baseline.at(*peak_s)))) {
            leaveOut(LandmarkKind::peak, *peak_s, "does not stand above the temperature before the rise");
            return true;
        }
        return contradictsTrace(located());
    }

    bool contradictsTrace(const landmarks::Rise& rise) {
        const auto after = [&](LandmarkKind kind, double limit_s, LandmarkKind limit) {
            if (const auto at_s = time(kind); at_s && *at_s > limit_s) {
                leaveOut(kind, *at_s, fmt::format("lies after the {} at {:.0f} s", wordsFor(limit), limit_s));
                return true;
            }
            return false;
        };
        if (after(LandmarkKind::steepest, rise.peak_s, LandmarkKind::peak) ||
            after(LandmarkKind::onset, rise.steepest_s, LandmarkKind::steepest) ||
            after(LandmarkKind::firstDeviation, rise.steepest_s, LandmarkKind::steepest)) {
            return true;
        }
        if (const auto end_s = time(LandmarkKind::end); end_s && *end_s < rise.peak_s) {
            leaveOut(LandmarkKind::end, *end_s, fmt::format("lies before the peak at {:.0f} s", rise.peak_s));
            return true;
        }
        const bool needs_onset = !time(LandmarkKind::onset) && !found_.starts_rising;
        for (const LandmarkKind kind : {LandmarkKind::steepest, LandmarkKind::peak}) {
            if (const auto at_s = time(kind); at_s && needs_onset && !hasOnset(rise)) {
                leaveOut(kind, *at_s, "leaves no rise from which an onset could be extrapolated");
                return true;
            }
        }
        return false;
    }

    static bool hasOnset(const landmarks::Rise& rise) {
        if (!(rise.steepest_k_per_s > rise.baseline.slope_k_per_s)) {
            return false;
        }
        const double onset_s =
            landmarks::onsetTime(rise.baseline, rise.steepest_s, rise.steepest_c, rise.steepest_k_per_s);
        return onset_s >= rise.from_s && onset_s <= rise.steepest_s;
    }

    void placePlateau() {
        result_.plateau = found_plateau_;
        std::optional<double>& start = time(LandmarkKind::boilStart);
        std::optional<double>& end = time(LandmarkKind::boilEnd);
        if (!start && !end) {
            return;
        }
        const std::optional<double> found_start =
            found_plateau_ ? std::optional(found_plateau_->start_s) : std::nullopt;
        const std::optional<double> found_end = found_plateau_ ? std::optional(found_plateau_->end_s) : std::nullopt;
        const std::optional<double> from_s = start ? start : found_start;
        const std::optional<double> to_s = end ? end : found_end;
        if (!from_s || !to_s) {
            const LandmarkKind kind = start ? LandmarkKind::boilStart : LandmarkKind::boilEnd;
            leaveOut(kind, *time(kind),
                     start ? "has no end of boiling to go with it" : "has no start of boiling to go with it");
            return;
        }
        if (!(*from_s < *to_s)) {
            for (const LandmarkKind kind : {LandmarkKind::boilStart, LandmarkKind::boilEnd}) {
                if (const auto at_s = time(kind)) {
                    leaveOut(kind, *at_s,
                             kind == LandmarkKind::boilStart ? "does not lie before the end of boiling"
                                                             : "does not lie after the start of boiling");
                }
            }
            return;
        }
        result_.plateau = landmarks::plateauBetween(course_, *from_s, *to_s);
    }

    const landmarks::Rise& found_;
    const std::optional<BoilPlateau>& found_plateau_;
    const landmarks::Course& course_;
    const landmarks::Curves& curves_;
    std::array<std::optional<double>, all_landmark_kinds.size()> time_s_;
    PutByHand result_;
};

} // namespace

std::string_view wordsFor(LandmarkKind kind) {
    switch (kind) {
    case LandmarkKind::firstDeviation:
        return "first deviation";
    case LandmarkKind::onset:
        return "onset";
    case LandmarkKind::steepest:
        return "steepest rise";
    case LandmarkKind::boilStart:
        return "start of boiling";
    case LandmarkKind::peak:
        return "peak";
    case LandmarkKind::boilEnd:
        return "end of boiling";
    case LandmarkKind::end:
        return "end of the exotherm";
    }
    return "";
}

PutByHand putByHand(std::span<const LandmarkOverride> overrides, const landmarks::Rise& rise,
                    const std::optional<BoilPlateau>& plateau, const landmarks::Course& course,
                    const landmarks::Curves& curves) {
    return Placing(rise, plateau, course, curves).place(overrides);
}

} // namespace potwatch::findings
