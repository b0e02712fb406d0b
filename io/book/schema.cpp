// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/schema.h"

#include <fmt/format.h>

#include <array>

namespace potwatch::book {
namespace {

// Tables with a rowid throughout: a table WITHOUT ROWID would drag the blobs along in every scan.
constexpr const char* version_1 = R"sql(
CREATE TABLE run(
    id INTEGER PRIMARY KEY,
    uuid TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    received_name TEXT NOT NULL,
    started_us INTEGER,
    started_offset_s INTEGER,
    received_started_us INTEGER,
    received_started_offset_s INTEGER,
    added_us INTEGER NOT NULL,
    state TEXT NOT NULL CHECK(state IN ('recording', 'complete', 'recovered')),
    withdrawn INTEGER NOT NULL DEFAULT 0,
    source_file TEXT NOT NULL,
    content_hash TEXT NOT NULL DEFAULT '',
    rows_refused INTEGER NOT NULL DEFAULT 0,
    samples INTEGER NOT NULL DEFAULT 0,
    span_s REAL NOT NULL DEFAULT 0,
    thermocouple TEXT NOT NULL DEFAULT '',
    cold_junction TEXT NOT NULL DEFAULT '',
    batch_file TEXT NOT NULL DEFAULT '',
    batch_toml TEXT NOT NULL DEFAULT '');
CREATE INDEX run_of_hash ON run(content_hash);

CREATE TABLE channel(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    number INTEGER NOT NULL CHECK(number >= 1),
    name TEXT NOT NULL,
    unit TEXT NOT NULL,
    UNIQUE(run, number));

CREATE TABLE chunk(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    number INTEGER NOT NULL CHECK(number >= 0),
    seq INTEGER NOT NULL CHECK(seq >= 0),
    count INTEGER NOT NULL CHECK(count BETWEEN 1 AND 4096),
    coding TEXT NOT NULL CHECK(coding IN ('raw', 'even')),
    crc32 INTEGER NOT NULL,
    least REAL,
    greatest REAL,
    data BLOB NOT NULL,
    UNIQUE(run, number, seq));

CREATE TABLE tail(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    row INTEGER NOT NULL,
    data BLOB NOT NULL,
    UNIQUE(run, row));

CREATE TABLE remark(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    text TEXT NOT NULL);
CREATE INDEX remark_of_run ON remark(run);

CREATE TABLE event(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    position INTEGER NOT NULL,
    time_s REAL NOT NULL,
    kind TEXT NOT NULL,
    text TEXT NOT NULL,
    withdrawn INTEGER NOT NULL DEFAULT 0);
CREATE INDEX event_of_run ON event(run);

CREATE TABLE landmark_override(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    landmark TEXT NOT NULL,
    time_s REAL NOT NULL,
    UNIQUE(run, landmark));

CREATE TABLE annotation(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    kind TEXT NOT NULL CHECK(kind IN ('text', 'arrow', 'span')),
    pane TEXT NOT NULL CHECK(pane IN ('temperature', 'rate', 'heat_flow', 'degree')),
    time_s REAL NOT NULL,
    value REAL NOT NULL,
    to_time_s REAL NOT NULL,
    to_value REAL NOT NULL,
    text TEXT NOT NULL);
CREATE INDEX annotation_of_run ON annotation(run);

CREATE TABLE tag(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    text TEXT NOT NULL);
CREATE INDEX tag_of_run ON tag(run);

CREATE TABLE photo(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    name TEXT NOT NULL,
    media_type TEXT NOT NULL,
    crc32 INTEGER NOT NULL,
    data BLOB NOT NULL,
    UNIQUE(run, name));

CREATE TABLE findings(
    run INTEGER PRIMARY KEY REFERENCES run(id),
    version INTEGER NOT NULL,
    json TEXT NOT NULL);
)sql";

// What a device sent and the recorder did not understand.
constexpr const char* version_2 = R"sql(
CREATE TABLE refused_line(
    id INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES run(id),
    time_s REAL NOT NULL,
    line BLOB NOT NULL,
    reason TEXT NOT NULL);
CREATE INDEX refused_line_of_run ON refused_line(run);
)sql";

// `mark` is drawn anew by each change, so that a log can be known to go on from this very book (belonging.h);
// `notes_hash` lets a check see that notes were changed behind the program's back.
constexpr const char* version_3 = R"sql(
CREATE TABLE mark(
    id INTEGER PRIMARY KEY CHECK(id = 1),
    token INTEGER NOT NULL,
    previous INTEGER NOT NULL);
INSERT INTO mark VALUES (1, random(), random());
ALTER TABLE run ADD COLUMN notes_hash TEXT NOT NULL DEFAULT '';
)sql";

// The book's own record of the steps it went through.
constexpr const char* migration_table = "CREATE TABLE IF NOT EXISTS migration(version INTEGER PRIMARY KEY, applied_us "
                                        "INTEGER NOT NULL, what TEXT NOT NULL)";

} // namespace

std::span<const Migration> migrations() {
    static const std::array<Migration, 3> steps{{{.what = "the first format", .sql = version_1},
                                                 {.what = "lines that a recorder refused", .sql = version_2},
                                                 {.what = "marks of its log and its notes", .sql = version_3}}};
    return steps;
}

Result<Marks> marksOf(const Database& database) {
    Marks marks;
    const auto read = [&](const char* sql, std::int64_t& into) {
        return database.integer(sql).map([&](std::optional<std::int64_t> value) { into = value.value_or(0); });
    };
    std::int64_t tables = 0;
    for (const Result<void>& done :
         {read("PRAGMA application_id", marks.application), read("PRAGMA user_version", marks.version),
          read("SELECT count(*) FROM sqlite_master", tables)}) {
        if (!done) {
            return tl::unexpected(done.error());
        }
    }
    marks.is_empty = tables == 0;
    return marks;
}

Fault newerFault(const std::string& path, std::int64_t version, std::int64_t latest) {
    return {.kind = FaultKind::unsupported,
            .what =
                fmt::format("is a book of format {}, newer than this program, which knows format {}", version, latest),
            .where = {.file = path},
            .remedy = "open it with a newer Potwatch; it was left as it is"};
}

Result<void> bringUpToDate(const Database& database, std::span<const Migration> steps) {
    Result<Transaction> transaction = Transaction::begin(database, Transaction::Kind::write);
    if (!transaction) {
        return tl::unexpected(transaction.error());
    }
    const Result<Marks> marks = marksOf(database); // again: another program may have been quicker
    if (!marks) {
        return tl::unexpected(marks.error());
    }
    const auto latest = static_cast<std::int64_t>(steps.size());
    if (marks->version > latest) {
        return tl::unexpected(newerFault(database.path(), marks->version, latest));
    }
    if (marks->version < 0) {
        return tl::unexpected(damagedFault(database.path(), fmt::format("states format {}", marks->version)));
    }
    if (marks->version == latest) {
        return {};
    }
    Result<void> done = database.script(migration_table);
    for (std::int64_t version = marks->version + 1; done && version <= latest; ++version) {
        const Migration& step = steps[static_cast<std::size_t>(version - 1)];
        done = database.script(step.sql);
        if (done) {
            done = database.run("INSERT INTO migration VALUES (?, ?, ?)", version, utcNowUs(), step.what);
        }
    }
    if (done) {
        done = database.script(
            fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {}", application_id, latest));
    }
    return done ? transaction->commit() : done;
}

} // namespace potwatch::book
