// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/copy.h"

#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <sqlite3.h>
#include <system_error>
#include <unistd.h>

namespace potwatch::book {
namespace {

// SQLite's own copying counts the journal's part in, which a copy of the file alone would miss.
Result<void> copyPages(const Database& from, const Database& to) {
    sqlite3_backup* const backup = sqlite3_backup_init(to.handle(), "main", from.handle(), "main");
    if (backup == nullptr) {
        return tl::unexpected(to.faultOf(sqlite3_errcode(to.handle())));
    }
    const int stepped = sqlite3_backup_step(backup, -1);
    const int finished = sqlite3_backup_finish(backup);
    if (stepped != SQLITE_DONE) {
        return tl::unexpected(to.faultOf(finished != SQLITE_OK ? finished : stepped));
    }
    return {};
}

} // namespace

Result<void> copyBook(const Database& database, const std::string& path) {
    std::error_code ignored;
    if (std::filesystem::exists(path, ignored)) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "is there already",
                                    .where = {.file = path},
                                    .remedy = "choose another name for the copy"});
    }
    const std::string temporary = fmt::format("{}.{}.part", path, ::getpid());
    std::filesystem::remove(temporary, ignored);
    Result<void> done = Database::open(temporary, OpenMode::create).and_then([&](const Database& copy) {
        return copyPages(database, copy);
    });
    if (done && ::link(temporary.c_str(), path.c_str()) != 0 && std::rename(temporary.c_str(), path.c_str()) != 0) {
        done = tl::unexpected(Fault{.kind = FaultKind::storage,
                                    .what = "cannot be made: " + std::generic_category().message(errno),
                                    .where = {.file = path},
                                    .remedy = "choose another place for the copy"});
    }
    for (const char* const part : {"", "-wal", "-shm", "-journal"}) {
        std::filesystem::remove(temporary + part, ignored);
    }
    if (!done) {
        done.error().where.file = path;
    }
    return done;
}

} // namespace potwatch::book
