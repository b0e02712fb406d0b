// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/fit.h"

#include "analysis/findings/analyse_run.h"
#include "analysis/findings/vessel.h"
#include "analysis/kinetics/adiabatic_figures.h"
#include "analysis/kinetics/fit_checks.h"
#include "analysis/kinetics/fit_data.h"
#include "analysis/kinetics/fit_figures.h"
#include "analysis/kinetics/joint_fit.h"
#include "analysis/kinetics/model_comparison.h"
#include "analysis/kinetics/start_values.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <future>
#include <thread>
#include <utility>

namespace potwatch {

namespace kinetics {

namespace {

using findings::RunStudy;

// A step that is off by more than this is cut in two.
constexpr double largest_step_error_k = 5e-4;
// Where the steps are off by more than this after a fit, it is made again on finer ones.
constexpr double largest_error_k = 5e-3;
constexpr int most_cuts = 8;
constexpr int most_refits = 2;
// From this reduced chi square on a law misses the runs, and not their noise is what limits it.
constexpr double missed_chi_square = 2.0;
// ln of one path's k over the other's at the reference temperature.
constexpr double most_one_sided = 6.0;
// Ten times what a law that is only a little wrong misses.
constexpr double largest_rmse_degree = 0.1;

// The middle of what was measured, weighted by how much cured there: k and E are then nearly independent.
double referenceTemperature(std::span<const RateSample> samples) {
    double weights = 0.0;
    double sum = 0.0;
    for (const RateSample& sample : samples) {
        const double weight = sample.rate_per_s;
        sum += weight / (sample.temperature_c + 273.15);
        weights += weight;
    }
    return weights > 0.0 ? weights / sum : 330.0;
}

std::optional<heat::Loss> someLoss(std::span<const PotRun> runs, const std::string& vessel) {
    std::optional<heat::Loss> any;
    for (const PotRun& run : runs) {
        if (run.tail_loss && (!any || run.vessel == vessel)) {
            any = run.tail_loss;
        }
    }
    return any;
}

std::optional<findings::CommonLoss> blanksOf(std::span<const RunStudy> blanks, const std::string& vessel) {
    std::vector<findings::VesselEvidence> evidence;
    for (const RunStudy& blank : blanks) {
        const auto one = findings::evidenceOf(blank);
        if (one && !vessel.empty() && one->vessel == vessel) {
            evidence.push_back(*one);
        }
    }
    return findings::commonLoss(evidence);
}

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

// For the search along the measured temperatures, which only has to come near.
constexpr Binning coarse_binning{.widest_k = 3.0, .widest_share = 1.0 / 60.0};

JointSettings settingsOf(RateModel model, std::optional<double> order, double reference_k, std::stop_token stop) {
    return {.pot = {.reference_k = reference_k, .autocatalytic = model == RateModel::autocatalytic},
            .order = order,
            .stop = std::move(stop)};
}

double reducedChiSquare(const JointFit& fit) {
    double bins = 0.0;
    for (const auto& run : fit.residuals) {
        bins += static_cast<double>(run.size());
    }
    return fit.chi_square / std::max(1.0, bins);
}

// Whether a path of the law has died out on the way, which may be a minimum beside the lowest.
bool oneSided(const JointFit& fit) {
    const auto first = fit.find(log_k1);
    const auto second = fit.find(log_k2);
    return first && second &&
           (std::abs(fit.values[*first] - fit.values[*second]) > most_one_sided || fit.atBound(*fit.find(e1)) ||
            fit.atBound(*fit.find(e2)));
}

// From the first start; where that does not lead to a law that matches the runs, from all of them.
Result<JointFit> fromBest(std::span<const PotRun> runs, const Layout& layout, const JointSettings& settings,
                          std::span<const std::vector<double>> starts) {
    Result<JointFit> first = roughly(runs, layout, settings, starts.first(1));
    if (starts.size() == 1 || (!first && first.error().kind == FaultKind::cancelled) ||
        (first && reducedChiSquare(*first) < missed_chi_square && !oneSided(*first))) {
        return first;
    }
    Result<JointFit> other = roughly(runs, layout, settings, starts.subspan(1));
    return !first || (other && other->sum_of_squares < first->sum_of_squares) ? other : first;
}

// Along the measured temperatures. Where the law misses the runs it is fitted once more with their noise raised.
struct RoughFit {
    JointFit fit;
    std::vector<PotRun> runs;
    bool misses = false;
};

Result<RoughFit> roughFit(const FitData& data, const JointSettings& settings) {
    RoughFit rough{.runs = data.coarse};
    const Layout layout = layoutOf(rough.runs, settings, data.blanks);
    std::vector<std::vector<double>> starts = startValues(data.studies, data.samples, settings.pot, settings.order);
    for (int round = 0; round < 3; ++round) {
        Result<JointFit> fit = fromBest(rough.runs, layout, settings, starts);
        if (!fit) {
            return tl::unexpected(fit.error());
        }
        rough.fit = *std::move(fit);
        rough.misses = reducedChiSquare(rough.fit) > missed_chi_square;
        if (!rough.misses) {
            break;
        }
        inflate(rough.runs, rough.fit);
        const auto law = rough.fit.parametersOf(0);
        starts.assign(1, std::vector<double>(law.begin(), law.begin() + log_heat));
    }
    return rough;
}

struct FineFit {
    JointFit fit;
    std::vector<PotRun> runs; // with the steps it took
};

Result<FineFit> fineFit(const FitData& data, const RoughFit& rough, const JointSettings& settings,
                        const Progress& progress) {
    std::vector<PotRun> runs = data.runs;
    for (std::size_t r = 0; r < runs.size(); ++r) {
        runs[r].inflation = rough.runs[r].inflation;
    }
    JointFit near = rough.fit;
    for (int refit = 0;; ++refit) {
        if (progress) {
            progress(0.4 + 0.5 * refit / (most_refits + 1), "fitting the law");
        }
        const double off_k = refineAll(runs, data, near, settings.pot);
        if (refit == most_refits || (refit > 0 && off_k < largest_error_k)) {
            return FineFit{.fit = std::move(near), .runs = std::move(runs)};
        }
        Result<JointFit> fit = finely(runs, near, settings);
        if (!fit) {
            return tl::unexpected(fit.error());
        }
        near = *std::move(fit);
    }
}

// Nothing that such a law says of these runs is worth printing.
std::optional<Fault> missesTheRuns(const KineticFit& fit) {
    if (fit.rmse_degree <= largest_rmse_degree) {
        return std::nullopt;
    }
    const auto worst = std::max_element(fit.runs.begin(), fit.runs.end(), [](const FittedRun& a, const FittedRun& b) {
        return a.rmse_degree < b.rmse_degree;
    });
    return Fault{.kind = FaultKind::notConverged,
                 .what = fmt::format(
                     "the fit does not converge: the {} law misses the degree of cure by {:.2f}{}",
                     fit.kinetics.kind == RateModel::autocatalytic ? "autocatalytic" : "nth-order", fit.rmse_degree,
                     fit.runs.size() > 1 ? fmt::format(", most in {} ({:.2f})", worst->name, worst->rmse_degree)
                                         : std::string()),
                 .where = {.file = worst->file},
                 .remedy = "check masses, doses and heat of reaction in the batch files, or leave out a run that is "
                           "unlike the others"};
}

std::optional<double> heldOrder(const FitData& data, const FitOptions& options) {
    if (!data.runs.front().dosed_catalyst) {
        return 0.0;
    }
    return options.find_catalyst_order ? std::nullopt : std::optional(1.0);
}

} // namespace

Result<FitData> fitDataOf(std::span<const Run> runs, const FitOptions& options, const Progress& progress,
                          std::stop_token stop) {
    FitData data;
    std::vector<RunStudy> blanks;
    std::vector<Result<RunStudy>> studied;
    const AnalyseOptions analysis{.channel = options.channel};
    for (std::size_t i = 0; i < runs.size(); i += 2) { // two at a time
        if (stop.stop_requested()) {
            return tl::unexpected(Fault{.kind = FaultKind::cancelled, .what = "the fit was stopped"});
        }
        if (progress) {
            progress(static_cast<double>(i) / static_cast<double>(runs.size()), runs[i].name);
        }
        std::future<Result<RunStudy>> second;
        if (i + 1 < runs.size()) {
            second = std::async(std::launch::async, [&] { return findings::study(runs[i + 1], analysis); });
        }
        studied.push_back(findings::study(runs[i], analysis));
        if (second.valid()) {
            studied.push_back(second.get());
        }
    }
    for (std::size_t i = 0; i < studied.size(); ++i) {
        if (!studied[i]) {
            Fault fault = studied[i].error();
            if (fault.where.file.empty()) {
                fault.where.file = runs[i].file;
            }
            return tl::unexpected(fault);
        }
        (runs[i].batch.blank ? blanks : data.studies).push_back(*std::move(studied[i]));
    }
    if (const auto fault = unfit(data.studies, options.find_catalyst_order)) {
        return tl::unexpected(*fault);
    }
    double reference = 0.0;
    for (const RunStudy& study : data.studies) {
        reference = std::max(reference, catalystOf(study));
    }
    for (const RunStudy& study : data.studies) {
        data.runs.push_back(potRunOf(study, reference));
        data.coarse.push_back(potRunOf(study, reference, coarse_binning));
        data.blanks.push_back(blanksOf(blanks, study.run->batch.vessel.name));
    }
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const heat::Loss loss =
            someLoss(data.runs, data.runs[r].vessel)
                .value_or(heat::Loss{.coefficient_w_per_k = data.runs[r].charge_j_per_k.value / 600.0});
        for (RateSample& sample : rateSamples(data.studies[r], data.runs[r], loss)) {
            sample.run = r;
            data.samples.push_back(sample);
        }
    }
    if (const auto fault = tooFewData(data.samples)) {
        return tl::unexpected(*fault);
    }
    return data;
}

Result<KineticFit> fitKinetics(const FitData& data, const FitOptions& options, const Progress& progress,
                               std::stop_token stop) {
    const std::optional<double> order = heldOrder(data, options);
    const double reference_k = referenceTemperature(data.samples);
    const RateModel other = options.model == RateModel::autocatalytic ? RateModel::nth_order : RateModel::autocatalytic;
    std::future<Result<RoughFit>> compared;
    if (options.compare_models) {
        compared =
            std::async(std::launch::async, [&] { return roughFit(data, settingsOf(other, order, reference_k, stop)); });
    }
    JointSettings settings = settingsOf(options.model, order, reference_k, stop);
    if (progress) {
        progress(0.0, "searching for the law");
    }
    const Result<RoughFit> rough = roughFit(data, settings);
    Result<FineFit> fine = tl::unexpected(Fault{});
    bool along_measured = false;
    if (rough) {
        fine = fineFit(data, *rough, settings, progress);
        if (!fine && fine.error().kind == FaultKind::notConverged) {
            // A law that does not suit the resin cannot follow a run by itself.
            along_measured = true;
            settings.pot.driven = true;
            fine = fineFit(data, *rough, settings, progress);
        }
    }
    std::optional<Result<RoughFit>> other_rough;
    if (compared.valid()) {
        other_rough = compared.get();
    }
    if (!rough || !fine) {
        return tl::unexpected(rough ? fine.error() : rough.error());
    }
    KineticFit result = figuresOf(
        {.fit = fine->fit, .runs = fine->runs, .studies = data.studies, .model = options.model, .order_found = !order});
    if (auto fault = missesTheRuns(result)) {
        return tl::unexpected(*std::move(fault));
    }
    if (along_measured) {
        result.warnings.insert(result.warnings.begin(),
                               "this law cannot follow the runs by itself: it is fitted along the measured "
                               "temperatures, and a forecast from it will be poor");
    }
    for (std::size_t r = 0; r < result.runs.size(); ++r) {
        result.runs[r].adiabatic = adiabaticFigures(fine->fit, fine->runs[r], data.studies[r], r);
    }
    result.models.push_back(comparedModel(options.model, rough->fit, rmseOf(rough->fit, data.coarse)));
    if (other_rough) {
        const Result<RoughFit>& one = *other_rough;
        result.models.push_back(one ? comparedModel(other, one->fit, rmseOf(one->fit, data.coarse))
                                    : ComparedModel{.model = other, .fault = one.error().what});
    }
    finishComparison(result, order, data.runs.front().dosed_catalyst);
    return result;
}

} // namespace kinetics

Result<KineticFit> fitKinetics(std::span<const Run> runs, const FitOptions& options, const Progress& progress,
                               std::stop_token stop) {
    const Progress first =
        progress ? [&](double fraction, std::string_view doing) { progress(0.5 * fraction, doing); } : Progress();
    const Result<kinetics::FitData> data = kinetics::fitDataOf(runs, options, first, stop);
    if (!data) {
        return tl::unexpected(data.error());
    }
    const Progress second =
        progress ? [&](double fraction, std::string_view doing) { progress(0.5 + 0.5 * fraction, doing); } : Progress();
    return kinetics::fitKinetics(*data, options, second, std::move(stop));
}

} // namespace potwatch
