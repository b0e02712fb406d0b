// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/run_writer.h"

#include "io/book/content_hash.h"
#include "io/book/lease.h"
#include "io/book/notes.h"
#include "io/book/notes_hash.h"
#include "io/book/opening.h"
#include "io/book/run_id.h"
#include "io/book/run_row.h"
#include "io/book/samples.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <system_error>
#include <utility>

namespace potwatch::book {
namespace {

using Scans = std::vector<std::vector<double>>; // a vector a column, times first

std::size_t lengthOf(const Scans& scans) {
    return scans.front().size();
}

void dropFirst(Scans& scans, std::size_t count) {
    for (std::vector<double>& column : scans) {
        column.erase(column.begin(), column.begin() + static_cast<std::ptrdiff_t>(count));
    }
}

struct EventChange {
    Event event;
    bool withdraws = false;
};

struct Restatement {
    Batch batch;
    std::string batch_toml;
};

Result<void> apply(const Database& database, std::int64_t run, const EventChange& change, double origin_s) {
    const Event& event = change.event;
    const double time_s = event.time_s - origin_s;
    if (change.withdraws) {
        return database.run("UPDATE event SET withdrawn = 1 WHERE id = (SELECT max(id) FROM event WHERE run = ? AND "
                            "time_s = ? AND kind = ? AND text = ? AND NOT withdrawn)",
                            run, time_s, event.kind, event.text);
    }
    return database.run("INSERT INTO event(run, position, time_s, kind, text) VALUES (?, (SELECT "
                        "coalesce(max(position) + 1, 0) FROM event WHERE run = ?), ?, ?, ?)",
                        run, run, time_s, event.kind, event.text);
}

Fault inputFault(const std::string& path, std::string what, std::string remedy) {
    return {.kind = FaultKind::input, .what = std::move(what), .where = {.file = path}, .remedy = std::move(remedy)};
}

// Copies all that is in the book of one run into another book, which has no run of that number.
Result<void> copyRun(const Database& from, std::int64_t run, const std::string& to) {
    struct Table {
        const char* name;
        const char* column; // that holds the run's number
    };
    constexpr std::array<Table, 12> tables{{{"run", "id"},
                                            {"channel", "run"},
                                            {"chunk", "run"},
                                            {"tail", "run"},
                                            {"remark", "run"},
                                            {"event", "run"},
                                            {"landmark_override", "run"},
                                            {"annotation", "run"},
                                            {"tag", "run"},
                                            {"photo", "run"},
                                            {"findings", "run"},
                                            {"refused_line", "run"}}};
    std::error_code ignored;
    Result<void> done = from.run("ATTACH ? AS beside", std::filesystem::absolute(to, ignored).string());
    if (!done) {
        return done;
    }
    done = from.script("BEGIN");
    for (const Table& table : tables) {
        done = done.and_then([&] {
            return from.run(
                fmt::format("INSERT INTO beside.{0} SELECT * FROM main.{0} WHERE {1} = ?", table.name, table.column),
                run);
        });
    }
    done = done.and_then([&] { return from.script("COMMIT"); });
    if (!done) {
        (void)from.script("ROLLBACK");
    }
    (void)from.script("DETACH beside");
    return done;
}

// A book that was moved is made whole where it is now: its log stays behind under the old name.
void leaveBehind(Database& moved) {
    (void)moved.script("PRAGMA wal_checkpoint(TRUNCATE)");
    moved.leaveLog();
}

} // namespace

struct RunWriter::State {
    Database database;
    Lease lease;
    RunId id;
    std::int64_t run = 0;
    std::vector<Channel> channels;
    ContentHash hash;
    std::optional<double> origin_s; // the first scan's time
    Scans scans;                    // those that are in no chunk yet; the first `in_tail` of them are in the tail
    std::size_t in_tail = 0;
    std::size_t folded = 0; // scans in chunks
    double span_s = 0.0;
    std::vector<EventChange> events;     // that wait
    std::vector<RefusedLine> refused;    // that wait
    std::optional<Restatement> restated; // that waits
    bool is_ending = false;

    [[nodiscard]] std::size_t waitingScans() const { return lengthOf(scans) - in_tail; }

    // How many scans leave the tail for chunks: whole chunks while it goes on, all of them at the end.
    [[nodiscard]] std::size_t scansToFold() const {
        const std::size_t count = lengthOf(scans);
        return is_ending ? count : count - count % chunk_length;
    }

    [[nodiscard]] Result<void> writeChunks(std::size_t count) const {
        ChunkWriter writer(database, run);
        auto seq = static_cast<std::int64_t>(folded / chunk_length);
        for (std::size_t first = 0; first < count; first += chunk_length, ++seq) {
            const std::size_t length = std::min(chunk_length, count - first);
            for (std::size_t column = 0; column < scans.size(); ++column) {
                if (Result<void> done = writer.write(column, seq, std::span(scans[column]).subspan(first, length));
                    !done) {
                    return done;
                }
            }
        }
        return database.run("DELETE FROM tail WHERE run = ?", run).and_then([&] {
            return database.run("UPDATE run SET samples = ?, span_s = ? WHERE id = ?", folded + count, span_s, run);
        });
    }

    [[nodiscard]] Result<void> writeTail(std::size_t first) const {
        Statement insert = database.statement("INSERT INTO tail(run, row, data) VALUES (?, ?, ?)");
        std::vector<double> row(scans.size());
        for (std::size_t i = first; i < lengthOf(scans); ++i) {
            for (std::size_t column = 0; column < row.size(); ++column) {
                row[column] = scans[column][i];
            }
            insert.bindAll(run, folded + i,
                           Blob{{reinterpret_cast<const char*>(row.data()), row.size() * sizeof(double)}});
            if (Result<void> done = insert.run(); !done) {
                return done;
            }
        }
        return {};
    }

    [[nodiscard]] Result<void> writeEvents() const {
        for (const EventChange& change : events) {
            if (Result<void> done = apply(database, run, change, origin_s.value_or(0.0)); !done) {
                return done;
            }
        }
        return {};
    }

    [[nodiscard]] Result<void> writeRefused() const {
        if (refused.empty()) {
            return {};
        }
        Statement insert =
            database.statement("INSERT INTO refused_line(run, time_s, line, reason) VALUES (?, ?, ?, ?)");
        for (const RefusedLine& line : refused) {
            insert.bindAll(run, line.time_s - origin_s.value_or(0.0), Blob{line.line}, line.reason);
            if (Result<void> done = insert.run(); !done) {
                return done;
            }
        }
        return database.run("UPDATE run SET rows_refused = rows_refused + ? WHERE id = ?", refused.size(), run);
    }

    // Name and start follow the batch's, and are those received where it has none.
    [[nodiscard]] Result<void> writeBatch() const {
        if (!restated) {
            return {};
        }
        const Batch& batch = restated->batch;
        return database
            .run("UPDATE run SET batch_toml = ?, batch_file = ?, name = received_name, started_us = "
                 "received_started_us, started_offset_s = received_started_offset_s WHERE id = ?",
                 restated->batch_toml, batch.file, run)
            .and_then([&]() -> Result<void> {
                return batch.name.empty() ? Result<void>()
                                          : database.run("UPDATE run SET name = ? WHERE id = ?", batch.name, run);
            })
            .and_then([&]() -> Result<void> {
                return batch.started ? database.run("UPDATE run SET started_us = ?, started_offset_s = ? WHERE id = ?",
                                                    batch.started->utc_us, batch.started->offset_s, run)
                                     : Result<void>();
            });
    }

    // What is in memory changes only once the transaction is through.
    [[nodiscard]] Result<void> commit() {
        const bool notes_can_go = origin_s.has_value() || is_ending;
        const std::size_t fold = scansToFold();
        if (waitingScans() == 0 && fold == 0 && !restated && ((events.empty() && refused.empty()) || !notes_can_go)) {
            return {};
        }
        Result<Transaction> transaction = Transaction::begin(database, Transaction::Kind::write);
        if (!transaction) {
            return tl::unexpected(std::move(transaction.error()));
        }
        Result<void> done = fold > 0 ? writeChunks(fold) : Result<void>();
        done = done.and_then([&] { return writeTail(std::max(fold, in_tail)); });
        if (notes_can_go) {
            done = done.and_then([&] { return writeEvents(); }).and_then([&] { return writeRefused(); });
        }
        done = done.and_then([&] { return writeBatch(); }).and_then([&] { return transaction->commit(); });
        if (!done) {
            return done;
        }
        restated.reset();
        if (notes_can_go) {
            events.clear();
            refused.clear();
        }
        for (std::size_t column = 0; column < scans.size(); ++column) {
            hash.add(column, std::span(scans[column]).first(fold));
        }
        dropFirst(scans, fold);
        folded += fold;
        in_tail = lengthOf(scans);
        return {};
    }
};

bool RunWriter::hasMoved() const {
    return state_->database.hasMoved();
}

Result<void> RunWriter::goOnIn(const std::string& new_book) {
    State& state = *state_;
    Result<OpenedDatabase> opened = openDatabase(new_book, Access::create, migrations());
    Result<std::optional<Lease>> lease = opened ? Lease::take(new_book, state.id) : tl::unexpected(opened.error());
    Result<void> done = !lease   ? tl::unexpected(lease.error())
                        : *lease ? copyRun(state.database, state.run, new_book)
                                 : tl::unexpected(Fault{.kind = FaultKind::storage,
                                                        .what = "is in use",
                                                        .where = {.file = new_book},
                                                        .remedy = "record into another book"});
    if (!done) {
        if (lease && *lease) {
            (*lease)->release();
        }
        opened = tl::unexpected(Fault{}); // closed
        std::error_code ignored;
        for (const char* const part : {"", "-wal", "-shm", "-journal"}) {
            std::filesystem::remove(new_book + part, ignored);
        }
        return done;
    }
    const std::string left = state.database.path();
    const bool has_moved = hasMoved();
    if (has_moved) {
        leaveBehind(state.database);
    }
    state.database = std::move(opened->database);
    state.lease.release();
    state.lease = std::move(**lease);
    std::error_code error;
    if (has_moved && !std::filesystem::exists(left, error)) {
        std::filesystem::remove(left + "-wal", error);
        std::filesystem::remove(left + "-shm", error);
    }
    return {};
}

RunWriter::RunWriter(std::unique_ptr<State> state)
    : state_(std::move(state)) {}
RunWriter::RunWriter(RunWriter&&) noexcept = default;
RunWriter& RunWriter::operator=(RunWriter&&) noexcept = default;
RunWriter::~RunWriter() = default;

Result<StartedRecording> RunWriter::start(const std::string& book, const NewRecording& recording) {
    Result<OpenedDatabase> opened = openDatabase(book, Access::create, migrations());
    if (!opened) {
        return tl::unexpected(std::move(opened.error()));
    }
    if (opened->database.isReadOnly()) {
        return tl::unexpected(Fault{.kind = FaultKind::storage,
                                    .what = "may be read, but not changed",
                                    .where = {.file = book},
                                    .remedy = "record into another book, or allow writing to this one"});
    }
    const Result<std::string> batch_toml = batchText(recording.batch, book);
    if (!batch_toml) {
        return tl::unexpected(batch_toml.error());
    }
    const RunId id = newRunId();
    Result<std::optional<Lease>> lease = Lease::take(book, id);
    if (!lease) {
        return tl::unexpected(std::move(lease.error()));
    }
    const std::size_t columns = recording.channels.size() + 1;
    auto state = std::make_unique<State>(State{.database = std::move(opened->database),
                                               .lease = std::move(**lease),
                                               .id = id,
                                               .channels = recording.channels,
                                               .hash = ContentHash(columns),
                                               .scans = Scans(columns)});
    const Database& database = state->database;
    const RunEntry entry{.id = id,
                         .name = recording.name,
                         .started = recording.started,
                         .state = RunState::recording,
                         .source_file = recording.source,
                         .conversion = recording.conversion,
                         .batch_file = recording.batch.file,
                         .batch_toml = *batch_toml};
    Result<void> done = Transaction::begin(database, Transaction::Kind::write).and_then([&](Transaction&& transaction) {
        return insertRun(database, entry)
            .map([&](std::int64_t number) { state->run = number; })
            .and_then([&] { return writeChannels(database, state->run, recording.channels); })
            .and_then(
                [&] { return writeNotes(database, state->run, {.batch = recording.batch, .tags = recording.tags}); })
            .and_then([&] { return transaction.commit(); });
    });
    if (!done) {
        state->lease.release();
        return tl::unexpected(std::move(done.error()));
    }
    return StartedRecording{.writer = RunWriter(std::move(state)), .notices = std::move(opened->notices)};
}

const RunId& RunWriter::id() const {
    return state_->id;
}

Result<void> RunWriter::append(double time_s, std::span<const double> values) {
    State& state = *state_;
    if (state.is_ending) {
        return tl::unexpected(inputFault(state.database.path(), "the run is ended", "start another one"));
    }
    if (values.size() + 1 != state.scans.size()) {
        return tl::unexpected(
            inputFault(state.database.path(),
                       fmt::format("a scan of {} values came for {} channels", values.size(), state.scans.size() - 1),
                       "check what the device sends"));
    }
    if (!state.origin_s) {
        state.origin_s = time_s;
    }
    state.scans[0].push_back(time_s - *state.origin_s);
    state.span_s = std::max(state.span_s, state.scans[0].back());
    for (std::size_t i = 0; i < values.size(); ++i) {
        state.scans[i + 1].push_back(values[i]);
    }
    return {};
}

void RunWriter::add(const Event& event) {
    state_->events.push_back({.event = event});
}

void RunWriter::withdraw(const Event& event) {
    state_->events.push_back({.event = event, .withdraws = true});
}

Result<void> RunWriter::restate(const Batch& batch) {
    return batchText(batch, state_->database.path()).map([&](std::string&& text) {
        state_->restated = Restatement{.batch = batch, .batch_toml = std::move(text)};
    });
}

void RunWriter::refuse(RefusedLine line) {
    state_->refused.push_back(std::move(line));
}

Result<void> RunWriter::commit() {
    return state_->commit();
}

Result<void> RunWriter::end() {
    State& state = *state_;
    state.is_ending = true;
    std::vector<ContentHash::Title> titles;
    for (const Channel& channel : state.channels) {
        titles.push_back({.name = channel.name, .unit = channel.unit});
    }
    return state.commit()
        .and_then([&] { return Transaction::begin(state.database, Transaction::Kind::write); })
        .and_then([&](Transaction&& transaction) {
            return setContent(state.database, state.run,
                              {.samples = state.folded,
                               .span_s = state.span_s,
                               .content_hash = state.hash.text(titles),
                               .state = RunState::complete})
                .and_then([&] { return sealNotes(state.database, state.run); })
                .and_then([&] { return transaction.commit(); });
        })
        .map([&] { state.lease.release(); });
}

std::size_t RunWriter::committed() const {
    return state_->folded + state_->in_tail;
}

std::size_t RunWriter::waiting() const {
    return state_->waitingScans();
}

} // namespace potwatch::book
