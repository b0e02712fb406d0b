// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/analyse_files.h"
#include "app/session/open.h"
#include "io/book/book.h"

#include <cstddef>
#include <span>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::session {

// How the name of a book ends.
inline constexpr std::string_view book_ending = ".potbook";

// The book of a person who names none: potwatch/batches.potbook in the XDG data folder (XDG_DATA_HOME, else
// ~/.local/share). Empty where the machine knows no home folder either.
// Source: XDG Base Directory Specification 0.8.
[[nodiscard]] std::string defaultBookPath();

// Opens a book to read and write, and makes it and its folders where there is none.
// Errors: as book::Book::open.
[[nodiscard]] Result<book::Opened> openOrMakeBook(const std::string& path);

// A run of the book made ready for the analysis: what session::openRun makes of the file that it came from.
// Errors: as makeReady().
[[nodiscard]] tl::expected<OpenedRun, Faults> openStored(book::StoredRun stored, const std::string& pot_channel = {});

// A file as it goes into a book: samples as received, the conversion beside them, the batch file's data, and the photo
// that they name where it lies beside the batch file. What could not be had of the latter is said in `warnings`.
struct ForBook {
    book::NewRun run;
    std::vector<std::string> warnings;
};
// Errors: those of openRun: a file that could not be analysed is not taken in.
[[nodiscard]] tl::expected<ForBook, Faults> readForBook(const std::string& file, const OpenOptions& options,
                                                        const Progress& progress = {}, std::stop_token stop = {});

struct Imported {
    book::RunId id;
    std::string name; // as it stands in the book
    std::size_t samples = 0;
    bool was_there = false;
    bool was_withdrawn = false; // it had been deleted, and is back
    std::vector<std::string> warnings;
};

struct ImportOutcome {
    std::string file;
    tl::expected<Imported, Faults> result;
};

// Puts files into a book, one after the other, in the order given; one bad file does not keep the others out. Once
// stopped, what is in the book stays, and the rest is told as cancelled.
[[nodiscard]] std::vector<ImportOutcome> importFiles(book::Book& book, std::span<const FileToOpen> files,
                                                     const Progress& progress = {}, std::stop_token stop = {});

struct Exported {
    std::vector<std::string> written; // the table, the batch file, photos
    std::vector<std::string> warnings;
};

// Writes a run as STEM.csv, STEM.batch.toml (where anything is stated) and its photos into a folder. Imported again
// they give the same samples bit for bit and the same batch; what a table cannot say, or would say otherwise, is in
// `warnings`. Errors: input (there is a file of that name already: none is overwritten); storage; those of Book::read.
[[nodiscard]] Result<Exported> exportRun(book::Book& book, const book::RunId& id, const std::string& folder,
                                         const std::string& stem, const Progress& progress = {},
                                         std::stop_token stop = {});

} // namespace potwatch::session
