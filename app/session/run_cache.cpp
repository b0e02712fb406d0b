// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/run_cache.h"

#include <algorithm>
#include <utility>

namespace potwatch::session {

bool RunCache::holds(const book::RunId& id, std::size_t samples, const Calibrations& calibrations) const {
    const std::lock_guard lock(mutex_);
    return std::any_of(entries_.begin(), entries_.end(), [&](const Entry& entry) {
        return entry.id == id && entry.samples == samples && entry.calibrations == calibrations;
    });
}

void RunCache::put(ReadRun run) {
    const std::lock_guard lock(mutex_);
    entries_.remove_if([&](const Entry& entry) { return entry.id == run.id; });
    Entry entry{.id = run.id,
                .samples = run.samples,
                .calibrations = run.calibrations,
                .values = run.run.time_s.size() * (1 + run.run.channels.size())};
    entry.run = std::move(run);
    entries_.push_front(std::move(entry));
}

std::optional<ReadRun> RunCache::take(const book::RunId& id) {
    const std::lock_guard lock(mutex_);
    const auto entry = std::find_if(entries_.begin(), entries_.end(), [&](const Entry& one) { return one.id == id; });
    if (entry == entries_.end()) {
        return std::nullopt;
    }
    entries_.splice(entries_.begin(), entries_, entry);
    return std::exchange(entry->run, std::nullopt);
}

void RunCache::giveBack(ReadRun run) {
    const std::lock_guard lock(mutex_);
    for (Entry& entry : entries_) {
        if (entry.id == run.id && entry.samples == run.samples && entry.calibrations == run.calibrations &&
            !entry.run) {
            entry.run = std::move(run);
            return;
        }
    }
}

void RunCache::trim(std::size_t most_values, std::span<const book::RunId> in_use) {
    const std::lock_guard lock(mutex_);
    std::size_t held = 0;
    for (auto entry = entries_.begin(); entry != entries_.end();) {
        const bool used = std::find(in_use.begin(), in_use.end(), entry->id) != in_use.end();
        held += entry->values;
        const bool drop = !used && held > most_values;
        held -= drop ? entry->values : 0;
        entry = drop ? entries_.erase(entry) : std::next(entry);
    }
}

void RunCache::clear() {
    const std::lock_guard lock(mutex_);
    entries_.clear();
}

} // namespace potwatch::session
