// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <concepts>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>

struct sqlite3;
struct sqlite3_stmt;

namespace potwatch::book {

// Bytes for a BLOB column, as opposed to text.
struct Blob {
    std::string_view bytes;
};

class Database;

// One SQL statement with its values. What went wrong in preparing or binding is told by the first step().
// Must not outlive its database.
class Statement {
public:
    // True: there is a row. False: it is done.
    [[nodiscard]] Result<bool> step();
    // To its end, for what gives no rows; then ready for other values.
    [[nodiscard]] Result<void> run();
    void reset();

    template<std::integral T>
    void bind(int index, T value) {
        bindInteger(index, static_cast<std::int64_t>(value));
    }
    void bind(int index, double value);
    void bind(int index, std::string_view text);
    void bind(int index, Blob blob);
    template<class T>
    void bind(int index, const std::optional<T>& value) {
        value ? bind(index, *value) : bindNull(index);
    }
    void bindColumn(int index, const Statement& row, int column); // the same value, of the same type
    template<class... Values>
    void bindAll(const Values&... values) {
        int index = 0;
        (bind(++index, values), ...);
    }

    [[nodiscard]] bool isNull(int column) const;
    [[nodiscard]] std::int64_t integer(int column) const;
    [[nodiscard]] std::size_t count(int column) const; // 0 where it is negative
    [[nodiscard]] double number(int column) const;
    [[nodiscard]] std::optional<double> optionalNumber(int column) const;
    [[nodiscard]] std::string text(int column) const;
    [[nodiscard]] std::string_view bytes(int column) const; // until the next step
    // All columns of the row with their types and lengths, bit for bit: two rows give the same only if they are.
    [[nodiscard]] std::string exactly() const;

private:
    friend class Database;
    struct Finalize {
        void operator()(sqlite3_stmt* statement) const;
    };
    Statement(const Database& database, std::string_view sql);
    void bindInteger(int index, std::int64_t value);
    void bindNull(int index);
    void note(int code);

    const Database* database_;
    std::unique_ptr<sqlite3_stmt, Finalize> statement_;
    int code_ = 0; // of the first thing that went wrong
};

enum class OpenMode {
    read,
    frozen, // for reading, and taken not to change: needs no right to write beside it
    write,
    create
};

// A connection to one SQLite file. Threads: one at a time.
class Database {
public:
    // Opens without looking at the content yet.
    [[nodiscard]] static Result<Database> open(const std::string& path, OpenMode mode);

    [[nodiscard]] const std::string& path() const { return path_; }
    [[nodiscard]] bool isReadOnly() const;
    // Whether the file is no longer what stands under its name: deleted, moved, or another in its place.
    [[nodiscard]] bool hasMoved() const;
    // It is a copy of that book, and is named as the book is; `kept` goes when the connection is closed.
    void standFor(std::string path, std::shared_ptr<const void> kept);
    // The log beside it is left as it is when the connection is closed.
    void leaveLog();
    // From now on every change is refused.
    [[nodiscard]] Result<void> allowReadingOnly();

    template<class... Values>
    [[nodiscard]] Statement statement(std::string_view sql, const Values&... values) const {
        Statement made(*this, sql);
        made.bindAll(values...);
        return made;
    }
    template<class... Values>
    [[nodiscard]] Result<void> run(std::string_view sql, const Values&... values) const {
        return statement(sql, values...).run();
    }
    // The first column of the first row; nothing where there is no row or it is NULL.
    template<class... Values>
    [[nodiscard]] Result<std::optional<std::int64_t>> integer(std::string_view sql, const Values&... values) const {
        return firstInteger(statement(sql, values...));
    }
    [[nodiscard]] Result<void> script(const std::string& sql) const; // several statements

    [[nodiscard]] std::int64_t lastRowId() const;
    [[nodiscard]] std::int64_t changes() const; // rows changed through this connection so far

    // While it lives, statements of the connection end as cancelled soon after the stop was asked for.
    class StopWatch {
    public:
        StopWatch(const Database& database, std::stop_token stop);
        ~StopWatch();
        StopWatch(const StopWatch&) = delete;
        StopWatch& operator=(const StopWatch&) = delete;

    private:
        const Database& database_;
        std::stop_token stop_;
    };

    // What an SQLite result code means for the person.
    [[nodiscard]] Fault faultOf(int code) const;

    [[nodiscard]] sqlite3* handle() const { return handle_.get(); }

private:
    struct Close {
        void operator()(sqlite3* handle) const;
    };
    Database(std::string path, sqlite3* handle);
    [[nodiscard]] static Result<std::optional<std::int64_t>> firstInteger(Statement statement);

    std::string path_;
    std::shared_ptr<const void> kept_; // before the handle: it goes after it
    std::unique_ptr<sqlite3, Close> handle_;
    bool reads_only_ = false;
};

// What happens between begin() and commit() is kept as a whole or not at all; without commit() it is taken back.
class Transaction {
public:
    enum class Kind { read, write };
    [[nodiscard]] static Result<Transaction> begin(const Database& database, Kind kind);
    [[nodiscard]] Result<void> commit();

    ~Transaction();
    Transaction(Transaction&& other) noexcept;
    Transaction& operator=(Transaction&&) = delete;

private:
    Transaction(const Database& database, Kind kind);
    [[nodiscard]] Result<void> renewMark() const;

    const Database* database_; // null once it is over
    Kind kind_;
};

// The fault of a book in which something is not as it must be.
[[nodiscard]] Fault damagedFault(const std::string& path, const std::string& what);
[[nodiscard]] Fault stoppedFault(const std::string& path);

// Microseconds since 1970 on this machine's clock.
[[nodiscard]] std::int64_t utcNowUs();

} // namespace potwatch::book
