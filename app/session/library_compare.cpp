// SPDX-License-Identifier: GPL-3.0-or-later
// The library's runs for a comparison, on the keeper's thread. They are analysed one after another in the chain that
// also brings findings up to date, so that each is analysed once and what is being looked at comes first.
#include "app/session/library_parts.h"
#include "app/session/vessel_mates.h"

#include <algorithm>
#include <utility>

namespace potwatch::session {
namespace {

constexpr const char* gather_key = "gather to compare";
constexpr std::chrono::milliseconds between_news(300); // each redraws a page

} // namespace

void Library::gatherToCompare(const std::vector<book::RunId>& ids, std::uint64_t ticket) {
    parts_->keeper.postLatest(gather_key, [parts = parts_.get(), ids, ticket](const std::stop_token&) {
        parts->gatherToCompare(ids, ticket);
    });
}

void Library::stopGathering() {
    parts_->keeper.postLatest(gather_key,
                              [parts = parts_.get()](const std::stop_token&) { parts->wanted_to_compare.clear(); });
}

void Library::Parts::gatherToCompare(const std::vector<book::RunId>& ids, std::uint64_t ticket) {
    wanted_to_compare.clear();
    compare_ticket = ticket;
    if (!store) {
        return;
    }
    for (const book::RunId& id : ids) {
        if (const std::optional<std::size_t> at = store->indexOf(id)) {
            WantedToCompare wanted{.id = id, .key = findingsKey(store->rows(), *at), .photos = {}};
            if (Result<std::vector<std::string>> photos = store->book().photoNames(id)) {
                wanted.photos = std::move(*photos);
            }
            wanted_to_compare.push_back(std::move(wanted));
        }
    }
    tellCompared();
    refreshNext({});
}

bool Library::Parts::hasCompared(const WantedToCompare& wanted) const {
    const auto known = compared.find(wanted.id);
    return known != compared.end() && known->second.key == wanted.key;
}

std::optional<book::RunId> Library::Parts::nextToCompare() {
    for (WantedToCompare& wanted : wanted_to_compare) {
        const std::optional<std::size_t> at = store ? store->indexOf(wanted.id) : std::nullopt;
        if (at && !hasCompared(wanted)) {
            wanted.key = findingsKey(store->rows(), *at); // it may have been edited since it was asked for
            if (!hasCompared(wanted)) {
                return wanted.id;
            }
        }
    }
    return std::nullopt;
}

void Library::Parts::keepCompared(const book::RunId& id, Compared one) {
    if (!one.run && !one.why_not) {
        one.why_not = Fault{.kind = FaultKind::missing,
                            .what = "it could not be analysed",
                            .where = {},
                            .remedy = "choose it on the page Analyse: it says why"};
    }
    compared[id] = std::move(one);
    const bool is_wanted = std::any_of(wanted_to_compare.begin(), wanted_to_compare.end(),
                                       [&](const WantedToCompare& run) { return run.id == id; });
    const bool is_last = !nextToCompare();
    if (is_wanted && (is_last || std::chrono::steady_clock::now() - compared_told_at >= between_news)) {
        tellCompared();
    }
}

void Library::Parts::tellCompared() {
    compared_told_at = std::chrono::steady_clock::now();
    auto runs = std::make_shared<std::vector<RunToCompare>>();
    std::size_t left = 0;
    for (const WantedToCompare& wanted : wanted_to_compare) {
        if (!hasCompared(wanted)) {
            ++left;
            continue;
        }
        const Compared& known = compared.at(wanted.id);
        runs->push_back({.id = wanted.id, .photos = wanted.photos, .run = known.run, .why_not = known.why_not});
    }
    tell(RunsToCompareReady{.ticket = compare_ticket, .runs = std::move(runs), .left = left});
}

} // namespace potwatch::session
