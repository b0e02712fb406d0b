// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/book_runs.h"
#include "app/session/library_parts.h"

#include <memory>
#include <utility>

namespace potwatch::session {
namespace {

constexpr const char* fit_key = "fit";

} // namespace

void Library::fitRuns(const std::vector<book::RunId>& ids, const FitFilesOptions& options, std::uint64_t ticket) {
    parts_->fitter.cancel(fit_key);
    parts_->keeper.postLatest(fit_key, [parts = parts_.get(), ids, options, ticket](const std::stop_token& stop) {
        parts->fit(ids, options, ticket, stop);
    });
}

void Library::stopFit() {
    parts_->keeper.cancel(fit_key);
    parts_->fitter.cancel(fit_key);
}

void Library::Parts::fit(const std::vector<book::RunId>& ids, const FitFilesOptions& options, std::uint64_t ticket,
                         const std::stop_token& stop) {
    auto runs = std::make_shared<std::vector<Run>>();
    FitEnded ended{.ticket = ticket, .fitted = nullptr, .faults = {}};
    std::vector<std::string> warnings;
    for (const book::RunId& id : ids) {
        if (!store || stop.stop_requested()) {
            return;
        }
        Result<book::StoredRun> read = store->book().read(id, {}, stop);
        if (!read) {
            ended.faults.push_back(std::move(read.error()));
            continue;
        }
        auto ready = openStored(*std::move(read));
        if (!ready) {
            ended.faults.insert(ended.faults.end(), ready.error().begin(), ready.error().end());
            continue;
        }
        warnings.insert(warnings.end(), ready->warnings.begin(), ready->warnings.end());
        runs->push_back(std::move(ready->run));
    }
    if (!ended.faults.empty()) {
        tell(std::move(ended)); // a fit of fewer runs than were chosen is another fit
        return;
    }
    fitter.postLatest(fit_key, [this, runs, options, warnings, ticket](const std::stop_token& stop_fit) {
        const Progress progress = [&](double fraction, std::string_view doing) {
            tell(Fitting{.ticket = ticket, .fraction = fraction, .doing = std::string(doing)});
        };
        FitEnded end{.ticket = ticket, .fitted = nullptr, .faults = {}};
        Result<FittedFiles> found = session::fitRuns(*runs, options, progress, stop_fit);
        if (stop_fit.stop_requested()) {
            return;
        }
        if (found) {
            found->warnings = warnings;
            end.fitted = std::make_shared<const FittedFiles>(*std::move(found));
        } else {
            end.faults.push_back(std::move(found.error()));
        }
        tell(std::move(end));
    });
}

} // namespace potwatch::session
