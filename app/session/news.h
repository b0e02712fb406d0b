// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/compared_run.h"
#include "app/session/book_list.h"
#include "app/session/fit_files.h"
#include "app/session/preview.h"
#include "app/session/report_run.h"
#include "app/session/run_view.h"

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace potwatch::session {

// What the library tells, as values that nobody changes any more.

struct BookOpened {
    std::string path;
    bool read_only = false;
    std::optional<Fault> not_writable; // it was to be written to, but can only be read: why
    std::vector<std::string> notices;  // "run \"rod 05\" was not ended by its recorder: ..."
};

struct BookRefused {
    std::string path;
    Fault fault;
    bool repairable = false; // it is a book, or was one: a repaired copy can be tried
};

// The runs of the book, with all edits that were asked for up to that number.
struct BookListed {
    std::shared_ptr<const std::vector<ListedRun>> runs;
    std::uint64_t edits = 0;
};

// A run as far as it is known: first without an analysis, then with.
struct RunShown {
    std::shared_ptr<const RunView> view;
    bool complete = false; // analysed, or it could not be
};

struct Analysing {
    book::RunId id;
    double fraction = 0.0;
};

// Findings that are being brought up to date in the background.
struct Refreshing {
    std::size_t runs_left = 0;
};

struct PreviewReady {
    std::shared_ptr<const Preview> preview;
    std::uint64_t ticket = 0;
};

// Long work that the person waits for, and can stop.
struct Working {
    double fraction = 0.0;
    std::string doing;
};

struct ImportedFile {
    std::string file;
    book::RunId id; // empty where it was not imported
    std::string name;
    bool was_there = false;
    bool was_withdrawn = false; // it had been deleted, and is back
    std::vector<std::string> warnings;
    std::vector<Fault> faults;
};

struct ImportEnded {
    std::vector<ImportedFile> files;
    bool stopped = false;
};

struct BatchRead {
    std::string file;
    std::shared_ptr<const Batch> batch;
    std::vector<Fault> faults;
};

struct PhotoAdded {
    book::RunId id;
    std::string name;
};

struct PhotoRead {
    book::RunId id;
    book::Photo photo;
    bool large = false; // to be looked at, not for its place on the page
};

// A fit of several runs that the person waits for, and can stop.
struct Fitting {
    std::uint64_t ticket = 0;
    double fraction = 0.0;
    std::string doing;
};

// What came of it: null where there is no answer, with the reasons; neither where it was stopped.
struct FitEnded {
    std::uint64_t ticket = 0;
    std::shared_ptr<const FittedFiles> fitted;
    std::vector<Fault> faults;
};

// A run of the book as a comparison wants it.
struct RunToCompare {
    book::RunId id;
    std::vector<std::string> photos;                 // names, in the book
    std::shared_ptr<const compare::ComparedRun> run; // null where it could not be analysed: why_not says why
    std::optional<Fault> why_not;
};

// The runs asked for as far as they are analysed, in the order asked for; told again as more of them are.
struct RunsToCompareReady {
    std::uint64_t ticket = 0;
    std::shared_ptr<const std::vector<RunToCompare>> runs;
    std::size_t left = 0; // still to be analysed
};

// Runs that are being analysed for a report.
struct ReportGathering {
    std::uint64_t ticket = 0;
    std::size_t done = 0;
    std::size_t of = 0;
    std::string run; // that is being looked at
};

struct LeftOutRun {
    std::string run;
    Fault fault;
};

// The runs that a report is made of, in the order in which they were asked for; what could not be analysed or read is
// among the faults.
struct ReportGathered {
    std::uint64_t ticket = 0;
    std::vector<ReportRun> runs;
    std::vector<LeftOutRun> faults;
};

// Something that was asked for was done, in a sentence for the status line.
struct Done {
    std::string what;
};

// Something that was asked for could not be done.
struct Failed {
    std::string what; // "the edit was not saved"
    Fault fault;
    bool edit = false; // the list is told again as the book has it
};

// A repaired copy was made: where, and what was saved and lost.
struct Repaired {
    std::string path;
    std::vector<std::string> report;
};

// All that was asked for up to then is in the book.
struct Drained {};

using News = std::variant<BookOpened, BookRefused, BookListed, RunShown, Analysing, Refreshing, PreviewReady, Working,
                          ImportEnded, Fitting, FitEnded, RunsToCompareReady, ReportGathering, ReportGathered,
                          BatchRead, PhotoAdded, PhotoRead, Done, Failed, Repaired, Drained>;

} // namespace potwatch::session
