// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/analyse_files.h"
#include "app/session/news.h"
#include "io/book/book.h"

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace potwatch::session {

// The batch book as the window works with it: it asks, and is told by news when something is there. All reading,
// writing and analysing is done on the library's own threads: one that alone touches the book, one that analyses, one
// that imports. What was asked of the book is done in the order in which it was asked for, and is never lost: the
// destructor finishes it (but stops imports and analyses).
// Threads: call it from one thread. `tell` is called on the library's threads, never within a call to the library.
class Library {
public:
    using Tell = std::function<void(News)>;

    explicit Library(Tell tell);
    ~Library();
    Library(const Library&) = delete;
    Library& operator=(const Library&) = delete;

    // Told: BookOpened and BookListed, or BookRefused. A book that cannot be written to is opened for reading.
    void openBook(const std::string& path, book::Access access);
    void closeBook();
    // Told: Repaired or Failed.
    void repair(const std::string& damaged, const std::string& to);

    // Reads a run and analyses it; the latest run asked for is the one that is shown. Told: RunShown, Analysing. The
    // shown run is analysed again whenever its notes or its samples change, whoever changed them.
    void showRun(const book::RunId& id);
    void showNone();

    // Edits; each returns its number, which BookListed::edits comes up to. Told: BookListed, Failed.
    std::uint64_t setNotes(const book::RunId& id, const book::Notes& notes);
    std::uint64_t setWithdrawn(const std::vector<book::RunId>& ids, bool withdrawn);
    [[nodiscard]] std::uint64_t editsAsked() const;

    // Told: PhotoAdded (name unique within the run), RunShown. A photo that was removed can be put back.
    void addPhoto(const book::RunId& id, const std::string& file);
    void removePhoto(const book::RunId& id, const std::string& name);
    void putPhotoBack(const book::RunId& id, const std::string& name);
    void readPhoto(const book::RunId& id, const std::string& name, bool large); // Told: PhotoRead

    // Told: PreviewReady with that ticket. The latest wins.
    void previewFile(const FileToOpen& file, std::uint64_t ticket);
    // Told: Working, ImportEnded, BookListed. Each file is imported whole or not at all.
    void importFiles(const std::vector<FileToOpen>& files);
    // Makes the sample data in a temporary folder, opens `book` (making it if need be) and imports them.
    void importDemo(const std::string& book);
    void stopWork(); // import, export
    void stopPreview();

    // Fits one law of cure to runs of the book. Told: Fitting and FitEnded with that ticket. The latest wins: what was
    // asked for before is told no more.
    void fitRuns(const std::vector<book::RunId>& ids, const FitFilesOptions& options, std::uint64_t ticket);
    void stopFit();

    // Runs of the book as a comparison wants them, analysed where they are not yet. Told: RunsToCompareReady with that
    // ticket, at once with those that are there and again as others come. The latest wins; what one shows comes first.
    void gatherToCompare(const std::vector<book::RunId>& ids, std::uint64_t ticket);
    void stopGathering();

    // Reads and analyses runs of the book for a report, in the order given. Told: ReportGathering and ReportGathered
    // with that ticket. The latest wins: what was asked for before is told no more.
    void reportRuns(const std::vector<book::RunId>& ids, std::uint64_t ticket);
    void stopReport();

    void readBatch(const std::string& file);                                         // Told: BatchRead
    void exportRuns(const std::vector<book::RunId>& ids, const std::string& folder); // CSV and batch file of each
    void exportRun(const book::RunId& id, const std::string& csv);                   // one, under that name
    void exportBatch(const book::RunId& id, const std::string& file);                // its batch file alone
    void copyBook(const std::string& to);                                            // Told: Done or Failed

    // Told: Drained, once all that was asked for so far is in the book.
    void drain();
    // Jobs that the book still has to do.
    [[nodiscard]] std::size_t pending() const;
    // An import, export or copy is going on.
    [[nodiscard]] bool working() const;

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace potwatch::session
