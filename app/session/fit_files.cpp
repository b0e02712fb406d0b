// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/fit_files.h"

#include "analysis/findings/analyse_run.h"
#include "analysis/kinetics/constant_rate.h"
#include "analysis/kinetics/isoconversional.h"
#include "analysis/kinetics/leading_path.h"

#include <future>
#include <utility>

namespace potwatch::session {
namespace {

using Opened = tl::expected<OpenedRun, Faults>;

constexpr double opening_share = 0.2; // of the progress
constexpr double law_share = 0.8;     // of a fit with activation energies without a law beside it

std::vector<Opened> openAll(std::span<const FileToOpen> files, const std::stop_token& stop) {
    std::vector<Opened> opened;
    const auto open = [&](const FileToOpen& file) {
        OpenOptions options = file.options;
        options.import.workers = 1; // the files are what is shared out here
        return openRun(file.file, options, {}, stop);
    };
    for (std::size_t i = 0; i < files.size(); i += 2) {
        std::future<Opened> second;
        if (i + 1 < files.size()) {
            second = std::async(std::launch::async, open, files[i + 1]);
        }
        opened.push_back(open(files[i]));
        if (second.valid()) {
            opened.push_back(second.get());
        }
    }
    return opened;
}

LawFreeFindings lawFree(std::span<const Run> runs, const FitOptions& options) {
    std::vector<kinetics::CureCourse> courses;
    for (const Run& run : runs) {
        if (run.batch.blank) {
            continue;
        }
        const auto study = findings::study(run, {.channel = options.channel});
        if (!study) {
            return {.friedman = tl::unexpected(study.error()), .constant_rate = tl::unexpected(study.error())};
        }
        auto course = kinetics::cureCourseOf(*study);
        if (!course) {
            return {.friedman = tl::unexpected(course.error()), .constant_rate = tl::unexpected(course.error())};
        }
        courses.push_back(*std::move(course));
    }
    kinetics::FriedmanSettings settings;
    bool catalysed = false;
    for (const kinetics::CureCourse& course : courses) {
        catalysed = catalysed || !course.catalyst_g_per_g.empty();
    }
    settings.order = !catalysed                    ? kinetics::CatalystOrder::none
                     : options.find_catalyst_order ? kinetics::CatalystOrder::found
                                                   : kinetics::CatalystOrder::stated;
    return {.friedman = kinetics::friedman(courses, settings),
            .constant_rate = kinetics::constantRateEnergies(courses)};
}

std::vector<RunEquivalent> equivalents(std::span<const Run> runs, const FitFilesOptions& options, const KineticFit& fit,
                                       const std::stop_token& stop) {
    const AnalyseOptions analysis{.channel = options.fit.channel,
                                  .draws = 0,
                                  .equivalent = EquivalentAt{.reference_c = *options.equivalent_at_c,
                                                             .e_kj_per_mol = kinetics::leadingPath(fit).e_kj_per_mol}};
    std::vector<RunEquivalent> found;
    for (const Result<Analysis>& one : analyse(runs, analysis, {}, stop)) {
        if (one && one->findings.cure.equivalent) {
            found.push_back({.run = one->findings.run, .equivalent = *one->findings.cure.equivalent});
        }
    }
    return found;
}

} // namespace

const ModelFree* energiesOf(const FittedFiles& fitted) {
    return fitted.law_free && fitted.law_free->friedman ? &*fitted.law_free->friedman : nullptr;
}

Result<FittedFiles> fitRuns(std::span<const Run> runs, const FitFilesOptions& options, const Progress& progress,
                            std::stop_token stop) {
    const double share = options.isoconversional ? law_share : 1.0;
    const Progress of_law =
        progress ? [&](double fraction, std::string_view doing) { progress(share * fraction, doing); } : Progress();
    Result<KineticFit> fit = fitKinetics(runs, options.fit, of_law, stop);
    if (!fit) {
        return tl::unexpected(std::move(fit.error()));
    }
    FittedFiles result{.fit = *std::move(fit), .law_free = std::nullopt, .equivalents = {}, .warnings = {}};
    if (options.equivalent_at_c) {
        result.equivalents = equivalents(runs, options, result.fit, stop);
    }
    if (options.isoconversional) {
        if (progress) {
            progress(share, "activation energies without a law");
        }
        result.law_free = lawFree(runs, options.fit);
    }
    return result;
}

tl::expected<FittedFiles, Faults> fitFiles(std::span<const FileToOpen> files, const FitFilesOptions& options,
                                           const Progress& progress, std::stop_token stop) {
    std::vector<Opened> opened = openAll(files, stop);
    std::vector<std::string> warnings;
    std::vector<Run> runs;
    Faults faults;
    for (Opened& one : opened) {
        if (!one) {
            faults.insert(faults.end(), one.error().begin(), one.error().end());
            continue;
        }
        warnings.insert(warnings.end(), one->warnings.begin(), one->warnings.end());
        runs.push_back(std::move(one->run));
    }
    if (!faults.empty()) {
        return tl::unexpected(std::move(faults));
    }
    const Progress rest =
        progress ? [&](double fraction,
                       std::string_view doing) { progress(opening_share + (1.0 - opening_share) * fraction, doing); }
                 : Progress();
    Result<FittedFiles> result = fitRuns(runs, options, rest, std::move(stop));
    if (!result) {
        return tl::unexpected(Faults{std::move(result.error())});
    }
    result->warnings = std::move(warnings);
    return *std::move(result);
}

} // namespace potwatch::session
