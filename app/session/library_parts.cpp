// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/library_parts.h"

#include "app/format/findings_json.h"
#include "app/session/batch_findings.h"
#include "app/session/book_runs.h"
#include "app/session/celsius.h"
#include "app/session/open.h"
#include "app/session/vessel_mates.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <string_view>
#include <system_error>
#include <utility>

namespace potwatch::session {
namespace {

using std::chrono::steady_clock;

constexpr const char* analyse_key = "analyse";
constexpr const char* refresh_key = "refresh";
constexpr const char* next_key = "next";

constexpr std::chrono::milliseconds between_news(80);  // of progress: to look alive, and no more
constexpr std::chrono::seconds between_looks(3);       // at a run that is being recorded
constexpr std::size_t most_cached_values = 12'000'000; // about 100 MB, besides the run shown

// Passes on only as much progress as can be seen.
Progress sparse(std::function<void(double)> tell) {
    auto last = std::make_shared<steady_clock::time_point>();
    return [tell = std::move(tell), last](double fraction, std::string_view) {
        const steady_clock::time_point now = steady_clock::now();
        if (now - *last >= between_news) {
            *last = now;
            tell(fraction);
        }
    };
}

// A file of that ending, or any SQLite file. Source: SQLite file format, the header string.
bool wasABook(const std::string& path) {
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path, ignored)) {
        return false;
    }
    std::ifstream stream(path, std::ios::binary);
    std::array<char, 16> start{};
    stream.read(start.data(), static_cast<std::streamsize>(start.size()));
    return path.ends_with(book_ending) || std::string_view(start.data(), 15) == "SQLite format 3";
}

void applyNotes(Run& run, const book::Notes& notes) {
    run.batch = notes.batch;
    run.overrides = notes.overrides;
    run.annotations = notes.annotations;
    if (!notes.batch.name.empty()) {
        run.name = notes.batch.name;
    }
}

} // namespace

Library::Parts::Parts(Tell teller)
    : tell(std::move(teller))
    , keeper([this](const std::stop_token&) { follow(); }) {
    for (Worker* const worker : {&thinker, &keeper, &reader, &fitter}) {
        worker->tellGivenUp([this] {
            tell(Failed{.what = "a job was given up",
                        .fault = {.kind = FaultKind::storage,
                                  .what = "this computer's memory was not enough for it",
                                  .where = {},
                                  .remedy = "close other programs, or cut the run into shorter ones"}});
        });
    }
}

Library::Parts::~Parts() {
    reader.end();
    thinker.end();
    fitter.end();
    keeper.end();
}

void Library::Parts::open(const std::string& path, book::Access access) {
    if (access == book::Access::create) {
        std::error_code ignored; // where the folder cannot be made, the book says so
        std::filesystem::create_directories(std::filesystem::path(path).parent_path(), ignored);
    }
    Result<Store::OpenedStore> opened = Store::open(path, access);
    if (!opened) {
        const bool repairable = opened.error().kind == FaultKind::input && wasABook(path);
        tell(BookRefused{.path = path, .fault = std::move(opened.error()), .repairable = repairable});
        return;
    }
    close();
    store = std::move(opened->store);
    tell(BookOpened{.path = path,
                    .read_only = store->book().isReadOnly(),
                    .not_writable = std::move(opened->not_writable),
                    .notices = std::move(opened->notices)});
    tellList();
    refreshNext({});
}

void Library::Parts::close() {
    thinker.cancel(analyse_key);
    thinker.cancel(refresh_key);
    shown.clear();
    removed_photos.clear();
    compared.clear();
    wanted_to_compare.clear();
    analysed.clear();
    cache.clear();
    store.reset();
}

void Library::Parts::tellList() {
    if (store) {
        tell(BookListed{.runs = store->listed(), .edits = edits_done});
    }
}

void Library::Parts::follow() {
    if (!store) {
        return;
    }
    const Result<bool> changed = store->follow();
    if (changed && *changed) {
        tellList();
        showAgain({});
    }
}

void Library::Parts::edit(std::uint64_t number, const std::vector<book::RunId>& ids,
                          const std::function<Result<void>(book::Book&)>& change) {
    edits_done = number;
    if (!store) {
        return;
    }
    Result<void> done = change(store->book());
    if (!done) {
        tell(Failed{.what = "the change could not be saved", .fault = std::move(done.error()), .edit = true});
    }
    for (const book::RunId& id : ids) {
        if (Result<void> read = store->readRow(id); !read) {
            tell(Failed{.what = "the book could not be read", .fault = std::move(read.error())});
            break;
        }
    }
    tellList();
}

Result<Library::Parts::Order> Library::Parts::gather(const book::RunId& id, const std::stop_token& stop) {
    const std::vector<book::RunRow>& rows = store->rows();
    const std::optional<std::size_t> at = store->indexOf(id);
    if (!at) {
        return tl::unexpected(Fault{.kind = FaultKind::input, .what = "this run is no longer in the book"});
    }
    const book::RunRow& row = rows[*at];
    Order order{.key = findingsKey(rows, *at), .content = row.content_hash, .samples = row.samples};
    order.view.id = id;
    order.view.notes = row.notes;
    order.view.channels = row.channels;
    if (Result<std::vector<std::string>> photos = store->book().photoNames(id)) {
        order.view.photos = std::move(*photos);
    }
    const book::RunRow* previous = nullptr;
    for (const book::RunRow& other : rows) {
        if (other.id != id && !other.withdrawn && other.notes.batch.blank == row.notes.batch.blank &&
            momentOf(other) <= momentOf(row) && (previous == nullptr || momentOf(other) > momentOf(*previous))) {
            previous = &other;
        }
    }
    if (previous != nullptr) {
        order.view.previous = previous->notes.batch;
        order.view.previous_name = previous->name;
    }
    std::vector<std::size_t> wanted{*at};
    const std::vector<std::size_t> mates = vesselMates(rows, *at);
    wanted.insert(wanted.end(), mates.begin(), mates.end());
    std::vector<book::RunId> in_use{shown};
    for (const std::size_t one : wanted) {
        const book::RunRow& needed = rows[one];
        if (!cache.holds(needed.id, needed.samples, calibrationsIn(needed.notes.batch))) {
            Result<book::StoredRun> read = store->book().read(needed.id, {}, stop);
            if (!read && one == *at) {
                return tl::unexpected(std::move(read.error()));
            }
            if (!read) {
                continue; // a mate that cannot be read teaches nothing, and is told of when it is opened
            }
            if (needed.rows_refused > 0) {
                read->remarks.push_back(refusedLinesText(needed.rows_refused));
            }
            cache.put({.id = needed.id,
                       .run = std::move(read->run),
                       .conversion = std::move(read->conversion),
                       .remarks = std::move(read->remarks),
                       .samples = needed.samples,
                       .calibrations = calibrationsIn(needed.notes.batch)});
        }
        order.runs.emplace_back(needed.id, needed.notes);
        in_use.push_back(needed.id);
    }
    cache.trim(most_cached_values, in_use);
    return order;
}

void Library::Parts::show(bool tell_at_once, const std::stop_token& stop) {
    if (!store || shown.empty()) {
        return;
    }
    Result<Order> order = gather(shown, stop);
    if (stop.stop_requested()) {
        return;
    }
    if (!order) {
        RunView view{.id = shown};
        if (const std::optional<std::size_t> at = store->indexOf(shown)) {
            view.notes = store->rows()[*at].notes;
        }
        view.faults.push_back(std::move(order.error()));
        tell(RunShown{.view = std::make_shared<const RunView>(std::move(view)), .complete = true});
        return;
    }
    shown_key = order->key;
    shown_notes = order->view.notes;
    shown_samples = order->samples;
    shown_at = steady_clock::now();
    if (tell_at_once) {
        tell(RunShown{.view = std::make_shared<const RunView>(order->view)});
    }
    auto shared = std::make_shared<Order>(std::move(*order));
    thinker.cancel(refresh_key); // what the person looks at comes first
    thinker.postLatest(analyse_key, [this, shared](const std::stop_token& stop_analysis) {
        analyseOrder(shared, false, stop_analysis);
    });
}

void Library::Parts::showAgain(const std::stop_token& stop) {
    const std::optional<std::size_t> at = store ? store->indexOf(shown) : std::nullopt;
    if (!at) {
        refreshNext(stop);
        return;
    }
    const book::RunRow& row = store->rows()[*at];
    const bool too_soon = row.state == book::RunState::recording && steady_clock::now() - shown_at < between_looks;
    if ((findingsKey(store->rows(), *at) == shown_key && row.notes == shown_notes) || too_soon) {
        refreshNext(stop);
        return;
    }
    show(row.samples != shown_samples, stop);
}

void Library::Parts::refreshNext(const std::stop_token&) {
    // Asked for by jobs that have others waiting behind them: done once, after those.
    keeper.postLatest(next_key, [this](const std::stop_token& stop) {
        if (!store) {
            return;
        }
        const std::vector<book::RunId> ids = store->outOfDate();
        tell(Refreshing{.runs_left = ids.size()});
        if (thinker.pending() > 0) {
            // Whoever is thinking asks again when it is done; but it may have asked already and not have ended yet.
            thinker.postLatest(next_key, [this](const std::stop_token& stop_then) { refreshNext(stop_then); });
            return;
        }
        // What a comparison waits for, and then what is out of date but for the one that is shown: that one is analysed
        // anyway.
        std::optional<book::RunId> next = nextToCompare();
        if (!next) {
            const auto not_shown = std::find_if(ids.begin(), ids.end(), [&](const auto& id) { return id != shown; });
            next = not_shown == ids.end() ? std::nullopt : std::optional(*not_shown);
        }
        if (!next) {
            return;
        }
        Result<Order> order = gather(*next, stop);
        if (!order) {
            const std::optional<std::size_t> at = store->indexOf(*next);
            if (order.error().kind != FaultKind::cancelled) {
                const std::string key = at ? findingsKey(store->rows(), *at) : std::string();
                store->giveUp(*next, key);
                keepCompared(*next, {.key = key, .run = nullptr, .why_not = std::move(order.error())});
                refreshNext(stop);
            }
            return;
        }
        auto shared = std::make_shared<Order>(std::move(*order));
        thinker.postLatest(refresh_key, [this, shared](const std::stop_token& stop_analysis) {
            analyseOrder(shared, true, stop_analysis);
        });
    });
}

void Library::Parts::analyseOrder(const std::shared_ptr<Order>& order, bool in_background,
                                  const std::stop_token& stop) {
    RunView& view = order->view;
    if (last_analysis && last_id == view.id && last_key == order->key) {
        // Only what is written on the plot has changed, or nothing at all.
        if (last_analysis->annotations != view.notes.annotations) {
            auto analysis = std::make_shared<Analysis>(*last_analysis);
            analysis->annotations = view.notes.annotations;
            last_analysis = std::move(analysis);
        }
        view.analysis = last_analysis;
    } else {
        analyseAnew(*order, in_background, stop);
    }
    if (stop.stop_requested()) {
        return; // something newer was asked for
    }
    const book::RunId id = view.id;
    const std::string json = view.analysis ? format::findingsJson(*view.analysis).dump() : std::string();
    const int version = view.analysis ? view.analysis->findings.version : 0;
    if (!in_background) {
        last_analysis = view.analysis;
        last_id = id;
        last_key = order->key;
        tell(RunShown{.view = std::make_shared<const RunView>(view), .complete = true});
    }
    Compared for_comparison{.key = order->key, .run = nullptr, .why_not = std::nullopt};
    if (view.analysis) {
        for_comparison.run = std::make_shared<const compare::ComparedRun>(
            compare::comparedRun(view.notes.batch, *view.analysis, order->content));
    } else if (!view.faults.empty()) {
        for_comparison.why_not = view.faults.front();
    }
    keeper.postLatest("keep " + id,
                      [this, id, json, version, key = order->key, for_comparison](const std::stop_token& stop_next) {
                          if (store && json.empty()) {
                              store->giveUp(id, key);
                          } else if (store && !store->hasFindings(id, key)) {
                              store->keepFindings(id, version, json, key);
                              tellList();
                          }
                          keepCompared(id, for_comparison);
                          refreshNext(stop_next);
                      });
}

void Library::Parts::analyseAnew(Order& order, bool in_background, const std::stop_token& stop) {
    RunView& view = order.view;
    std::vector<ReadRun> taken;
    std::vector<Run> runs; // in one piece, as the analysis wants them
    std::vector<std::string> noticed;
    for (const auto& [id, notes] : order.runs) {
        std::optional<ReadRun> run = cache.take(id);
        if (!run) {
            continue; // a mate that was dropped meanwhile
        }
        applyNotes(run->run, notes);
        const Millivolts millivolts{.type = run->conversion.thermocouple,
                                    .cold_junction = run->conversion.cold_junction};
        Result<std::vector<std::string>> converted = convertToCelsius(run->run, run->run.batch.pot_channel, millivolts);
        if (converted && !run->is_corrected) {
            const Result<std::vector<std::string>> corrected = correctReadings(run->run);
            run->is_corrected = corrected.has_value();
            if (corrected) {
                converted->insert(converted->end(), corrected->begin(), corrected->end());
            } else {
                converted = tl::unexpected(corrected.error());
            }
        }
        if (id == view.id) {
            if (converted) {
                // Only the first time is there something to convert, and to say about it.
                run->remarks.insert(run->remarks.end(), converted->begin(), converted->end());
            } else {
                view.faults.push_back(std::move(converted.error()));
            }
            noticed = run->remarks;
        }
        runs.push_back(std::exchange(run->run, Run()));
        taken.push_back(std::move(*run));
        if (!converted && id != view.id) {
            // It teaches nothing: an empty run is a fault of its own to the analysis, and of nobody else.
            taken.back().run = std::move(runs.back());
            runs.pop_back();
            cache.giveBack(std::move(taken.back()));
            taken.pop_back();
        }
    }
    const bool here = !taken.empty() && taken.front().id == view.id;
    if (here && view.faults.empty()) {
        const Progress progress = in_background ? Progress() : sparse([this, id = view.id](double fraction) {
            tell(Analysing{.id = id, .fraction = fraction});
        });
        std::vector<Result<Analysis>> analyses = analyse(runs, {.same_vessel = true}, progress, stop);
        if (analyses.front()) {
            addBatchFindings(*analyses.front(), runs.front().batch);
            std::vector<std::string>& warnings = analyses.front()->findings.warnings;
            warnings.insert(warnings.begin(), noticed.begin(), noticed.end());
            view.analysis = std::make_shared<const Analysis>(std::move(*analyses.front()));
        } else {
            view.faults.push_back(std::move(analyses.front().error()));
        }
    }
    for (std::size_t i = 0; i < taken.size(); ++i) {
        taken[i].run = std::move(runs[i]);
        cache.giveBack(std::move(taken[i]));
    }
}

void Library::Parts::copyBook(const std::string& to) {
    if (!store) {
        return;
    }
    if (Result<void> copied = store->book().copyTo(to); copied) {
        tell(Done{.what = "copied to " + to});
    } else {
        tell(Failed{.what = "the copy was not made", .fault = std::move(copied.error())});
    }
}

} // namespace potwatch::session
