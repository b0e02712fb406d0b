// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/run_row.h"

#include "io/book/notes.h"
#include "io/book/samples.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::book {
namespace {

constexpr const char* columns =
    "SELECT run.id, uuid, name, started_us, started_offset_s, added_us, state, withdrawn, source_file, content_hash, "
    "rows_refused, samples, span_s, thermocouple, cold_junction, batch_toml, batch_file, findings.json, "
    "findings.version FROM run LEFT JOIN findings ON findings.run = run.id ";

std::optional<RunState> stateNamed(std::string_view name) {
    for (const RunState state : {RunState::recording, RunState::complete, RunState::recovered}) {
        if (nameOf(state) == name) {
            return state;
        }
    }
    return std::nullopt;
}

std::optional<WallTime> wallTime(const Statement& row, int column) {
    if (row.isNull(column)) {
        return std::nullopt;
    }
    WallTime time{.utc_us = row.integer(column)};
    if (!row.isNull(column + 1)) {
        time.offset_s = static_cast<int>(row.integer(column + 1));
    }
    return time;
}

// A recording has samples in its tail too.
Result<void> addTail(const Database& database, FullRow& full) {
    Statement rows = database.statement("SELECT data FROM tail WHERE run = ? ORDER BY row", full.number);
    std::vector<double> values(full.row.channels.size() + 1);
    double latest = full.row.span_s;
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        if (decodeTailRow(rows.bytes(0), values)) {
            ++full.row.samples;
            latest = std::max(latest, values.front()); // times of a recording start at 0
        }
    }
    full.row.span_s = latest;
    return next.map([](bool) {});
}

Result<FullRow> fullRow(const Database& database, const Statement& row) {
    FullRow full{.number = row.integer(0)};
    RunRow& shown = full.row;
    shown.id = row.text(1);
    shown.name = row.text(2);
    shown.started = wallTime(row, 3);
    shown.added_utc_us = row.integer(5);
    const std::optional<RunState> state = stateNamed(row.text(6));
    if (!state) {
        return tl::unexpected(damagedFault(database.path(), "has a run in the unknown state " + row.text(6)));
    }
    shown.state = *state;
    shown.withdrawn = row.integer(7) != 0;
    shown.source_file = row.text(8);
    shown.content_hash = row.text(9);
    shown.rows_refused = row.count(10);
    shown.samples = row.count(11);
    shown.span_s = row.number(12);
    full.conversion = {.thermocouple = row.text(13), .cold_junction = row.text(14)};
    shown.findings = row.text(17);
    shown.findings_version = static_cast<int>(row.integer(18));

    Result<Notes> notes = readNotes(database, full.number, row.text(15), row.text(16));
    if (!notes) {
        return tl::unexpected(std::move(notes.error()));
    }
    shown.notes = std::move(*notes);
    const Result<std::vector<Channel>> channels = readChannels(database, full.number);
    if (!channels) {
        return tl::unexpected(channels.error());
    }
    for (const Channel& channel : *channels) {
        shown.channels.push_back(channel.name);
    }
    if (shown.state == RunState::recording) {
        if (Result<void> added = addTail(database, full); !added) {
            return tl::unexpected(std::move(added.error()));
        }
    }
    return full;
}

Fault noSuchRun(const Database& database, const RunId& id) {
    return {.kind = FaultKind::input,
            .what = fmt::format("has no run {}", id),
            .where = {.file = database.path()},
            .remedy = "`potwatch book FILE list --json` lists those that it has"};
}

} // namespace

std::string_view nameOf(RunState state) {
    switch (state) {
    case RunState::recording:
        return "recording";
    case RunState::complete:
        return "complete";
    case RunState::recovered:
        return "recovered";
    }
    return {};
}

Result<std::int64_t> insertRun(const Database& database, const RunEntry& entry) {
    std::optional<std::int64_t> started_us;
    std::optional<int> offset_s;
    if (entry.started) {
        started_us = entry.started->utc_us;
        offset_s = entry.started->offset_s;
    }
    return database
        .run("INSERT INTO run(uuid, name, received_name, started_us, started_offset_s, received_started_us, "
             "received_started_offset_s, added_us, state, source_file, rows_refused, thermocouple, cold_junction, "
             "batch_file, batch_toml) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
             entry.id, entry.name, entry.name, started_us, offset_s, started_us, offset_s, utcNowUs(),
             nameOf(entry.state), entry.source_file, entry.rows_refused, entry.conversion.thermocouple,
             entry.conversion.cold_junction, entry.batch_file, entry.batch_toml)
        .map([&] { return database.lastRowId(); });
}

Result<void> setContent(const Database& database, std::int64_t run, const RunContent& content) {
    return database.run("UPDATE run SET samples = ?, span_s = ?, content_hash = ?, state = ? WHERE id = ?",
                        content.samples, content.span_s, content.content_hash, nameOf(content.state), run);
}

Result<std::int64_t> numberOf(const Database& database, const RunId& id) {
    return database.integer("SELECT id FROM run WHERE uuid = ?", id)
        .and_then([&](std::optional<std::int64_t> number) -> Result<std::int64_t> {
            return number ? Result<std::int64_t>(*number) : tl::unexpected(noSuchRun(database, id));
        });
}

Result<FullRow> readRow(const Database& database, const RunId& id) {
    Statement rows = database.statement(std::string(columns) + "WHERE uuid = ?", id);
    const Result<bool> found = rows.step();
    if (!found) {
        return tl::unexpected(found.error());
    }
    return *found ? fullRow(database, rows) : tl::unexpected(noSuchRun(database, id));
}

Result<std::vector<RunRow>> readRows(const Database& database) {
    Statement rows = database.statement(std::string(columns) + "ORDER BY run.id");
    std::vector<RunRow> list;
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        Result<FullRow> full = fullRow(database, rows);
        if (!full) {
            return tl::unexpected(std::move(full.error()));
        }
        list.push_back(std::move(full->row));
    }
    return next.map([&](bool) { return std::move(list); });
}

} // namespace potwatch::book
