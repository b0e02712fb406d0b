// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/batch_file.h"
#include "io/book/belonging.h"
#include "io/book/book.h"
#include "io/book/chunk.h"
#include "io/book/first_page.h"
#include "io/book/holder.h"
#include "io/book/notes_hash.h"
#include "io/book/opening.h"
#include "io/book/run_id.h"
#include "io/book/salvage.h"
#include "io/book/salvaged_samples.h"

#include <fmt/format.h>

#include <array>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <system_error>
#include <utility>

namespace potwatch::book {
namespace {

constexpr const char* run_columns =
    "uuid, name, received_name, started_us, started_offset_s, received_started_us, received_started_offset_s, "
    "added_us, "
    "state, withdrawn, source_file, rows_refused, thermocouple, cold_junction, batch_file, batch_toml";
constexpr int run_column_count = 16;
enum RunColumn { uuid_column = 0, name_column = 1, state_column = 8, batch_column = 15 };

// Tables whose rows are copied as they are; the first column is the run's number.
struct Plain {
    const char* table;
    const char* columns;
    int count;
    const char* singular;
    const char* plural;
};
constexpr std::array<Plain, 7> plain_tables{
    {{"remark", "run, text", 2, "remark of the importer", "remarks of the importer"},
     {"event", "run, position, time_s, kind, text, withdrawn", 6, "event", "events"},
     {"landmark_override", "run, landmark, time_s", 3, "landmark put by hand", "landmarks put by hand"},
     {"annotation", "run, kind, pane, time_s, value, to_time_s, to_value, text", 8, "annotation", "annotations"},
     {"tag", "run, text", 2, "tag", "tags"},
     {"refused_line", "run, time_s, line, reason", 4, "refused line", "refused lines"},
     {"photo", "run, name, media_type, crc32, data", 5, "photo", "photos"}}};

std::string counted(std::size_t count, const char* singular, const char* plural) {
    return fmt::format("{} {}", count, count == 1 ? singular : plural);
}

std::string placeholders(int count) {
    std::string marks = "?";
    for (int i = 1; i < count; ++i) {
        marks += ", ?";
    }
    return marks;
}

// Copies what can be read of one database into another, run by run.
class Repair {
public:
    Repair(const Database& from, const Database& to)
        : from_(from)
        , to_(to) {}

    [[nodiscard]] Result<std::vector<std::string>> all() {
        Result<Transaction> transaction = Transaction::begin(to_, Transaction::Kind::write);
        if (!transaction) {
            return tl::unexpected(std::move(transaction.error()));
        }
        return copyRuns()
            .and_then([&] { return copySamples(); })
            .and_then([&] { return copyPlainTables(); })
            .and_then([&] { return copyFindings(); })
            .and_then([&] { return seal(); })
            .and_then([&] { return transaction->commit(); })
            .map([&] {
                said_.insert(said_.begin(), counted(names_.size(), "run was saved", "runs were saved"));
                return std::move(said_);
            });
    }

private:
    // A fault of the new book ends the repair; a row that it does not take is a row lost.
    [[nodiscard]] bool took(const Result<void>& done, std::size_t& lost) {
        if (!done && done.error().kind != FaultKind::input) {
            fatal_ = done.error();
        }
        lost += done ? 0U : 1U;
        return done.has_value();
    }
    [[nodiscard]] Result<void> outcome() const {
        return fatal_ ? Result<void>(tl::unexpected(*fatal_)) : Result<void>();
    }

    Result<void> copyRuns() {
        std::size_t refused = 0;
        Statement insert = to_.statement(
            fmt::format("INSERT INTO run(id, {}) VALUES (?, {})", run_columns, placeholders(run_column_count)));
        const std::size_t lost =
            SalvagedTable(from_, "run", run_columns).forEach([&](std::int64_t number, const Statement& row) {
                insert.bindAll(number);
                for (int column = 0; column < run_column_count; ++column) {
                    insert.bindColumn(column + 2, row, column);
                }
                const std::string name = row.text(name_column);
                if (!isRunId(row.text(uuid_column))) {
                    insert.bind(uuid_column + 2, newRunId());
                }
                if (row.text(state_column) == "recording") {
                    insert.bind(state_column + 2, std::string_view("recovered"));
                }
                if (!batch::readText(row.text(batch_column), name)) {
                    insert.bind(batch_column + 2, std::string_view());
                    said_.push_back(fmt::format("run \"{}\": its batch data are lost", name));
                }
                if (took(insert.run(), refused)) {
                    names_[number] = name;
                }
            });
        if (lost + refused > 0) {
            said_.push_back(counted(lost + refused, "run has lost its name and batch data",
                                    "runs have lost their names and batch data"));
        }
        return outcome();
    }

    // A run whose row is lost, but not its samples.
    void addNameless(std::int64_t number) {
        const std::string name = fmt::format("nameless run {}", number);
        std::size_t refused = 0;
        if (took(
                to_.run("INSERT INTO run(id, uuid, name, received_name, added_us, state, source_file) VALUES (?, ?, ?, "
                        "?, ?, 'recovered', '')",
                        number, newRunId(), name, name, utcNowUs()),
                refused)) {
            names_[number] = name;
        }
    }

    Result<void> copySamples() {
        std::map<std::int64_t, SalvagedRun> runs = salvageSamples(from_, said_);
        Statement stated = from_.statement("SELECT samples FROM run NOT INDEXED WHERE rowid = ?");
        for (const auto& named : names_) {
            SalvagedRun& run = runs[named.first];
            stated.bindAll(named.first);
            if (const Result<bool> found = stated.step(); found && *found) {
                run.stated = stated.count(0);
            }
            stated.reset();
        }
        for (auto& entry : runs) {
            const bool holds_samples = !entry.second.pieces.empty() || !entry.second.tail.empty();
            if (!names_.contains(entry.first) && holds_samples) {
                addNameless(entry.first);
            }
            if (!names_.contains(entry.first)) {
                continue;
            }
            const Result<bool> whole = writeSalvaged(from_, to_, entry.first, names_[entry.first], entry.second, said_);
            if (!whole) {
                return tl::unexpected(whole.error());
            }
            if (*whole) {
                whole_.insert(entry.first);
            }
        }
        return outcome();
    }

    Result<void> copyPlainTables() {
        for (const Plain& plain : plain_tables) {
            const std::string table = plain.table;
            std::size_t refused = 0;
            Statement insert = to_.statement(
                fmt::format("INSERT INTO {}(id, {}) VALUES (?, {})", table, plain.columns, placeholders(plain.count)));
            const std::size_t lost =
                SalvagedTable(from_, table, plain.columns).forEach([&](std::int64_t number, const Statement& row) {
                    if (!names_.contains(row.integer(0)) ||
                        (table == "photo" && static_cast<std::uint32_t>(row.integer(3)) != crc32Of(row.bytes(4)))) {
                        ++refused;
                        return;
                    }
                    insert.bindAll(number);
                    for (int column = 0; column < plain.count; ++column) {
                        insert.bindColumn(column + 2, row, column);
                    }
                    (void)took(insert.run(), refused);
                });
            if (lost + refused > 0) {
                said_.push_back(fmt::format("{} lost", counted(lost + refused, plain.singular, plain.plural)));
            }
            if (fatal_) {
                break;
            }
        }
        return outcome();
    }

    // Only where no sample is lost: others will be found again.
    Result<void> copyFindings() {
        std::size_t refused = 0;
        (void)SalvagedTable(from_, "findings", "version, json").forEach([&](std::int64_t number, const Statement& row) {
            if (whole_.contains(number)) {
                (void)took(to_.run("INSERT INTO findings(run, version, json) VALUES (?, ?, ?)", number, row.integer(0),
                                   row.text(1)),
                           refused);
            }
        });
        return outcome();
    }

    Result<void> seal() {
        Result<void> done;
        for (const auto& named : names_) {
            done = done.and_then([&] { return sealNotes(to_, named.first); });
        }
        return done;
    }

    const Database& from_;
    const Database& to_;
    std::map<std::int64_t, std::string> names_; // of the runs that are in the new book
    std::set<std::int64_t> whole_;              // those that lost no sample
    std::vector<std::string> said_;
    std::optional<Fault> fatal_;
};

Result<Database> openDamaged(const std::string& path) {
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path, ignored)) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "there is no such book",
                                    .where = {.file = path},
                                    .remedy = "check its name"});
    }
    Result<Database> database = Database::open(path, OpenMode::read);
    Result<Marks> marks = database ? marksOf(*database) : tl::unexpected(database.error());
    if (!marks && marks.error().kind == FaultKind::storage) {
        database = Database::open(path, OpenMode::frozen);
        marks = database ? marksOf(*database) : tl::unexpected(database.error());
    }
    if (!marks) {
        Fault fault = marks.error();
        fault.what = "nothing in it can be read: " + fault.what;
        fault.remedy = "take the latest copy of the book that you have";
        return tl::unexpected(std::move(fault));
    }
    if (marks->application != application_id) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "is no batch book",
                                    .where = {.file = path},
                                    .remedy = "choose a book (its name ends in .potbook)"});
    }
    const auto latest = static_cast<std::int64_t>(migrations().size());
    if (marks->version > latest) {
        return tl::unexpected(newerFault(path, marks->version, latest));
    }
    return database;
}

// What is read in a damaged book's place, and what is to be said of it.
struct Source {
    std::shared_ptr<const BookCopy> copy; // null: the book itself
    std::string path;
    std::vector<std::string> said;
};

// With the log beside it where that is the book's own, and without it where it is not; nothing in either is changed.
Result<Source> sourceOf(const std::string& damaged) {
    std::error_code error;
    const std::string file = std::filesystem::weakly_canonical(damaged, error).string();
    Source source{.path = damaged};
    if (error || !std::filesystem::is_regular_file(file, error) || isHeldOpen(file)) {
        return source;
    }
    const Result<LogVerdict> verdict = judgeLog(file);
    if (!verdict) {
        return tl::unexpected(verdict.error());
    }
    if (verdict->kind == LogVerdict::Kind::nothing) {
        return source;
    }
    const bool is_own = verdict->kind == LogVerdict::Kind::own;
    if (!is_own) {
        source.said.emplace_back("the log beside it is not its own, or not sound: it was left out");
    } else if (verdict->isDamaged()) {
        source.said.push_back(fmt::format("the log beside it is damaged: {} of its {} changes are lost",
                                          verdict->log->changesLost(), verdict->log->changes()));
    }
    return BookCopy::make(file, is_own ? &*verdict->log : nullptr).map([&](std::shared_ptr<const BookCopy>&& copy) {
        source.path = copy->path();
        source.copy = std::move(copy);
        return std::move(source);
    });
}

bool needsNewFirstPage(const std::string& path) {
    std::error_code ignored;
    const Result<Database> opened = openDamaged(path);
    return !opened && opened.error().kind == FaultKind::input && std::filesystem::is_regular_file(path, ignored);
}

// A book whose first page cannot be read is read from a copy that has a new one.
Result<Source> withNewFirstPage(Source source) {
    Result<std::shared_ptr<const BookCopy>> copy = BookCopy::make(source.path, nullptr);
    if (!copy) {
        return tl::unexpected(std::move(copy.error()));
    }
    if (mendFirstPage((*copy)->path())) {
        source.path = (*copy)->path();
        source.copy = std::move(*copy);
        source.said.emplace_back("the first page of the file is damaged: it was made anew");
    }
    return source;
}

// The size that the file's own header states, in bytes; 0 where it states none.
// Source: the SQLite file format, 1.3: page size at byte 16 (1 stands for 65536), pages at byte 28, both big-endian.
std::uintmax_t statedSize(const std::string& path) {
    constexpr std::size_t header_bytes = 100;
    std::array<unsigned char, header_bytes> header{};
    std::ifstream stream(path, std::ios::binary);
    if (!stream.read(reinterpret_cast<char*>(header.data()), header_bytes)) {
        return 0;
    }
    const auto at = [&](std::size_t byte) { return static_cast<std::uintmax_t>(header.at(byte)); };
    const std::uintmax_t page = (at(16) << 8U) | at(17);
    const std::uintmax_t pages = (at(28) << 24U) | (at(29) << 16U) | (at(30) << 8U) | at(31);
    return (page == 1 ? 65'536 : page) * pages;
}

// A book whose end is cut off is read from a copy that is filled up with empty pages: SQLite opens no file that is
// shorter than its header says. The copy goes when this goes.
class FilledUp {
public:
    FilledUp(const std::string& cut, std::string copy)
        : path_(std::move(copy)) {
        constexpr std::uintmax_t largest = std::uintmax_t{1} << 40U; // a header that states more is itself damaged
        std::error_code error;
        const std::uintmax_t there = std::filesystem::file_size(cut, error);
        const std::uintmax_t stated = error ? 0 : statedSize(cut);
        if (stated <= there || stated > largest || std::filesystem::exists(path_, error)) {
            return;
        }
        made_ = std::filesystem::copy_file(cut, path_, error);
        if (made_) {
            std::filesystem::resize_file(path_, stated, error);
        }
        usable_ = made_ && !error;
        share_ = static_cast<double>(there) / static_cast<double>(stated);
    }
    FilledUp(const FilledUp&) = delete;
    FilledUp& operator=(const FilledUp&) = delete;
    ~FilledUp() {
        for (const char* const part : {"", "-wal", "-shm"}) {
            std::error_code ignored;
            if (made_) {
                std::filesystem::remove(path_ + part, ignored);
            }
        }
    }

    [[nodiscard]] bool isUsable() const { return usable_; }
    [[nodiscard]] const std::string& path() const { return path_; }
    [[nodiscard]] std::string said() const {
        return fmt::format("the file is cut off: {:.0f} % of it are there", 100.0 * share_);
    }

private:
    std::string path_;
    bool made_ = false;
    bool usable_ = false;
    double share_ = 1.0;
};

} // namespace

Result<std::vector<std::string>> repairedCopy(const std::string& damaged, const std::string& to) {
    std::error_code ignored;
    if (std::filesystem::exists(to, ignored)) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "is there already",
                                    .where = {.file = to},
                                    .remedy = "choose another name for the repaired copy"});
    }
    Result<Source> source = sourceOf(damaged);
    if (!source) {
        return tl::unexpected(std::move(source.error()));
    }
    std::optional<FilledUp> filled_up(std::in_place, source->path, to + "-filled-up");
    const auto readable = [&] { return filled_up->isUsable() ? filled_up->path() : source->path; };
    if (needsNewFirstPage(readable())) {
        source = withNewFirstPage(std::move(*source));
        if (!source) {
            return tl::unexpected(std::move(source.error()));
        }
        filled_up.reset(); // before the next takes its name
        filled_up.emplace(source->path, to + "-filled-up");
    }
    const Result<Database> from = openDamaged(readable());
    if (!from) {
        Fault fault = from.error();
        fault.where.file = damaged;
        return tl::unexpected(std::move(fault));
    }
    Result<std::vector<std::string>> said =
        openDatabase(to, Access::create, migrations()).and_then([&](const OpenedDatabase& opened) {
            return Repair(*from, opened.database).all();
        });
    if (said && filled_up->isUsable()) {
        said->insert(said->begin(), filled_up->said());
    }
    if (said) {
        said->insert(said->begin(), source->said.begin(), source->said.end());
    }
    if (!said) {
        for (const char* const part : {"", "-wal", "-shm"}) {
            std::filesystem::remove(to + part, ignored);
        }
    }
    return said;
}

} // namespace potwatch::book
