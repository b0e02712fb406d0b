// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/fit_candidates.h"

#include <algorithm>
#include <set>

namespace potwatch::session {
namespace {

// Why a run of a cure cannot take part; empty where it can. The fit itself looks closer.
std::string lackOf(const Batch& batch) {
    if (!batch.second_heating_of.empty()) {
        return "a second heating";
    }
    if (batch.dose && batch.dose->role == DoseRole::reactant) {
        return "a reactant is dosed";
    }
    if (!batch.charge.resin_g && batch.ingredients.empty()) {
        return "no mass of resin stated";
    }
    if (!batch.cure.heat_of_reaction_j_per_g) {
        return "no heat of reaction stated";
    }
    return {};
}

bool sameResin(const Batch& a, const Batch& b) {
    const bool same_dose = a.dose.has_value() == b.dose.has_value() &&
                           (!a.dose || (a.dose->role == b.dose->role && a.dose->substance == b.dose->substance));
    return a.cure.heat_of_reaction_j_per_g == b.cure.heat_of_reaction_j_per_g &&
           a.cure.start_degree == b.cure.start_degree &&
           a.charge.specific_heat_j_per_g_k == b.charge.specific_heat_j_per_g_k && same_dose;
}

bool isThere(const ListedRun& run) {
    return !run.row.withdrawn && run.row.state != book::RunState::recording;
}

} // namespace

std::vector<FitCandidate> fitCandidates(std::span<const ListedRun> runs, const book::RunId& shown) {
    const auto at = std::find_if(runs.begin(), runs.end(), [&](const ListedRun& run) { return run.row.id == shown; });
    const Batch* resin = at == runs.end() ? nullptr : &at->row.notes.batch;
    if (resin != nullptr && (resin->blank || !lackOf(*resin).empty())) {
        resin = nullptr;
    }
    std::vector<FitCandidate> candidates;
    std::set<std::string> vessels;
    for (const ListedRun& run : runs) {
        const Batch& batch = run.row.notes.batch;
        if (!isThere(run) || batch.blank) {
            continue;
        }
        const std::string lack = lackOf(batch);
        if (resin == nullptr && lack.empty()) {
            resin = &batch; // what is shown cannot take part: the first run that can
        }
        FitCandidate one{
            .id = run.row.id, .name = run.row.name, .batch = batch, .note = lack, .can = lack.empty(), .taken = false};
        one.taken = one.can && resin != nullptr && sameResin(*resin, batch);
        if (one.can && !one.taken) {
            one.note = "another resin";
        }
        if (one.taken && !batch.vessel.name.empty()) {
            vessels.insert(batch.vessel.name);
        }
        candidates.push_back(std::move(one));
    }
    for (const ListedRun& run : runs) {
        const Batch& batch = run.row.notes.batch;
        if (isThere(run) && batch.blank) {
            candidates.push_back(
                {.id = run.row.id,
                 .name = run.row.name,
                 .batch = batch,
                 .note = batch.vessel.name.empty() ? "a blank, of no named vessel" : "a blank of " + batch.vessel.name,
                 .can = !batch.vessel.name.empty(),
                 .taken = vessels.count(batch.vessel.name) > 0});
        }
    }
    return candidates;
}

} // namespace potwatch::session
