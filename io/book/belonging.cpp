// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/belonging.h"

#include "io/book/check.h"
#include "io/book/database.h"
#include "io/book/holder.h"
#include "io/book/pages.h"
#include "io/book/schema.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <set>
#include <system_error>
#include <unistd.h>
#include <utility>
#include <vector>

namespace potwatch::book {
namespace {

// The mark of a book's file alone, and the page on which it lies.
struct Mark {
    std::uint32_t page = 0;
    std::int64_t token = 0;
};

std::optional<Mark> markOf(const Database& alone) {
    const auto page = alone.integer("SELECT rootpage FROM sqlite_schema WHERE name = 'mark'");
    if (!page || !*page) {
        return std::nullopt;
    }
    const auto token = alone.integer("SELECT token FROM mark");
    if (!token || !*token) {
        return std::nullopt;
    }
    return Mark{.page = static_cast<std::uint32_t>(**page), .token = **token};
}

// Whether the log goes on from the mark; nothing where it does not say.
std::optional<bool> followsFrom(const Mark& mark, const Log& log) {
    bool is_told = false;
    bool has_gaps = false;
    for (std::size_t i = 0; i < log.usable(); ++i) {
        if (log.frames()[i].state == LogFrame::State::damaged) {
            has_gaps = true;
        } else if (log.frames()[i].page == mark.page) {
            for (const PageRow& row : rowsOnLeaf(log.page(i))) {
                const auto is = [&](std::size_t column) {
                    const auto* const number = std::get_if<std::int64_t>(&row.values[column]);
                    return number != nullptr && *number == mark.token;
                };
                if (row.number != 1 || row.values.size() != 3) {
                    continue;
                }
                if (is(1) || is(2)) {
                    return true;
                }
                is_told = true;
            }
        }
    }
    return is_told && !has_gaps ? std::optional(false) : std::nullopt;
}

// What a book holds, to be compared.
struct Content {
    struct Finished {
        std::string hash;
        std::int64_t samples = 0;

        bool operator==(const Finished&) const = default;
    };
    std::map<std::string, Finished> finished; // runs by UUID
    std::set<std::string> recording;
    std::set<std::string> faults;
};

std::optional<Content> contentOf(const Database& database) {
    const Result<Marks> marks = marksOf(database);
    if (!marks || (!marks->is_empty && marks->application != application_id)) {
        return std::nullopt;
    }
    Content content;
    if (marks->is_empty) {
        return content;
    }
    Statement rows = database.statement("SELECT uuid, content_hash, samples, state FROM run");
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        if (rows.text(3) == "recording") {
            content.recording.insert(rows.text(0));
        } else {
            content.finished[rows.text(0)] = {.hash = rows.text(1), .samples = rows.integer(2)};
        }
    }
    const Result<std::vector<std::string>> faults = checkBook(database, {}, {});
    if (!next || !faults) {
        return std::nullopt;
    }
    content.faults.insert(faults->begin(), faults->end());
    return content;
}

bool keepsAllOf(const Content& before, const Content& after) {
    const auto has = [&](const auto& entry) {
        const auto found = after.finished.find(entry.first);
        return found != after.finished.end() && found->second == entry.second;
    };
    return std::all_of(before.finished.begin(), before.finished.end(), has) &&
           std::all_of(
               before.recording.begin(), before.recording.end(),
               [&](const std::string& run) { return after.recording.contains(run) || after.finished.contains(run); }) &&
           std::includes(before.faults.begin(), before.faults.end(), after.faults.begin(), after.faults.end());
}

// Puts the two together in a copy and looks.
Result<LogVerdict::Kind> judgeByContent(const std::string& book, const Log& log, const std::optional<Content>& alone) {
    const Result<std::shared_ptr<const BookCopy>> copy = BookCopy::make(book, &log);
    if (!copy) {
        return tl::unexpected(copy.error());
    }
    const Result<Database> opened = Database::open((*copy)->path(), OpenMode::write);
    const std::optional<Content> together = opened ? contentOf(*opened) : std::nullopt;
    const bool is_sound = together && (alone ? keepsAllOf(*alone, *together) : together->faults.empty());
    return is_sound ? LogVerdict::Kind::own : alone ? LogVerdict::Kind::stranger : LogVerdict::Kind::unclear;
}

Fault cannotSetAside(const std::string& log) {
    return {.kind = FaultKind::storage,
            .what = "cannot be set aside: " + std::generic_category().message(errno),
            .where = {.file = log},
            .remedy = "allow writing to the folder of the book"};
}

} // namespace

// Source: the SQLite file format, 1.3: page size at byte 16, big-endian, 1 stands for 65536.
std::size_t pageSizeOf(const std::string& book) {
    std::array<char, 18> header{};
    std::ifstream stream(book, std::ios::binary);
    if (!stream.read(header.data(), header.size())) {
        return 0;
    }
    const std::size_t size = bigEndian32({header.data() + 14, 4}, 0) & 0xFFFFU;
    return size == 1 ? 65'536 : size;
}

Result<LogVerdict> judgeLog(const std::string& book) {
    const std::size_t page = pageSizeOf(book);
    LogVerdict verdict{.log = Log::read(book + "-wal", page)};
    if (!verdict.log) {
        return verdict;
    }
    const Log& log = *verdict.log;
    if (log.usable() == 0) {
        // Of a change that was never ended nothing is lost.
        const bool had_changes = log.changes() > 0 || log.framesCutOff() > 0;
        verdict.kind = had_changes ? LogVerdict::Kind::stranger : LogVerdict::Kind::nothing;
        return verdict;
    }
    if (isLogHeldOpen(book) || page == 0 || (log.pageSize() != page && (page & (page - 1)) == 0)) {
        verdict.kind = LogVerdict::Kind::stranger;
        return verdict;
    }
    const Result<Database> alone = Database::open(book, OpenMode::frozen);
    const std::optional<Mark> mark = alone ? markOf(*alone) : std::nullopt;
    const std::optional<bool> follows = mark && !log.hasGaps() ? followsFrom(*mark, log) : std::nullopt;
    if (follows) {
        verdict.kind = *follows ? LogVerdict::Kind::own : LogVerdict::Kind::stranger;
        return verdict;
    }
    const std::optional<Content> content = alone ? contentOf(*alone) : std::nullopt;
    return judgeByContent(book, log, content).map([&](LogVerdict::Kind kind) {
        verdict.kind = kind;
        return std::move(verdict);
    });
}

Result<std::string> setLogAside(const std::string& book, const Log* usable) {
    const std::string log = book + "-wal";
    std::string kept;
    for (int number = 1; kept.empty() || ::link(log.c_str(), kept.c_str()) != 0; ++number) {
        // A file system without hard links: what is usable is not put in its place before the log has its new name.
        if (!kept.empty() && errno != EEXIST) {
            std::error_code error;
            if (std::filesystem::exists(kept, error) || std::rename(log.c_str(), kept.c_str()) != 0) {
                return tl::unexpected(cannotSetAside(log));
            }
            break;
        }
        kept = fmt::format("{}-kept-{}", log, number);
    }
    if (usable == nullptr) {
        ::unlink(log.c_str());
    } else if (Result<void> done = usable->writeUsable(log + "-usable"); !done) {
        return tl::unexpected(std::move(done.error()));
    } else if (std::rename((log + "-usable").c_str(), log.c_str()) != 0) {
        return tl::unexpected(cannotSetAside(log));
    }
    ::unlink((book + "-shm").c_str()); // of the log that is gone; nobody has it open
    return kept;
}

} // namespace potwatch::book
