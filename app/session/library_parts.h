// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/library.h"
#include "app/session/run_cache.h"
#include "app/session/store.h"
#include "app/session/worker.h"

#include <atomic>
#include <chrono>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::session {

// The inside of the library. Functions run on the keeper's thread, which alone touches the store, unless said
// otherwise.
struct Library::Parts {
    explicit Parts(Tell teller);
    ~Parts();
    Parts(const Parts&) = delete;
    Parts& operator=(const Parts&) = delete;

    void open(const std::string& path, book::Access access);
    void close();
    void tellList();
    void follow();

    void edit(std::uint64_t number, const std::vector<book::RunId>& ids,
              const std::function<Result<void>(book::Book&)>& change);

    // The run shown: read what of it and its mates is not in the cache, then have it analysed.
    void show(bool tell_at_once, const std::stop_token& stop);
    void showAgain(const std::stop_token& stop); // where what it hangs on has changed
    void refreshNext(const std::stop_token& stop);

    struct Order; // for one analysis
    [[nodiscard]] Result<Order> gather(const book::RunId& id, const std::stop_token& stop);
    void analyseOrder(const std::shared_ptr<Order>& order, bool in_background,
                      const std::stop_token& stop);                                  // on the thinker's thread
    void analyseAnew(Order& order, bool in_background, const std::stop_token& stop); // on the thinker's thread

    void addPhoto(const book::RunId& id, const std::string& file);
    void putPhoto(const book::RunId& id, const book::Photo& photo);
    void removePhoto(const book::RunId& id, const std::string& name);
    void putPhotoBack(const book::RunId& id, const std::string& name);
    void readPhoto(const book::RunId& id, const std::string& name, bool large);

    [[nodiscard]] Progress workingProgress(double from = 0.0, double to = 1.0) const;                    // any thread
    [[nodiscard]] ImportEnded import(const std::vector<FileToOpen>& files, const std::stop_token& stop); // the reader's
    [[nodiscard]] ImportedFile importFile(const FileToOpen& file, double from, double to,
                                          const std::stop_token& stop);                  // the reader's
    [[nodiscard]] News importDemo(const std::string& book, const std::stop_token& stop); // the reader's

    [[nodiscard]] News exportRuns(const std::vector<book::RunId>& ids, const std::string& folder,
                                  const std::stop_token& stop);
    [[nodiscard]] News exportRun(const book::RunId& id, const std::string& csv, const std::stop_token& stop);
    void exportBatch(const book::RunId& id, const std::string& file);
    void copyBook(const std::string& to);

    // Reads the runs, and hands them to the fitter.
    void fit(const std::vector<book::RunId>& ids, const FitFilesOptions& options, std::uint64_t ticket,
             const std::stop_token& stop);

    // Runs for a comparison (library_compare.cpp): the next one that lacks, what came of one, and the news of it.
    void gatherToCompare(const std::vector<book::RunId>& ids, std::uint64_t ticket);
    [[nodiscard]] std::optional<book::RunId> nextToCompare();
    struct Compared;
    struct WantedToCompare;
    [[nodiscard]] bool hasCompared(const WantedToCompare& wanted) const;
    void keepCompared(const book::RunId& id, Compared one);
    void tellCompared();

    // The runs of a report, one after the other.
    struct Report;
    void goOn(const std::shared_ptr<Report>& report, const std::stop_token& stop);
    void analyseForReport(const std::shared_ptr<Report>& report, const std::shared_ptr<Order>& order);
    void keepAnalysed(const Report& report, const book::RunRow& row, const Order& order);
    void addToReport(Report& report, const book::RunRow& row, std::shared_ptr<const Analysis> analysis);

    Tell tell;
    std::atomic<std::uint64_t> edits_asked = 0;
    std::atomic<std::uint64_t> reports_asked = 0;
    std::atomic<int> works = 0;

    RunCache cache;
    std::unique_ptr<Store> store;
    book::RunId shown;
    std::string shown_key; // findingsKey of the shown run when it was last analysed
    book::Notes shown_notes;
    std::size_t shown_samples = 0;
    std::chrono::steady_clock::time_point shown_at;
    std::uint64_t edits_done = 0;
    std::map<std::pair<book::RunId, std::string>, book::Photo> removed_photos;
    struct Analysed {
        std::string key; // findingsKey
        std::string name;
        std::shared_ptr<const Analysis> analysis;
    };
    std::map<book::RunId, Analysed> analysed; // for reports

    // Of one run, under the findingsKey that it was analysed under.
    struct Compared {
        std::string key;
        std::shared_ptr<const compare::ComparedRun> run; // null: why_not
        std::optional<Fault> why_not;
    };
    struct WantedToCompare {
        book::RunId id;
        std::string key;
        std::vector<std::string> photos;
    };
    std::map<book::RunId, Compared> compared;
    std::vector<WantedToCompare> wanted_to_compare;
    std::uint64_t compare_ticket = 0;
    std::chrono::steady_clock::time_point compared_told_at;

    // The thinker's: what it found last of the run shown, and under which key.
    std::shared_ptr<const Analysis> last_analysis;
    book::RunId last_id;
    std::string last_key;

    // The reader hands over to the keeper, the keeper to the thinker and back and to the fitter: all are ended before
    // one is destroyed.
    Worker thinker;
    Worker keeper;
    Worker reader;
    Worker fitter;
};

// What an analysis needs: the ids of runs in the cache, the first being the run itself, with the notes that hold.
struct Library::Parts::Order {
    RunView view;
    std::string key;
    std::string content; // the hash of its samples
    std::size_t samples = 0;
    std::vector<std::pair<book::RunId, book::Notes>> runs;
};

// A report that is being gathered.
struct Library::Parts::Report {
    std::vector<book::RunId> ids;
    std::uint64_t ticket = 0;
    std::uint64_t number = 0; // given up once another was asked for
    std::size_t next = 0;     // of ids
    std::vector<ReportRun> runs;
    std::vector<LeftOutRun> faults;
};

} // namespace potwatch::session
