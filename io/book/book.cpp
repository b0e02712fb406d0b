// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/book.h"

#include "io/book/check.h"
#include "io/book/copy.h"
#include "io/book/database.h"
#include "io/book/notes.h"
#include "io/book/notes_hash.h"
#include "io/book/opening.h"
#include "io/book/photos.h"
#include "io/book/run_id.h"
#include "io/book/run_row.h"
#include "io/book/samples.h"

#include <fmt/format.h>

#include <utility>

namespace potwatch::book {
namespace {

Result<void> writeRemarks(const Database& database, std::int64_t run, const std::vector<std::string>& remarks) {
    for (const std::string& remark : remarks) {
        if (Result<void> done = database.run("INSERT INTO remark(run, text) VALUES (?, ?)", run, remark); !done) {
            return done;
        }
    }
    return {};
}

Result<std::vector<std::string>> readRemarks(const Database& database, std::int64_t run) {
    Statement rows = database.statement("SELECT text FROM remark WHERE run = ? ORDER BY id", run);
    std::vector<std::string> remarks;
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        remarks.push_back(rows.text(0));
    }
    return next.map([&](bool) { return std::move(remarks); });
}

// The run with these samples, back among the others where it had been deleted; nothing where the book has none.
Result<std::optional<Added>> takeBack(const Database& database, const std::string& hash) {
    Statement rows =
        database.statement("SELECT uuid, withdrawn FROM run WHERE content_hash = ? ORDER BY withdrawn, id", hash);
    const Result<bool> found = rows.step();
    if (!found || !*found) {
        return found ? Result<std::optional<Added>>(std::nullopt) : tl::unexpected(found.error());
    }
    const Added there{.id = rows.text(0), .was_there = true, .was_withdrawn = rows.integer(1) != 0};
    return numberOf(database, there.id)
        .and_then([&](std::int64_t number) {
            return database.run("UPDATE run SET withdrawn = 0 WHERE id = ?", number).and_then([&] {
                return sealNotes(database, number);
            });
        })
        .map([&] { return std::optional(there); });
}

Result<void> checkShape(const Run& run, const std::string& path) {
    for (const Channel& channel : run.channels) {
        if (channel.values.size() != run.time_s.size()) {
            return tl::unexpected(
                Fault{.kind = FaultKind::input,
                      .what = fmt::format("has {} values for {} times", channel.values.size(), run.time_s.size()),
                      .where = {.file = path, .channel = channel.name},
                      .remedy = "each channel needs one value a time"});
        }
    }
    return {};
}

// What follows from the batch: the run's name and start, and whether the findings still are of this run.
Result<void> updateRun(const Database& database, const FullRow& before, const Notes& notes,
                       const std::string& batch_toml) {
    const Batch& batch = notes.batch;
    const Batch& old = before.row.notes.batch;
    Result<void> done = database.run("UPDATE run SET batch_toml = ?, batch_file = ? WHERE id = ?", batch_toml,
                                     batch.file, before.number);
    if (done && batch.name != old.name) {
        done = batch.name.empty() ? database.run("UPDATE run SET name = received_name WHERE id = ?", before.number)
                                  : database.run("UPDATE run SET name = ? WHERE id = ?", batch.name, before.number);
    }
    if (done && batch.started != old.started) {
        done = batch.started ? database.run("UPDATE run SET started_us = ?, started_offset_s = ? WHERE id = ?",
                                            batch.started->utc_us, batch.started->offset_s, before.number)
                             : database.run("UPDATE run SET started_us = received_started_us, started_offset_s = "
                                            "received_started_offset_s WHERE id = ?",
                                            before.number);
    }
    if (done && (batch != old || notes.overrides != before.row.notes.overrides)) {
        done = database.run("DELETE FROM findings WHERE run = ?", before.number);
    }
    return done;
}

} // namespace

struct Book::State {
    Database database;

    // Runs work(transaction's database) in one transaction.
    template<class Work>
    auto within(Transaction::Kind kind, const Work& work) -> decltype(work()) {
        Result<Transaction> transaction = Transaction::begin(database, kind);
        if (!transaction) {
            return tl::unexpected(std::move(transaction.error()));
        }
        auto done = work();
        if (done) {
            if (Result<void> kept = transaction->commit(); !kept) {
                return tl::unexpected(std::move(kept.error()));
            }
        }
        return done;
    }
    template<class Work>
    auto writing(const Work& work) -> decltype(work()) {
        if (database.hasMoved()) {
            return tl::unexpected(Fault{.kind = FaultKind::storage,
                                        .what = "was deleted, moved or replaced since it was opened",
                                        .where = {.file = database.path()},
                                        .remedy = "open the book again where it is now"});
        }
        return within(Transaction::Kind::write, work);
    }
    template<class Work>
    auto reading(const Work& work) {
        return within(Transaction::Kind::read, work);
    }
};

Result<Opened> Book::open(const std::string& path, Access access) {
    return openDatabase(path, access, migrations()).map([](OpenedDatabase&& opened) {
        return Opened{.book = Book(std::make_unique<State>(State{.database = std::move(opened.database)})),
                      .notices = std::move(opened.notices),
                      .losses = std::move(opened.losses)};
    });
}

Book::Book(std::unique_ptr<State> state)
    : state_(std::move(state)) {}
Book::Book(Book&&) noexcept = default;
Book& Book::operator=(Book&&) noexcept = default;
Book::~Book() = default;

const std::string& Book::path() const {
    return state_->database.path();
}

bool Book::isReadOnly() const {
    return state_->database.isReadOnly();
}

Result<std::int64_t> Book::revision() {
    // The first counts what others change, the second what this object changes; both only grow.
    return state_->database.integer("PRAGMA data_version").map([&](std::optional<std::int64_t> others) {
        return others.value_or(0) + state_->database.changes();
    });
}

Result<std::vector<RunRow>> Book::list() {
    return state_->reading([&] { return readRows(state_->database); });
}

Result<RunRow> Book::row(const RunId& id) {
    return state_->reading(
        [&] { return readRow(state_->database, id).map([](FullRow&& full) { return std::move(full.row); }); });
}

Result<StoredRun> Book::read(const RunId& id, const Progress& progress, std::stop_token stop) {
    const Database& database = state_->database;
    return state_->reading([&]() -> Result<StoredRun> {
        Result<FullRow> full = readRow(database, id);
        if (!full) {
            return tl::unexpected(std::move(full.error()));
        }
        Result<std::vector<std::string>> remarks = readRemarks(database, full->number);
        if (!remarks) {
            return tl::unexpected(std::move(remarks.error()));
        }
        RunRow& row = full->row;
        Result<Columns> columns = readSamples(database, full->number, row.name, progress, stop);
        if (!columns) {
            return tl::unexpected(std::move(columns.error()));
        }
        return StoredRun{.id = id,
                         .run = {.name = std::move(row.name),
                                 .file = std::move(row.source_file),
                                 .started = row.started,
                                 .time_s = std::move(columns->time_s),
                                 .channels = std::move(columns->channels),
                                 .rows_refused = row.rows_refused,
                                 .batch = std::move(row.notes.batch),
                                 .overrides = std::move(row.notes.overrides),
                                 .annotations = std::move(row.notes.annotations)},
                         .conversion = std::move(full->conversion),
                         .tags = std::move(row.notes.tags),
                         .remarks = std::move(*remarks)};
    });
}

Result<Added> Book::add(const NewRun& added, const Progress& progress, std::stop_token stop) {
    const Database& database = state_->database;
    const Run& run = added.run;
    const Notes notes{
        .batch = run.batch, .overrides = run.overrides, .annotations = run.annotations, .tags = added.tags};
    if (Result<void> sound = checkShape(run, path()).and_then([&] { return checkNotes(notes, path()); }); !sound) {
        return tl::unexpected(std::move(sound.error()));
    }
    Result<std::string> batch_toml = batchText(run.batch, path());
    if (!batch_toml) {
        return tl::unexpected(std::move(batch_toml.error()));
    }
    const RunContent content{
        .samples = run.time_s.size(), .span_s = spanOf(run.time_s), .content_hash = hashOf(run.time_s, run.channels)};
    const RunEntry entry{.id = newRunId(),
                         .name = run.name,
                         .started = run.started,
                         .source_file = run.file,
                         .rows_refused = run.rows_refused,
                         .conversion = added.conversion,
                         .batch_file = run.batch.file,
                         .batch_toml = std::move(*batch_toml)};
    return state_->writing([&]() -> Result<Added> {
        Result<std::optional<Added>> there = takeBack(database, content.content_hash);
        if (!there || *there) {
            return there ? Result<Added>(**there) : tl::unexpected(std::move(there.error()));
        }
        const Result<std::int64_t> number = insertRun(database, entry);
        if (!number) {
            return tl::unexpected(number.error());
        }
        return writeChannels(database, *number, run.channels)
            .and_then([&] { return writeNotes(database, *number, notes); })
            .and_then([&] { return writeRemarks(database, *number, added.remarks); })
            .and_then([&] { return writePhotos(database, *number, added.photos); })
            .and_then([&] { return writeSamples(database, *number, run.time_s, run.channels, progress, stop); })
            .and_then([&] { return setContent(database, *number, content); })
            .and_then([&] { return sealNotes(database, *number); })
            .map([&] { return Added{.id = entry.id}; });
    });
}

Result<void> Book::setNotes(const RunId& id, const Notes& notes) {
    const Database& database = state_->database;
    if (Result<void> sound = checkNotes(notes, path()); !sound) {
        return sound;
    }
    const Result<std::string> batch_toml = batchText(notes.batch, path());
    if (!batch_toml) {
        return tl::unexpected(batch_toml.error());
    }
    return state_->writing([&]() -> Result<void> {
        const Result<FullRow> before = readRow(database, id);
        if (!before) {
            return tl::unexpected(before.error());
        }
        return updateRun(database, *before, notes, *batch_toml)
            .and_then([&] { return writeNotes(database, before->number, notes); })
            .and_then([&] { return sealNotes(database, before->number); });
    });
}

Result<void> Book::setWithdrawn(const RunId& id, bool withdrawn) {
    return state_->writing([&] {
        return numberOf(state_->database, id).and_then([&](std::int64_t number) {
            return state_->database.run("UPDATE run SET withdrawn = ? WHERE id = ?", withdrawn, number).and_then([&] {
                return sealNotes(state_->database, number);
            });
        });
    });
}

Result<void> Book::keepFindings(const RunId& id, int analysis_version, std::string_view json) {
    return state_->writing([&] {
        return numberOf(state_->database, id).and_then([&](std::int64_t number) {
            return state_->database.run("INSERT OR REPLACE INTO findings(run, version, json) VALUES (?, ?, ?)", number,
                                        analysis_version, json);
        });
    });
}

Result<std::vector<RefusedLine>> Book::refusedLines(const RunId& id) {
    const Database& database = state_->database;
    return numberOf(database, id).and_then([&](std::int64_t number) -> Result<std::vector<RefusedLine>> {
        Statement rows =
            database.statement("SELECT time_s, line, reason FROM refused_line WHERE run = ? ORDER BY id", number);
        std::vector<RefusedLine> lines;
        Result<bool> next = rows.step();
        for (; next && *next; next = rows.step()) {
            lines.push_back({.time_s = rows.number(0), .line = std::string(rows.bytes(1)), .reason = rows.text(2)});
        }
        return next.map([&](bool) { return std::move(lines); });
    });
}

Result<std::vector<std::string>> Book::photoNames(const RunId& id) {
    return state_->reading([&] {
        return numberOf(state_->database, id).and_then([&](std::int64_t number) {
            return readPhotoNames(state_->database, number);
        });
    });
}

Result<Photo> Book::photo(const RunId& id, const std::string& name) {
    return state_->reading([&] {
        return numberOf(state_->database, id).and_then([&](std::int64_t number) {
            return readPhoto(state_->database, number, name);
        });
    });
}

Result<void> Book::setPhoto(const RunId& id, const Photo& photo) {
    return state_->writing([&] {
        return numberOf(state_->database, id).and_then([&](std::int64_t number) {
            return writePhotos(state_->database, number, {photo});
        });
    });
}

Result<void> Book::removePhoto(const RunId& id, const std::string& name) {
    return state_->writing([&] {
        return numberOf(state_->database, id).and_then([&](std::int64_t number) {
            return state_->database.run("DELETE FROM photo WHERE run = ? AND name = ?", number, name);
        });
    });
}

Result<std::vector<std::string>> Book::check(const Progress& progress, std::stop_token stop) {
    return checkBook(state_->database, progress, stop);
}

Result<void> Book::copyTo(const std::string& path) {
    return copyBook(state_->database, path);
}

} // namespace potwatch::book
