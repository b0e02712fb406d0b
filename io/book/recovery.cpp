// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/recovery.h"

#include "io/book/lease.h"
#include "io/book/notes_hash.h"
#include "io/book/run_row.h"
#include "io/book/samples.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::book {
namespace {

struct Orphan {
    std::int64_t number = 0;
    RunId id;
    std::string name;
};

Result<std::vector<Orphan>> runsMarkedAsRecording(const Database& database) {
    Statement rows = database.statement("SELECT id, uuid, name FROM run WHERE state = 'recording' ORDER BY id");
    std::vector<Orphan> orphans;
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        orphans.push_back({.number = rows.integer(0), .id = rows.text(1), .name = rows.text(2)});
    }
    return next.map([&](bool) { return std::move(orphans); });
}

// The samples of the tail become chunks after those that are there.
Result<void> fold(const Database& database, const Orphan& orphan, const Columns& columns) {
    const Result<std::optional<std::int64_t>> chunks =
        database.integer("SELECT count(*) FROM chunk WHERE run = ? AND number = 0", orphan.number);
    if (!chunks) {
        return tl::unexpected(chunks.error());
    }
    std::int64_t seq = chunks->value_or(0);
    ChunkWriter writer(database, orphan.number);
    for (std::size_t first = static_cast<std::size_t>(seq) * chunk_length; first < columns.time_s.size();
         first += chunk_length, ++seq) {
        const std::size_t count = std::min(chunk_length, columns.time_s.size() - first);
        for (std::size_t column = 0; column <= columns.channels.size(); ++column) {
            const std::vector<double>& all = column == 0 ? columns.time_s : columns.channels[column - 1].values;
            if (Result<void> done = writer.write(column, seq, std::span(all).subspan(first, count)); !done) {
                return done;
            }
        }
    }
    return database.run("DELETE FROM tail WHERE run = ?", orphan.number);
}

// The number of samples; nothing where its recorder ended it just now.
Result<std::optional<std::size_t>> recover(const Database& database, const Orphan& orphan) {
    Result<Transaction> transaction = Transaction::begin(database, Transaction::Kind::write);
    if (!transaction) {
        return tl::unexpected(std::move(transaction.error()));
    }
    const Result<std::optional<std::int64_t>> still =
        database.integer("SELECT 1 FROM run WHERE id = ? AND state = 'recording'", orphan.number);
    if (!still || !*still) {
        return still ? Result<std::optional<std::size_t>>(std::nullopt) : tl::unexpected(still.error());
    }
    const Result<Columns> columns = readSamples(database, orphan.number, orphan.name, {}, {});
    if (!columns) {
        return tl::unexpected(columns.error());
    }
    const RunContent content{.samples = columns->time_s.size(),
                             .span_s = spanOf(columns->time_s),
                             .content_hash = hashOf(columns->time_s, columns->channels),
                             .state = RunState::recovered};
    return fold(database, orphan, *columns)
        .and_then([&] { return setContent(database, orphan.number, content); })
        .and_then([&] { return sealNotes(database, orphan.number); })
        .and_then([&] { return transaction->commit(); })
        .map([&] { return std::optional(content.samples); });
}

} // namespace

std::vector<std::string> recoverRuns(const Database& database, const std::string& book) {
    const Result<std::vector<Orphan>> orphans = runsMarkedAsRecording(database);
    if (!orphans) {
        return {}; // whatever reads the book next tells it
    }
    std::vector<std::string> notices;
    for (const Orphan& orphan : *orphans) {
        Result<std::optional<Lease>> lease = Lease::take(book, orphan.id);
        if (lease && !*lease) {
            continue; // it is being recorded
        }
        const Result<std::optional<std::size_t>> samples =
            lease ? recover(database, orphan) : tl::unexpected(lease.error());
        if (!samples) {
            notices.push_back(fmt::format("run \"{}\" was not ended by its recorder and could not be recovered now: {}",
                                          orphan.name, describe(samples.error())));
            continue;
        }
        (*lease)->release();
        if (*samples) {
            notices.push_back(fmt::format("run \"{}\" was not ended by its recorder: {} {} recovered", orphan.name,
                                          **samples, **samples == 1 ? "sample" : "samples"));
        }
    }
    return notices;
}

} // namespace potwatch::book
