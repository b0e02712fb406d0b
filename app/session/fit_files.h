// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/fit.h"
#include "analysis/values/model_free.h"
#include "app/session/analyse_files.h"

#include <tl/expected.hpp>

#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <vector>

namespace potwatch::session {

struct FitFilesOptions {
    FitOptions fit;
    bool isoconversional = false;
    std::optional<double> equivalent_at_c; // also the time at this temperature that cures as far as each run did
};

// How long a run's resin would have to stay at one temperature to cure as far as the run did.
struct RunEquivalent {
    std::string run;
    EquivalentTime equivalent;
};

// What no law is needed for, each method or why it is refused.
struct LawFreeFindings {
    Result<ModelFree> friedman = tl::unexpected(Fault{});
    Result<ConstantRateFindings> constant_rate = tl::unexpected(Fault{});
};

struct FittedFiles {
    KineticFit fit;
    std::optional<LawFreeFindings> law_free; // where it was asked for
    std::vector<RunEquivalent> equivalents;  // with the energy of the path that carries most of the cure
    std::vector<std::string> warnings;       // of opening the files
};

// The activation energies of Friedman's method; null where they were not asked for or are refused.
[[nodiscard]] const ModelFree* energiesOf(const FittedFiles& fitted);

// Fits one law of cure to runs that are ready; blanks among them say how their vessel loses heat.
// Errors: those of fitKinetics.
[[nodiscard]] Result<FittedFiles> fitRuns(std::span<const Run> runs, const FitFilesOptions& options,
                                          const Progress& progress = {}, std::stop_token stop = {});

// Opens the files and fits one law of cure to all of them, as fitRuns.
// Errors: all faults of all files that cannot be opened (a fit of fewer runs than were named is another fit), or that
// of fitKinetics.
[[nodiscard]] tl::expected<FittedFiles, Faults> fitFiles(std::span<const FileToOpen> files,
                                                         const FitFilesOptions& options, const Progress& progress = {},
                                                         std::stop_token stop = {});

} // namespace potwatch::session
