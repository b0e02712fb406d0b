// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"

#include "analysis/findings/analyse_run.h"
#include "analysis/findings/cure_figures.h"
#include "analysis/findings/vessel.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <optional>

namespace potwatch {

namespace {

using findings::RunStudy;
using findings::VesselEvidence;

struct Study {
    Result<RunStudy> study;
    std::optional<VesselEvidence> evidence;
};

// Evidence of one vessel from all runs but one: blanks, or the others.
std::vector<VesselEvidence> others(const std::vector<Study>& studies, std::size_t self, bool blanks) {
    const std::string& vessel = studies[self].study->run->batch.vessel.name;
    std::vector<VesselEvidence> found;
    for (std::size_t i = 0; i < studies.size(); ++i) {
        const auto& evidence = studies[i].evidence;
        if (i != self && evidence && evidence->blank == blanks && evidence->vessel == vessel &&
            (!blanks || !vessel.empty())) {
            found.push_back(*evidence);
        }
    }
    return found;
}

void learnFromVessel(std::vector<Study>& studies, std::size_t self, const AnalyseOptions& options) {
    RunStudy& study = *studies[self].study;
    if (study.run->batch.blank) {
        return;
    }
    if (const auto blanks = findings::commonLoss(others(studies, self, true))) {
        findings::learnFromBlanks(study, *blanks);
    } else if (options.same_vessel) {
        if (const auto common = findings::commonLoss(others(studies, self, false))) {
            findings::learnFromRuns(study, *common);
        }
    }
}

// A second heating knows the first one where that is among the runs.
void findFirstHeating(std::vector<Study>& studies, std::size_t self) {
    RunStudy& study = *studies[self].study;
    const std::string& first = study.run->batch.second_heating_of;
    for (std::size_t i = 0; i < studies.size() && !first.empty(); ++i) {
        if (i != self && studies[i].study && studies[i].study->run->name == first) {
            study.first_heating = findings::firstHeatingFor(study, *studies[i].study);
            return;
        }
    }
}

} // namespace

std::vector<Result<Analysis>> analyse(std::span<const Run> runs, const AnalyseOptions& options,
                                      const Progress& progress, std::stop_token stop) {
    const auto tell = [&](std::size_t done, std::string_view doing) {
        if (progress) {
            progress(static_cast<double>(done) / static_cast<double>(2 * std::max<std::size_t>(1, runs.size())), doing);
        }
    };
    const auto cancelled = [](const Run& run) {
        return tl::unexpected(
            Fault{.kind = FaultKind::cancelled, .what = "stopped before it was analysed", .where = {.file = run.file}});
    };
    std::vector<Study> studies;
    studies.reserve(runs.size());
    for (const Run& run : runs) {
        tell(studies.size(), run.name);
        if (stop.stop_requested()) {
            studies.push_back({.study = cancelled(run), .evidence = std::nullopt});
            continue;
        }
        Study one{.study = findings::study(run, options), .evidence = std::nullopt};
        if (one.study) {
            one.evidence = findings::evidenceOf(*one.study);
        }
        studies.push_back(std::move(one));
    }
    for (std::size_t i = 0; i < studies.size(); ++i) {
        if (studies[i].study && !stop.stop_requested()) {
            learnFromVessel(studies, i, options);
        }
    }
    for (std::size_t i = 0; i < studies.size(); ++i) {
        if (studies[i].study) {
            findFirstHeating(studies, i);
        }
    }
    std::vector<Result<Analysis>> results;
    results.reserve(runs.size());
    for (std::size_t i = 0; i < studies.size(); ++i) {
        tell(runs.size() + i, runs[i].name);
        if (!studies[i].study) {
            results.push_back(tl::unexpected(studies[i].study.error()));
            continue;
        }
        if (stop.stop_requested()) {
            results.push_back(cancelled(runs[i]));
            continue;
        }
        results.emplace_back(findings::finish(*studies[i].study, options, stop));
    }
    tell(2 * runs.size(), "done");
    return results;
}

} // namespace potwatch
