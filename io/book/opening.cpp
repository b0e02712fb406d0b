// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/opening.h"

#include "io/book/holder.h"
#include "io/book/recovery.h"

#include <fmt/format.h>

#include <cerrno>
#include <filesystem>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>
#include <utility>

namespace potwatch::book {
namespace {

Fault fault(FaultKind kind, const std::string& path, std::string what, std::string remedy) {
    return {.kind = kind, .what = std::move(what), .where = {.file = path}, .remedy = std::move(remedy)};
}

constexpr const char* how_to_make_one = "check its name; `potwatch book BOOK import FILE` makes a book";

struct FileState {
    bool exists = false;
    bool is_empty = false;
};

// Looks at the file before SQLite does: a pipe would keep it waiting for ever, and an empty file would pass for a
// database.
Result<FileState> stateOf(const std::string& path, Access access) {
    if (path.empty()) {
        return tl::unexpected(fault(FaultKind::input, path, "the book has no name", "name the file of the book"));
    }
    struct stat status {};
    if (::stat(path.c_str(), &status) != 0) {
        const int error = errno;
        if (error == ENOENT && access == Access::create) {
            return FileState{};
        }
        if (error == ENOENT) {
            return tl::unexpected(fault(FaultKind::input, path, "there is no such file", how_to_make_one));
        }
        return tl::unexpected(fault(FaultKind::storage, path,
                                    "cannot be opened: " + std::generic_category().message(error),
                                    "check its name and the permissions of its folder"));
    }
    if (S_ISDIR(status.st_mode)) {
        return tl::unexpected(fault(FaultKind::input, path, "is a folder, no batch book", "name a file in it"));
    }
    if (!S_ISREG(status.st_mode)) {
        return tl::unexpected(
            fault(FaultKind::input, path, "is no plain file, so it can be no batch book", "name a plain file"));
    }
    if (status.st_size == 0 && access != Access::create) {
        return tl::unexpected(fault(FaultKind::input, path, "is empty: no batch book", how_to_make_one));
    }
    return FileState{.exists = true, .is_empty = status.st_size == 0};
}

std::size_t sizeOf(const std::string& path) {
    struct stat status {};
    return ::stat(path.c_str(), &status) == 0 ? static_cast<std::size_t>(status.st_size) : 0;
}

bool mayWrite(const std::string& path) {
    return ::access(path.c_str(), W_OK) == 0;
}

std::string folderOf(const std::string& path) {
    std::error_code ignored;
    const std::string folder = std::filesystem::absolute(path, ignored).parent_path().string();
    return folder.empty() ? std::string(".") : folder;
}

// A connection, and the marks that were read through it: only reading shows whether a file can be read.
struct Probed {
    Database database;
    Marks marks;
};

Result<Probed> probe(const std::string& path, OpenMode mode) {
    Result<Database> database = Database::open(path, mode);
    if (!database) {
        return tl::unexpected(std::move(database.error()));
    }
    Result<Marks> marks = marksOf(*database);
    if (!marks) {
        return tl::unexpected(std::move(marks.error()));
    }
    return Probed{.database = std::move(*database), .marks = *marks};
}

// SQLite makes files beside a book that is open. Where nothing may be made, a book can still be read as it stands, as
// long as no changes wait beside it.
Result<Probed> probeForReading(const std::string& path) {
    const bool may_make_files = mayWrite(folderOf(path));
    if (may_make_files && mayWrite(path)) {
        // Through a connection that could write and does not, the files beside the book go away again at the end.
        return probe(path, OpenMode::write).and_then([](Probed&& probed) {
            return probed.database.allowReadingOnly().map([&] { return std::move(probed); });
        });
    }
    Result<Probed> probed = probe(path, OpenMode::read);
    if (probed || may_make_files) {
        return probed;
    }
    if (sizeOf(path + "-wal") > 0) {
        return tl::unexpected(fault(FaultKind::storage, path,
                                    "cannot be read here: changes wait in the -wal file beside it, and its folder may "
                                    "not be written",
                                    "copy both files into a folder of your own"));
    }
    Result<Probed> frozen = probe(path, OpenMode::frozen);
    return frozen ? std::move(frozen) : std::move(probed);
}

Result<Probed> probeAs(const std::string& path, Access access, bool exists) {
    if (access == Access::read || (exists && !(mayWrite(path) && mayWrite(folderOf(path))))) {
        return probeForReading(path);
    }
    return probe(path, access == Access::create ? OpenMode::create : OpenMode::write);
}

Result<void> checkMarks(const Probed& probed, bool may_be_new, std::int64_t latest) {
    const std::string& path = probed.database.path();
    const Marks& marks = probed.marks;
    if (marks.is_empty && marks.application == 0 && marks.version == 0 && may_be_new) {
        return {};
    }
    if (marks.application != application_id) {
        return tl::unexpected(fault(FaultKind::input, path, "is another program's database, no batch book",
                                    "choose a book (its name ends in .potbook); the file was left as it is"));
    }
    if (marks.version < 1) {
        return tl::unexpected(damagedFault(path, "is marked as a book, but states no format"));
    }
    if (marks.version > latest) {
        return tl::unexpected(newerFault(path, marks.version, latest));
    }
    if (marks.version < latest && probed.database.isReadOnly()) {
        return tl::unexpected(fault(FaultKind::unsupported, path,
                                    fmt::format("is of the older format {} and may not be changed here", marks.version),
                                    "copy it into a folder of your own and open the copy, which brings it up to date"));
    }
    return {};
}

// After a stop without an end (power cut, kill) the file itself is looked through once.
Result<void> checkStructure(const Database& database) {
    Statement rows = database.statement("PRAGMA quick_check(1)");
    const Result<bool> row = rows.step();
    if (!row) {
        return tl::unexpected(row.error());
    }
    const std::string verdict = *row ? rows.text(0) : std::string("ok");
    return verdict == "ok" ? Result<void>()
                           : tl::unexpected(damagedFault(database.path(), "is damaged since it was last in use"));
}

} // namespace

Result<OpenedDatabase> openDatabase(const std::string& path, Access access, std::span<const Migration> steps) {
    const Result<FileState> state = stateOf(path, access);
    if (!state) {
        return tl::unexpected(state.error());
    }
    const bool was_cut_off = sizeOf(path + "-wal") > 0 && !isHeldOpen(path);
    Result<Probed> probed = probeAs(path, access, state->exists);
    if (!probed) {
        return tl::unexpected(std::move(probed.error()));
    }
    const bool may_be_new = access == Access::create && (!state->exists || state->is_empty);
    if (Result<void> known = checkMarks(*probed, may_be_new, static_cast<std::int64_t>(steps.size())); !known) {
        return tl::unexpected(std::move(known.error()));
    }
    OpenedDatabase opened{.database = std::move(probed->database)};
    const Database& database = opened.database;
    if (was_cut_off) {
        if (Result<void> sound = checkStructure(database); !sound) {
            return tl::unexpected(std::move(sound.error()));
        }
    }
    if (database.isReadOnly()) {
        if (access != Access::read) {
            opened.notices.push_back(path + " may not be changed here: it is open for reading only");
        }
        return opened;
    }
    // Full: what was committed outlives a power cut as well.
    Result<void> ready = database.script("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL").and_then([&] {
        return bringUpToDate(database, steps);
    });
    if (!ready) {
        return tl::unexpected(std::move(ready.error()));
    }
    opened.notices = recoverRuns(database);
    return opened;
}

} // namespace potwatch::book
