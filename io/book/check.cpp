// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/check.h"

#include "io/book/chunk.h"
#include "io/book/content_hash.h"
#include "io/book/notes_hash.h"
#include "io/book/pace.h"
#include "io/book/photos.h"
#include "io/book/run_row.h"
#include "io/book/samples.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::book {
namespace {

constexpr int most_structure_faults = 100;

bool endsTheCheck(const Fault& fault) {
    return fault.kind == FaultKind::cancelled || fault.kind == FaultKind::storage;
}

struct Listed {
    std::int64_t number = 0;
    RunId id;
    std::string name;
    std::string state;
    std::string hash;
    std::size_t samples = 0;
    std::string notes_hash; // empty: of a book of before there were any
};

class Check {
public:
    Check(const Database& database, const Progress& progress, const std::stop_token& stop)
        : database_(database)
        , pace_(progress, "checking the book")
        , stop_(stop)
        , stop_watch_(database, stop) {}

    // A fault of the disk ends the check; what is wrong with the book is listed.
    Result<std::vector<std::string>> all() {
        Result<void> done = structure();
        if (done) {
            done = note(runs());
        }
        if (!done) {
            return tl::unexpected(std::move(done.error()));
        }
        return std::move(faults_);
    }

private:
    // Turns damage into an entry of the list and lets the check go on.
    Result<void> note(Result<void> part) {
        if (part || endsTheCheck(part.error())) {
            return part;
        }
        const std::string& what = part.error().what;
        if (std::find(faults_.begin(), faults_.end(), what) == faults_.end()) {
            faults_.push_back(what);
        }
        return {};
    }

    Result<void> structure() {
        return note(list(database_.statement(fmt::format("PRAGMA integrity_check({})", most_structure_faults)),
                         [&](const Statement& row) {
                             if (const std::string text = row.text(0); text != "ok") {
                                 faults_.push_back("the file: " + text);
                             }
                         }))
            .and_then([&] {
                return note(list(database_.statement("PRAGMA foreign_key_check"), [&](const Statement& row) {
                    faults_.push_back(fmt::format("a row of table {} belongs to no run", row.text(0)));
                }));
            });
    }

    template<class Take>
    static Result<void> list(Statement rows, const Take& take) {
        Result<bool> next = rows.step();
        for (; next && *next; next = rows.step()) {
            take(rows);
        }
        return next.map([](bool) {});
    }

    Result<void> runs() {
        std::vector<Listed> runs;
        const auto has_hashes =
            database_.integer("SELECT count(*) FROM pragma_table_info('run') WHERE name = 'notes_hash'");
        const std::string notes_hash = has_hashes && *has_hashes > 0 ? "notes_hash" : "''";
        Result<void> done =
            list(database_.statement(fmt::format(
                     "SELECT id, uuid, name, state, content_hash, samples, {} FROM run ORDER BY id", notes_hash)),
                 [&](const Statement& row) {
                     runs.push_back({.number = row.integer(0),
                                     .id = row.text(1),
                                     .name = row.text(2),
                                     .state = row.text(3),
                                     .hash = row.text(4),
                                     .samples = row.count(5),
                                     .notes_hash = row.text(6)});
                 });
        std::size_t checked = 0;
        for (const Listed& run : runs) {
            if (stop_.stop_requested()) {
                return tl::unexpected(stoppedFault(database_.path()));
            }
            share_ = static_cast<double>(checked) / static_cast<double>(runs.size());
            for (const Result<void>& part :
                 {readRow(database_, run.id).map([](const FullRow&) {}), samples(run), notes(run), photos(run)}) {
                if (Result<void> noted = note(part); !noted) {
                    return noted;
                }
            }
            pace_.tell(static_cast<double>(++checked) / static_cast<double>(runs.size()));
        }
        return done;
    }

    Result<void> samples(const Listed& run) {
        const Result<std::vector<Channel>> channels = readChannels(database_, run.number);
        if (!channels) {
            return tl::unexpected(channels.error());
        }
        std::vector<std::size_t> lengths(channels->size() + 1);
        ContentHash hash(lengths.size());
        bool is_whole = true;
        const auto wrong = [&](const std::string& what) {
            is_whole = false;
            faults_.push_back(fmt::format("run \"{}\": {}", run.name, what));
        };
        Result<void> done =
            list(database_.statement("SELECT number, seq, count, coding, crc32, data, least, greatest FROM chunk "
                                     "WHERE run = ? ORDER BY number, seq",
                                     run.number),
                 [&](const Statement& row) { chunk(row, lengths, hash, wrong); });
        if (!done) {
            return done;
        }
        for (std::size_t column = 0; column < lengths.size() && is_whole; ++column) {
            if (lengths[column] != run.samples && run.state != "recording") {
                wrong(fmt::format("has {} samples where {} are stated", lengths[column], run.samples));
            }
        }
        std::vector<ContentHash::Title> titles;
        for (const Channel& channel : *channels) {
            titles.push_back({.name = channel.name, .unit = channel.unit});
        }
        if (is_whole && run.state != "recording" && hash.text(titles) != run.hash) {
            wrong("its samples are not those that its content hash was made of");
        }
        return {};
    }

    template<class Wrong>
    void chunk(const Statement& row, std::vector<std::size_t>& lengths, ContentHash& hash, const Wrong& wrong) {
        const std::size_t column = row.count(0);
        const std::optional<Coding> coding = codingNamed(row.text(3));
        const Chunk stored{.count = row.count(2),
                           .coding = coding.value_or(Coding::raw),
                           .data = row.bytes(5),
                           .crc32 = static_cast<std::uint32_t>(row.integer(4))};
        std::vector<double> values;
        if (column >= lengths.size()) {
            wrong(fmt::format("has samples of a channel {} that it does not name", column));
            return;
        }
        const std::size_t first = row.count(1) * chunk_length;
        const std::string which =
            fmt::format("samples {} to {} of {}", first + 1, first + stored.count,
                        column == 0 ? std::string("the times") : fmt::format("channel {}", column));
        if (first != lengths[column]) {
            wrong(fmt::format("something is missing before {}", which));
        }
        lengths[column] = first + stored.count;
        if (!coding || !decode(stored, values)) {
            wrong(fmt::format("{} are damaged", which));
            return;
        }
        const Chunk again = chunkOf(values);
        if (again.least != row.optionalNumber(6) || again.greatest != row.optionalNumber(7)) {
            wrong(fmt::format("{} do not lie between the least and greatest that are stated", which));
        }
        hash.add(column, values);
        pace_.tell(share_);
    }

    Result<void> notes(const Listed& run) {
        constexpr const char* greatest = "1.7976931348623157e308";
        const auto endless = database_.integer(
            fmt::format("SELECT count(*) FROM event WHERE run = ? AND NOT abs(time_s) <= {}", greatest), run.number);
        if (!endless) {
            return tl::unexpected(endless.error());
        }
        if (*endless > 0) {
            faults_.push_back(fmt::format("run \"{}\": an event has no finite time", run.name));
        }
        if (run.notes_hash.empty() || run.state == "recording") {
            return {};
        }
        return notesHash(database_, run.number).map([&](const std::string& hash) {
            if (hash != run.notes_hash) {
                faults_.push_back(fmt::format(
                    "run \"{}\": its batch data, events or notes are not those that Potwatch wrote", run.name));
            }
        });
    }

    Result<void> photos(const Listed& run) {
        return readPhotoNames(database_, run.number).and_then([&](const std::vector<std::string>& names) {
            Result<void> done;
            for (const std::string& name : names) {
                done = note(readPhoto(database_, run.number, name).map([](const Photo&) {}));
                if (!done) {
                    break;
                }
            }
            return done;
        });
    }

    const Database& database_;
    Pace pace_;
    const std::stop_token& stop_;
    Database::StopWatch stop_watch_;
    double share_ = 0.0;
    std::vector<std::string> faults_;
};

} // namespace

Result<std::vector<std::string>> checkBook(const Database& database, const Progress& progress,
                                           const std::stop_token& stop) {
    const Result<Transaction> transaction = Transaction::begin(database, Transaction::Kind::read);
    if (!transaction) {
        return tl::unexpected(transaction.error());
    }
    return Check(database, progress, stop).all();
}

} // namespace potwatch::book
