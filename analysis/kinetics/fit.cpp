// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/fit.h"

#include "analysis/findings/analyse_run.h"
#include "analysis/findings/vessel.h"
#include "analysis/kinetics/adiabatic_figures.h"
#include "analysis/kinetics/fit_checks.h"
#include "analysis/kinetics/fit_data.h"
#include "analysis/kinetics/fit_figures.h"
#include "analysis/kinetics/joint_fit.h"
#include "analysis/kinetics/lack_of_fit.h"
#include "analysis/kinetics/law_search.h"
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

// For the search along the measured temperatures, which only has to come near.
constexpr Binning coarse_binning{.widest_k = 3.0, .widest_share = 1.0 / 60.0};

JointSettings settingsOf(RateModel model, std::optional<double> order, double reference_k, std::stop_token stop) {
    return {.pot = {.reference_k = reference_k, .autocatalytic = model == RateModel::autocatalytic},
            .order = order,
            .stop = std::move(stop)};
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
    const std::optional<LackOfFit> lack = along_measured ? std::nullopt : lackOfFit(fine->fit, fine->runs);
    const std::optional<Departure> departure = lack ? lack->found() : std::nullopt;
    if (departure) {
        fine->fit.covariance = widened(*lack, fine->fit.values.size());
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
    if (departure) {
        result.warnings.insert(result.warnings.begin(), wordsFor(*departure));
    }
    for (std::size_t r = 0; r < result.runs.size(); ++r) {
        result.runs[r].adiabatic = adiabaticFigures(fine->fit, fine->runs[r], data.studies[r], r, lack);
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
