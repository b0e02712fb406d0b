// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/annotation.h"
#include "analysis/values/fault.h"
#include "analysis/values/landmark_kind.h"
#include "analysis/values/progress.h"
#include "analysis/values/run.h"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::book {

// A run's name within its book and beyond: a UUID in its usual form of 36 characters.
using RunId = std::string;

// What a person states, marks or writes about a run; all of it can be edited at any time and undone.
struct Notes {
    Batch batch; // with its events and its outcome
    std::vector<LandmarkOverride> overrides;
    std::vector<Annotation> annotations;
    std::vector<std::string> tags;

    bool operator==(const Notes&) const = default;
};

// How the values of a run become temperatures: kept with it, applied on reading by the session.
struct Conversion {
    std::string thermocouple;  // type behind columns in millivolts: "K"; empty = none
    std::string cold_junction; // a temperature in °C, or the name of a channel; empty = none

    bool operator==(const Conversion&) const = default;
};

// A line of a device that was not understood while a run was recorded.
struct RefusedLine {
    double time_s = 0.0; // on the clock of the scans; in the book, from the first of them
    std::string line;    // its bytes as they came
    std::string reason;

    bool operator==(const RefusedLine&) const = default;
};

struct Photo {
    std::string name;       // "rod-03.jpg", unique within the run
    std::string media_type; // "image/jpeg"
    std::string bytes;

    bool operator==(const Photo&) const = default;
};

// A run to be put into a book: traces as received (any unit), and what is known of them.
struct NewRun {
    Run run;
    Conversion conversion;
    std::vector<std::string> tags;
    std::vector<std::string> remarks; // what the importer took for granted
    std::vector<Photo> photos;
};

// What became of it: a run whose traces are in the book already is not put in twice.
struct Added {
    RunId id;
    bool was_there = false;
    bool was_withdrawn = false; // it had been deleted, and is back
};

enum class RunState { recording, complete, recovered };

// A run as the list shows it, without its traces.
struct RunRow {
    RunId id;
    std::string name;
    std::optional<WallTime> started;
    std::int64_t added_utc_us = 0;
    RunState state = RunState::complete;
    bool withdrawn = false; // deleted by the person, kept until the book is compacted
    std::string source_file;
    std::string content_hash;
    std::size_t samples = 0; // of each channel
    std::size_t rows_refused = 0;
    double span_s = 0.0;
    std::vector<std::string> channels;
    Notes notes;
    std::string findings; // JSON as it was kept by keepFindings(); empty = none
    int findings_version = 0;

    bool operator==(const RunRow&) const = default;
};

struct StoredRun {
    RunId id;
    Run run; // channels as received; batch, overrides and annotations from the notes
    Conversion conversion;
    std::vector<std::string> tags;
    std::vector<std::string> remarks;
};

enum class Access {
    read,    // the book and the log beside it stay as they are
    recover, // read; runs that their recorders did not end are recovered where nothing speaks against it
    write,
    create // write, and make the book where there is none
};

class Book;

// A book that was opened, and what was noticed on the way, in sentences ("run \"rod 05\" was not ended by its recorder:
// 412 samples recovered").
struct Opened;

// The batch book: one SQLite file (FORMAT.md). Samples are kept as received, bit for bit.
// Threads: one at a time may use an object; several objects, in several processes, may have the same book open.
class Book {
public:
    // Errors: input (no such file, no book, damaged: the remedy names the repaired copy), unsupported (a newer format),
    // storage (no permission, read-only folder, locked by another program, disk full).
    [[nodiscard]] static Result<Opened> open(const std::string& path, Access access);

    Book(Book&&) noexcept;
    Book& operator=(Book&&) noexcept;
    ~Book();

    [[nodiscard]] const std::string& path() const;
    [[nodiscard]] bool isReadOnly() const;
    // Changes whenever any process changes the book; for a window that follows another's work.
    [[nodiscard]] Result<std::int64_t> revision();

    // Oldest first.
    [[nodiscard]] Result<std::vector<RunRow>> list();
    [[nodiscard]] Result<RunRow> row(const RunId& id);
    [[nodiscard]] Result<StoredRun> read(const RunId& id, const Progress& progress = {}, std::stop_token stop = {});

    // One transaction: all or nothing, also when stopped. Notes that a batch file could not state are refused (input,
    // range). The run's name and start follow the batch's, and are those it was added with where the batch has none.
    // Findings are dropped where the batch or an override changes: they no longer are this run's.
    [[nodiscard]] Result<Added> add(const NewRun& run, const Progress& progress = {}, std::stop_token stop = {});
    [[nodiscard]] Result<void> setNotes(const RunId& id, const Notes& notes);
    [[nodiscard]] Result<void> setWithdrawn(const RunId& id, bool withdrawn);
    [[nodiscard]] Result<void> keepFindings(const RunId& id, int analysis_version, std::string_view json);

    // What a recorder refused of the device's lines, in the order in which it came.
    [[nodiscard]] Result<std::vector<RefusedLine>> refusedLines(const RunId& id);

    [[nodiscard]] Result<std::vector<std::string>> photoNames(const RunId& id);
    [[nodiscard]] Result<Photo> photo(const RunId& id, const std::string& name);
    [[nodiscard]] Result<void> setPhoto(const RunId& id, const Photo& photo);
    [[nodiscard]] Result<void> removePhoto(const RunId& id, const std::string& name);

    // Every fault found in the file and in what it holds (checksums, counts, hashes); empty = sound.
    [[nodiscard]] Result<std::vector<std::string>> check(const Progress& progress = {}, std::stop_token stop = {});
    // A whole copy in one file, also while the book is in use.
    [[nodiscard]] Result<void> copyTo(const std::string& path);

private:
    struct State;
    explicit Book(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

struct Opened {
    Book book;
    std::vector<std::string> notices;
    std::vector<std::string> losses; // those of the notices that tell what a damaged log has lost
};

// Copies what can still be read of a damaged book into a new one at `to`; returns sentences that say what was saved and
// what was lost. The damaged file is left as it is.
[[nodiscard]] Result<std::vector<std::string>> repairedCopy(const std::string& damaged, const std::string& to);

} // namespace potwatch::book
