// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/vessel_mates.h"

#include "io/batch/batch_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <string_view>

namespace potwatch::session {
namespace {

constexpr std::size_t most_mates = 6;
constexpr std::size_t most_mate_samples = 2'000'000;

std::int64_t moment(const book::RunRow& row) {
    return row.started ? row.started->utc_us : row.added_utc_us;
}

// FNV-1a, 64 bits. Source: Fowler, Noll and Vo, the published constants; from memory.
class Key {
public:
    void add(std::string_view text) {
        for (const char c : text) {
            value_ = (value_ ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
        }
        value_ = (value_ ^ 0xffU) * 0x100000001b3U; // so that "ab","c" is not "a","bc"
    }
    [[nodiscard]] std::string text() const { return fmt::format("{:016x}", value_); }

private:
    std::uint64_t value_ = 0xcbf29ce484222325U;
};

void add(Key& key, const book::RunRow& row) {
    key.add(row.content_hash);
    key.add(fmt::format("{}", row.samples));
    key.add(batch::write(row.notes.batch));
    for (const LandmarkOverride& placed : row.notes.overrides) {
        key.add(fmt::format("{} {}", nameOf(placed.landmark), placed.time_s));
    }
}

} // namespace

std::vector<std::size_t> vesselMates(std::span<const book::RunRow> rows, std::size_t run) {
    const std::string& vessel = rows[run].notes.batch.vessel.name;
    if (vessel.empty()) {
        return {};
    }
    std::vector<std::size_t> mates;
    bool has_blank = false;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (i != run && !rows[i].withdrawn && rows[i].state != book::RunState::recording &&
            rows[i].notes.batch.vessel.name == vessel) {
            mates.push_back(i);
            has_blank = has_blank || rows[i].notes.batch.blank;
        }
    }
    if (has_blank || rows[run].notes.batch.blank) {
        std::erase_if(mates, [&](std::size_t i) { return !rows[i].notes.batch.blank; });
    }
    std::stable_sort(mates.begin(), mates.end(), [&](std::size_t a, std::size_t b) {
        return std::llabs(moment(rows[a]) - moment(rows[run])) < std::llabs(moment(rows[b]) - moment(rows[run]));
    });
    std::size_t samples = 0;
    std::size_t kept = 0;
    while (kept < mates.size() && kept < most_mates &&
           samples + rows[mates[kept]].samples * rows[mates[kept]].channels.size() <= most_mate_samples) {
        samples += rows[mates[kept]].samples * rows[mates[kept]].channels.size();
        ++kept;
    }
    mates.resize(kept);
    std::sort(mates.begin(), mates.end());
    return mates;
}

std::string findingsKey(std::span<const book::RunRow> rows, std::size_t run) {
    Key key;
    add(key, rows[run]);
    for (const std::size_t mate : vesselMates(rows, run)) {
        add(key, rows[mate]);
    }
    return key.text();
}

} // namespace potwatch::session
