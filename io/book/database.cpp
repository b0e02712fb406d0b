// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/database.h"

#include "io/book/holder.h"

#include <fmt/format.h>

#include <bit>
#include <chrono>
#include <filesystem>
#include <limits>
#include <new>
#include <sqlite3.h>
#include <system_error>
#include <utility>

namespace potwatch::book {
namespace {

// Another program's commit takes milliseconds, its import of a long recording some seconds.
constexpr int patience_ms = 3000;

// How many steps of SQLite's virtual machine pass between two looks at a stop token: well under a millisecond.
constexpr int steps_between_looks = 2000;

constexpr int no_fault = SQLITE_OK;

// SQLite takes names such as ":memory:" and "file:..." in a special way; a full path is none of these.
std::string fullPath(const std::string& path) {
    std::error_code ignored;
    const std::filesystem::path full = std::filesystem::absolute(path, ignored);
    return full.empty() ? path : full.lexically_normal().string();
}

std::string asUri(const std::string& path, std::string_view parameters) {
    std::string uri = "file:";
    for (const char c : path) {
        const bool special = c == '?' || c == '#' || c == '%';
        uri += special ? fmt::format("%{:02X}", static_cast<unsigned char>(c)) : std::string(1, c);
    }
    return uri + "?" + std::string(parameters);
}

int lookForStop(void* stop) {
    return static_cast<const std::stop_token*>(stop)->stop_requested() ? 1 : 0;
}

} // namespace

void Statement::Finalize::operator()(sqlite3_stmt* statement) const {
    sqlite3_finalize(statement);
}

Statement::Statement(const Database& database, std::string_view sql)
    : database_(&database) {
    sqlite3_stmt* made = nullptr;
    note(sqlite3_prepare_v2(database.handle(), sql.data(), static_cast<int>(sql.size()), &made, nullptr));
    statement_.reset(made);
}

void Statement::note(int code) {
    if (code_ == no_fault) {
        code_ = code;
    }
}

Result<bool> Statement::step() {
    if (code_ != no_fault) {
        return tl::unexpected(database_->faultOf(code_));
    }
    const int code = sqlite3_step(statement_.get());
    if (code == SQLITE_ROW || code == SQLITE_DONE) {
        return code == SQLITE_ROW;
    }
    Fault fault = database_->faultOf(code);
    sqlite3_reset(statement_.get());
    return tl::unexpected(std::move(fault));
}

Result<void> Statement::run() {
    Result<bool> row = true;
    while (row && *row) {
        row = step();
    }
    if (!row) {
        return tl::unexpected(std::move(row.error()));
    }
    reset();
    return {};
}

void Statement::reset() {
    sqlite3_reset(statement_.get());
}

void Statement::bindInteger(int index, std::int64_t value) {
    note(sqlite3_bind_int64(statement_.get(), index, value));
}

void Statement::bind(int index, double value) {
    note(sqlite3_bind_double(statement_.get(), index, value));
}

void Statement::bind(int index, std::string_view text) {
    // A null pointer would bind NULL.
    const char* const data = text.data() == nullptr ? "" : text.data();
    note(sqlite3_bind_text64(statement_.get(), index, data, text.size(), SQLITE_TRANSIENT, SQLITE_UTF8));
}

void Statement::bind(int index, Blob blob) {
    const char* const data = blob.bytes.data() == nullptr ? "" : blob.bytes.data();
    note(sqlite3_bind_blob64(statement_.get(), index, data, blob.bytes.size(), SQLITE_TRANSIENT));
}

void Statement::bindColumn(int index, const Statement& row, int column) {
    note(sqlite3_bind_value(statement_.get(), index, sqlite3_column_value(row.statement_.get(), column)));
}

void Statement::bindNull(int index) {
    note(sqlite3_bind_null(statement_.get(), index));
}

bool Statement::isNull(int column) const {
    return sqlite3_column_type(statement_.get(), column) == SQLITE_NULL;
}

std::int64_t Statement::integer(int column) const {
    return sqlite3_column_int64(statement_.get(), column);
}

std::size_t Statement::count(int column) const {
    const std::int64_t value = integer(column);
    return value < 0 ? 0 : static_cast<std::size_t>(value);
}

double Statement::number(int column) const {
    return sqlite3_column_double(statement_.get(), column);
}

std::optional<double> Statement::optionalNumber(int column) const {
    return isNull(column) ? std::nullopt : std::optional(number(column));
}

std::string Statement::text(int column) const {
    const auto* const data = reinterpret_cast<const char*>(sqlite3_column_text(statement_.get(), column));
    const int size = sqlite3_column_bytes(statement_.get(), column);
    return data == nullptr ? std::string() : std::string(data, static_cast<std::size_t>(size));
}

std::string_view Statement::bytes(int column) const {
    const auto* const data = static_cast<const char*>(sqlite3_column_blob(statement_.get(), column));
    const int size = sqlite3_column_bytes(statement_.get(), column);
    return data == nullptr ? std::string_view() : std::string_view(data, static_cast<std::size_t>(size));
}

std::string Statement::exactly() const {
    std::string row;
    for (int column = 0; column < sqlite3_column_count(statement_.get()); ++column) {
        switch (sqlite3_column_type(statement_.get(), column)) {
        case SQLITE_NULL:
            row += "n;";
            break;
        case SQLITE_INTEGER:
            row += fmt::format("i{};", integer(column));
            break;
        case SQLITE_FLOAT:
            row += fmt::format("r{:016x};", std::bit_cast<std::uint64_t>(number(column)));
            break;
        default:
            row += fmt::format("t{}:", bytes(column).size());
            row += bytes(column);
        }
    }
    return row + "\n";
}

// Where another file stands under the name by now, the log there may be that file's: it is not this one's to take away.
void Database::Close::operator()(sqlite3* handle) const {
    int moved = 0;
    if (sqlite3_file_control(handle, "main", SQLITE_FCNTL_HAS_MOVED, &moved) == SQLITE_OK && moved != 0) {
        sqlite3_db_config(handle, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
    }
    sqlite3_close_v2(handle);
}

Database::Database(std::string path, sqlite3* handle)
    : path_(std::move(path))
    , handle_(handle) {}

Result<Database> Database::open(const std::string& path, OpenMode mode) {
    const std::string full = fullPath(path);
    const std::string name = mode == OpenMode::frozen ? asUri(full, "immutable=1") : full;
    int flags = SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
    switch (mode) {
    case OpenMode::read:
        flags |= SQLITE_OPEN_READONLY;
        break;
    case OpenMode::frozen:
        flags |= SQLITE_OPEN_READONLY | SQLITE_OPEN_URI;
        break;
    case OpenMode::write:
        flags |= SQLITE_OPEN_READWRITE;
        break;
    case OpenMode::create:
        flags |= SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE;
        break;
    }
    sqlite3* handle = nullptr;
    const int code = sqlite3_open_v2(name.c_str(), &handle, flags, nullptr);
    if (handle == nullptr) {
        throw std::bad_alloc();
    }
    Database database(path, handle);
    if (code != SQLITE_OK) {
        return tl::unexpected(database.faultOf(code));
    }
    sqlite3_busy_timeout(handle, patience_ms);
    // A book may come from anyone: nothing in its schema may act by itself.
    sqlite3_db_config(handle, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, nullptr);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_VIEW, 0, nullptr);
    return database;
}

bool Database::hasMoved() const {
    int moved = 0;
    return sqlite3_file_control(handle(), "main", SQLITE_FCNTL_HAS_MOVED, &moved) == SQLITE_OK && moved != 0;
}

void Database::standFor(std::string path, std::shared_ptr<const void> kept) {
    path_ = std::move(path);
    kept_ = std::move(kept);
}

void Database::leaveLog() {
    sqlite3_db_config(handle(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
}

bool Database::isReadOnly() const {
    return reads_only_ || sqlite3_db_readonly(handle(), "main") == 1;
}

Result<void> Database::allowReadingOnly() {
    reads_only_ = true;
    return script("PRAGMA query_only = ON");
}

Result<std::optional<std::int64_t>> Database::firstInteger(Statement statement) {
    return statement.step().map([&](bool row) -> std::optional<std::int64_t> {
        return row && !statement.isNull(0) ? std::optional(statement.integer(0)) : std::nullopt;
    });
}

Result<void> Database::script(const std::string& sql) const {
    const int code = sqlite3_exec(handle(), sql.c_str(), nullptr, nullptr, nullptr);
    return code == SQLITE_OK ? Result<void>() : tl::unexpected(faultOf(code));
}

std::int64_t Database::lastRowId() const {
    return sqlite3_last_insert_rowid(handle());
}

std::int64_t Database::changes() const {
    return sqlite3_total_changes64(handle());
}

Database::StopWatch::StopWatch(const Database& database, std::stop_token stop)
    : database_(database)
    , stop_(std::move(stop)) {
    if (stop_.stop_possible()) {
        sqlite3_progress_handler(database_.handle(), steps_between_looks, lookForStop, &stop_);
    }
}

Database::StopWatch::~StopWatch() {
    sqlite3_progress_handler(database_.handle(), 0, nullptr, nullptr);
}

Fault Database::faultOf(int code) const {
    const auto fault = [&](FaultKind kind, std::string what, std::string remedy) {
        return Fault{.kind = kind, .what = std::move(what), .where = {.file = path_}, .remedy = std::move(remedy)};
    };
    const int system = sqlite3_system_errno(handle());
    const std::string reason = system != 0 ? std::generic_category().message(system) : sqlite3_errmsg(handle());
    switch (code & 0xFF) {
    case SQLITE_NOMEM:
        throw std::bad_alloc();
    case SQLITE_BUSY:
    case SQLITE_LOCKED: {
        const std::string who = describeHolder(path_);
        return fault(FaultKind::storage, fmt::format("is held locked by {}", who.empty() ? "another program" : who),
                     "try again once that program is done with it, or close it");
    }
    case SQLITE_FULL:
        return fault(FaultKind::storage, "cannot be written: the disk is full",
                     "make room and try again; the book is as it was before");
    case SQLITE_READONLY:
        return fault(FaultKind::storage, "may be read, but not changed",
                     "allow writing to the file and to its folder, or copy the book elsewhere");
    case SQLITE_PERM:
    case SQLITE_CANTOPEN:
        return fault(FaultKind::storage, "cannot be opened: " + reason,
                     "check that its folder is there and that both may be read and written");
    case SQLITE_CORRUPT:
        return damagedFault(path_, "is damaged");
    case SQLITE_NOTADB:
        return fault(FaultKind::input, "is no batch book",
                     "choose a book (its name ends in .potbook); a table is put into a book with `potwatch book BOOK "
                     "import FILE`");
    case SQLITE_INTERRUPT:
        return stoppedFault(path_);
    case SQLITE_ERROR:
    case SQLITE_CONSTRAINT:
    case SQLITE_MISMATCH:
    case SQLITE_SCHEMA:
    case SQLITE_TOOBIG:
        return damagedFault(path_, std::string("does not hold what a book must hold: ") + sqlite3_errmsg(handle()));
    default:
        return fault(FaultKind::storage, "cannot be read or written: " + reason,
                     "check the disk; the book is as it was before");
    }
}

Transaction::Transaction(const Database& database, Kind kind)
    : database_(&database)
    , kind_(kind) {}

Transaction::Transaction(Transaction&& other) noexcept
    : database_(std::exchange(other.database_, nullptr))
    , kind_(other.kind_) {}

Result<Transaction> Transaction::begin(const Database& database, Kind kind) {
    return database.script(kind == Kind::write ? "BEGIN IMMEDIATE" : "BEGIN").map([&] {
        return Transaction(database, kind);
    });
}

// A book of an older format, and a database in the making, have no mark.
Result<void> Transaction::renewMark() const {
    return database_->integer("SELECT 1 FROM sqlite_schema WHERE name = 'mark'")
        .and_then([&](std::optional<std::int64_t> is_there) {
            return is_there ? database_->run("UPDATE mark SET previous = token, token = random()") : Result<void>();
        });
}

Result<void> Transaction::commit() {
    Result<void> done = kind_ == Kind::write ? renewMark() : Result<void>();
    done = done.and_then([&] { return database_->script("COMMIT"); });
    if (done) {
        database_ = nullptr;
    }
    return done;
}

Transaction::~Transaction() {
    // SQLite takes back by itself after some faults; to ask once more does no harm then.
    if (database_ != nullptr && sqlite3_get_autocommit(database_->handle()) == 0) {
        sqlite3_exec(database_->handle(), "ROLLBACK", nullptr, nullptr, nullptr);
    }
}

Fault damagedFault(const std::string& path, const std::string& what) {
    return {.kind = FaultKind::input,
            .what = what,
            .where = {.file = path},
            .remedy = fmt::format("`potwatch book {} check --repaired COPY` saves what can still be read", path)};
}

Fault stoppedFault(const std::string& path) {
    return {.kind = FaultKind::cancelled,
            .what = "stopped; the book is as it was before",
            .where = {.file = path},
            .remedy = {}};
}

std::int64_t utcNowUs() {
    return std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::system_clock::now().time_since_epoch())
        .count();
}

} // namespace potwatch::book
