// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/law_search.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <optional>
#include <thread>
#include <utility>

namespace potwatch::kinetics {

namespace {

using findings::RunStudy;

// A step that is off by more than this is cut in two.
constexpr double largest_step_error_k = 5e-4;
// Where the steps are off by more than this after a fit, it is made again on finer ones.
constexpr double largest_error_k = 5e-3;
constexpr int most_cuts = 8;
constexpr int most_refits = 4;
constexpr double far_from_the_runs = 100.0; // a reduced chi-square: closer searching finds no law there
// From this reduced chi square on a law misses the runs, and not their noise is what limits it.
constexpr double missed_chi_square = 2.0;
// How far a search may stop from its minimum, in standard uncertainties of what moves it there: it is led on, or given
// up.
constexpr double at_minimum = 0.05;
constexpr double largest_from_minimum = 0.5;
// Sums of squares nearer than this are of one minimum.
constexpr double same_minimum = 0.5;
constexpr double same_minimum_share = 1e-3;
constexpr double hopeless_share = 100.0;
constexpr int most_searches = 5;
// ln of one path's k over the other's at the reference temperature.
constexpr double most_one_sided = 6.0;
// A run's steps cut until none is off by much, for the law as it stands. Returns how far the steps given were off
// together [K].
double refine(PotRun& run, const RunStudy& study, std::span<const double> parameters, PotSettings settings) {
    double first_k = 0.0;
    for (int round = 0; round < most_cuts; ++round) {
        const PotRun halved = withStepsCut(study, run, std::vector<bool>(run.steps.size(), true));
        const std::vector<double> errors = stepErrors(run, halved, parameters, settings);
        std::vector<bool> cut;
        for (const double error_k : errors) {
            cut.push_back(error_k > largest_step_error_k);
        }
        if (round == 0) {
            const DegreeCourse coarse = degreeCourse(run, parameters, settings);
            const DegreeCourse fine = degreeCourse(halved, parameters, settings);
            for (std::size_t i = 0; i < std::min(coarse.time_s.size(), fine.time_s.size()); ++i) {
                first_k = std::max(first_k, std::abs(coarse.reading_difference_k[i] - fine.reading_difference_k[i]));
            }
        }
        if (std::none_of(cut.begin(), cut.end(), [](bool one) { return one; })) {
            break;
        }
        run = withStepsCut(study, run, cut);
    }
    return first_k;
}

// All of them, two at a time. Returns the most that one was off [K].
double refineAll(std::vector<PotRun>& runs, const FitData& data, const JointFit& near, const PotSettings& settings) {
    std::vector<double> off_k(runs.size());
    std::atomic<std::size_t> next = 0;
    const auto work = [&] {
        for (std::size_t r = next++; r < runs.size(); r = next++) {
            off_k[r] = refine(runs[r], data.studies[r], near.parametersOf(r), settings);
        }
    };
    {
        const std::jthread second(work);
        work();
    }
    return *std::max_element(off_k.begin(), off_k.end());
}

// Whether a path of the law has died out on the way, which may be a minimum beside the lowest.
bool oneSided(const JointFit& fit) {
    const auto first = fit.find(log_k1);
    const auto second = fit.find(log_k2);
    return first && second &&
           (std::abs(fit.values[*first] - fit.values[*second]) > most_one_sided || fit.atBound(*fit.find(e1)) ||
            fit.atBound(*fit.find(e2)));
}

bool matches(const JointFit& fit) {
    return reducedChiSquare(fit) < missed_chi_square && !oneSided(fit);
}

// Two searches that came to one minimum, as far as the sum of squares tells.
bool agree(const JointFit& a, const JointFit& b) {
    return std::abs(a.sum_of_squares - b.sum_of_squares) <
           std::max(same_minimum, same_minimum_share * std::min(a.sum_of_squares, b.sum_of_squares));
}

JointSettings alongMeasured(JointSettings settings) {
    settings.pot.driven = true;
    return settings;
}

// From one start after the other; two that agree on a law that matches the runs are enough.
Result<JointFit> fromStarts(std::span<const PotRun> runs, const Layout& layout, const JointSettings& settings,
                            const std::vector<std::vector<double>>& starts) {
    std::optional<JointFit> best;
    std::optional<Fault> fault;
    for (const std::vector<double>& start : starts) {
        Result<JointFit> fit = roughly(runs, layout, settings, start);
        if (!fit) {
            if (fit.error().kind == FaultKind::cancelled) {
                return fit;
            }
            fault = fit.error();
            continue;
        }
        const bool twice = best && agree(*best, *fit);
        if (!best || fit->sum_of_squares < best->sum_of_squares) {
            best = *std::move(fit);
        }
        if (twice && matches(*best)) {
            break;
        }
    }
    return best ? Result<JointFit>(*std::move(best)) : tl::unexpected(*fault);
}

// With the model's own temperatures, on steps that are fine enough, until it rests in its minimum.
Result<FineFit> descend(std::vector<PotRun> runs, const FitData& data, JointFit near, const JointSettings& settings) {
    double from_minimum = 0.0;
    for (int refit = 0;; ++refit) {
        const double off_k = refineAll(runs, data, near, settings.pot);
        const bool rests = off_k < largest_error_k && from_minimum < at_minimum;
        if (refit > 0 && (rests || refit >= most_refits || reducedChiSquare(near) > far_from_the_runs)) {
            // A law that misses the runs may rest nowhere; that it misses them is said.
            if (from_minimum < largest_from_minimum || reducedChiSquare(near) > missed_chi_square) {
                return FineFit{.fit = std::move(near), .runs = std::move(runs)};
            }
            return tl::unexpected(Fault{.kind = FaultKind::notConverged,
                                        .what = "the fit does not converge: where it ends is no minimum",
                                        .remedy = "check masses, doses and heat of reaction in the batch files, leave "
                                                  "out a run that is unlike the others, or take a simpler model"});
        }
        Result<JointFit> fit = finely(runs, near, settings);
        if (!fit) {
            return tl::unexpected(fit.error());
        }
        near = *std::move(fit);
        from_minimum = near.from_minimum;
    }
}

bool better(const Result<FineFit>& one, const Result<FineFit>& other) {
    return one && (!other || one->fit.sum_of_squares < other->fit.sum_of_squares);
}

// From every start, the law searched on few bins with its own temperatures. Until two agree.
Result<FineFit> fromAllStarts(const FitData& data, const RoughFit& rough, const JointSettings& settings,
                              Result<FineFit> best) {
    int searches = 0;
    for (const std::vector<double>& start : rough.starts) {
        const Result<JointFit> near = roughly(data.coarse, rough.plain.layout, settings, start);
        if (!near && near.error().kind == FaultKind::cancelled) {
            return tl::unexpected(near.error());
        }
        // What ends far above what is known already is a minimum beside it.
        const double known = best ? reducedChiSquare(best->fit) : std::numeric_limits<double>::infinity();
        if (!near || reducedChiSquare(*near) > hopeless_share * known) {
            continue;
        }
        Result<FineFit> fit = descend(data.runs, data, *near, settings);
        if (!fit && fit.error().kind == FaultKind::cancelled) {
            return fit;
        }
        const bool twice = fit && best && agree(fit->fit, best->fit);
        if (better(fit, best)) {
            best = std::move(fit);
        }
        const bool far = best && reducedChiSquare(best->fit) > far_from_the_runs;
        if (++searches >= (far ? 2 : most_searches) || twice) {
            break;
        }
    }
    return best;
}

} // namespace

double reducedChiSquare(const JointFit& fit) {
    double bins = 0.0;
    for (const auto& run : fit.residuals) {
        bins += static_cast<double>(run.size());
    }
    return fit.chi_square / std::max(1.0, bins);
}

Result<RoughFit> roughFit(const FitData& data, const JointSettings& settings) {
    const JointSettings driven = alongMeasured(settings);
    RoughFit rough{.runs = data.coarse};
    const Layout layout = layoutOf(rough.runs, driven, data.blanks);
    rough.starts = startValues(data.studies, data.samples, driven.pot, driven.order);
    std::vector<std::vector<double>> starts = rough.starts;
    for (int round = 0; round < 3; ++round) {
        Result<JointFit> fit = fromStarts(rough.runs, layout, driven, starts);
        if (!fit) {
            return tl::unexpected(fit.error());
        }
        rough.fit = *std::move(fit);
        if (round == 0) {
            rough.plain = rough.fit;
        }
        if (reducedChiSquare(rough.fit) <= missed_chi_square) {
            break;
        }
        inflate(rough.runs, rough.fit);
        const auto law = rough.fit.parametersOf(0);
        starts.assign(1, std::vector<double>(law.begin(), law.begin() + log_heat));
    }
    return rough;
}

Result<FineFit> fineFit(const FitData& data, const RoughFit& rough, const JointSettings& settings,
                        const Progress& progress) {
    if (progress) {
        progress(0.4, "fitting the law");
    }
    std::vector<PotRun> raised = data.runs;
    for (std::size_t r = 0; r < raised.size(); ++r) {
        raised[r].inflation = rough.runs[r].inflation;
    }
    if (settings.pot.driven) {
        return descend(std::move(raised), data, rough.fit, settings);
    }
    Result<FineFit> found = descend(data.runs, data, rough.plain, settings);
    if (!found && found.error().kind == FaultKind::cancelled) {
        return found;
    }
    if (!found || !matches(found->fit)) {
        if (progress) {
            progress(0.6, "searching elsewhere");
        }
        found = fromAllStarts(data, rough, settings, std::move(found));
    }
    if (!found) {
        return found.error().kind == FaultKind::cancelled ? found
                                                          : descend(std::move(raised), data, rough.fit, settings);
    }
    if (reducedChiSquare(found->fit) > missed_chi_square) {
        std::vector<PotRun> runs = found->runs;
        inflate(runs, found->fit);
        Result<FineFit> softer = descend(std::move(runs), data, found->fit, settings);
        if (softer || softer.error().kind == FaultKind::cancelled) {
            return softer;
        }
    }
    return found;
}

} // namespace potwatch::kinetics
