// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/opening.h"

#include "io/book/belonging.h"
#include "io/book/folder_lock.h"
#include "io/book/holder.h"
#include "io/book/recovery.h"
#include "io/book/settle.h"

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

std::string folderOf(const std::string& path) {
    std::error_code ignored;
    const std::string folder = std::filesystem::absolute(path, ignored).parent_path().string();
    return folder.empty() ? std::string(".") : folder;
}

bool mayWrite(const std::string& path) {
    return ::access(path.c_str(), W_OK) == 0;
}

// SQLite says of each of these only that there is no such file.
Result<void> mayBeMade(const std::string& path) {
    const std::string folder = folderOf(path);
    if (mayWrite(folder)) {
        return {};
    }
    const int error = errno;
    return tl::unexpected(error == ENOENT || error == ENOTDIR
                              ? fault(FaultKind::storage, path,
                                      fmt::format("cannot be made: there is no folder {}", folder),
                                      "make the folder, or choose another place for the book")
                              : fault(FaultKind::storage, path,
                                      fmt::format("cannot be made: its folder {} may not be written to ({})", folder,
                                                  std::generic_category().message(error)),
                                      "allow writing to the folder, or choose another place for the book"));
}

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
            return mayBeMade(path).map([] { return FileState{}; });
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
    if (sizeOf(path + "-wal") > 0) { // and another program has the book open
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

// To read, the log stays as it is; to write, and where it is harmless to recover, it is dealt with.
LogHandling wayOf(Access access, const std::string& file) {
    const bool may_write = mayWrite(folderOf(file)) && (mayWrite(file) || sizeOf(file) == 0);
    switch (access) {
    case Access::write:
    case Access::create:
        return may_write ? LogHandling::set_aside : LogHandling::copy;
    case Access::recover:
    case Access::read:
        break;
    }
    return may_write ? LogHandling::leave : LogHandling::copy;
}

// A copy of a book, which is read in the book's place. It may be changed: none of that reaches the book.
Result<Probed> probeCopy(const std::string& path, const std::shared_ptr<const BookCopy>& copy) {
    return probe(copy->path(), OpenMode::write).map([&](Probed&& probed) {
        probed.database.standFor(path, copy);
        return std::move(probed);
    });
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
    return {};
}

std::string realPath(const std::string& path) {
    std::error_code error;
    const std::filesystem::path real = std::filesystem::weakly_canonical(path, error);
    return error ? path : real.string();
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
    const std::string file = realPath(path);
    const auto latest = static_cast<std::int64_t>(steps.size());
    std::optional<FolderLock> alone(std::in_place, folderOf(file));
    const bool is_held = isHeldOpen(file);
    const bool was_cut_off = !is_held && sizeOf(file + "-wal") > 0;
    Result<Settled> settled = was_cut_off ? settle(path, file, wayOf(access, file)) : Settled{};
    if (!settled) {
        return tl::unexpected(std::move(settled.error()));
    }
    Result<Probed> probed = settled->copy ? probeCopy(path, settled->copy) : probeAs(path, access, state->exists);
    if (probed && probed->marks.version >= 1 && probed->marks.version < latest && probed->database.isReadOnly() &&
        !is_held) {
        // An older book that may only be read: a copy of it is brought up to date.
        const std::optional<Log> log = Log::read(file + "-wal", pageSizeOf(file));
        probed = tl::unexpected(Fault{});
        const Result<std::shared_ptr<const BookCopy>> copy = BookCopy::make(file, log ? &*log : nullptr);
        probed = copy ? probeCopy(path, *copy) : tl::unexpected(copy.error());
        settled->copy = copy ? *copy : nullptr;
    }
    if (!probed) {
        return tl::unexpected(std::move(probed.error()));
    }
    const bool may_be_new = access == Access::create && (!state->exists || state->is_empty);
    if (Result<void> known = checkMarks(*probed, may_be_new, latest); !known) {
        return tl::unexpected(std::move(known.error()));
    }
    OpenedDatabase opened{.database = std::move(probed->database), .notices = std::move(settled->notices)};
    const Database& database = opened.database;
    if (was_cut_off) {
        if (Result<void> sound = checkStructure(database); !sound) {
            return tl::unexpected(std::move(sound.error()));
        }
    }
    const bool changes = access == Access::write || access == Access::create;
    if (settled->copy ? changes : access != Access::read && database.isReadOnly()) {
        opened.notices.push_back(path + " may not be changed here: it is open for reading only");
    }
    if (!settled->copy && database.isReadOnly()) {
        if (settled->kind == LogVerdict::Kind::own) {
            opened.database.leaveLog();
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
    alone.reset(); // from now on others see that it is open
    if (access != Access::read) {
        const std::vector<std::string> recovered = recoverRuns(database, settled->copy ? settled->copy->path() : path);
        opened.notices.insert(opened.notices.end(), recovered.begin(), recovered.end());
    }
    if (settled->losses.isAny()) {
        opened.losses.push_back(tellLosses(database, settled->losses));
        opened.notices.push_back(opened.losses.back());
    }
    if (settled->copy) {
        if (Result<void> reads = opened.database.allowReadingOnly(); !reads) {
            return tl::unexpected(std::move(reads.error()));
        }
    }
    return opened;
}

} // namespace potwatch::book
