// SPDX-License-Identifier: GPL-3.0-or-later
// The runs of a report: read on the keeper's thread, analysed on the thinker's, one after the other.
#include "app/session/library_parts.h"
#include "app/session/vessel_mates.h"

#include <algorithm>
#include <optional>
#include <utility>

namespace potwatch::session {
namespace {

constexpr const char* report_key = "report";
constexpr std::size_t most_kept_values = 25'000'000; // about 200 MB of series

// Only what is written on the plot may have changed: that alone is taken over.
std::shared_ptr<const Analysis> annotated(std::shared_ptr<const Analysis> analysis, const book::Notes& notes) {
    if (analysis->annotations == notes.annotations) {
        return analysis;
    }
    auto changed = std::make_shared<Analysis>(*analysis);
    changed->annotations = notes.annotations;
    return changed;
}

std::size_t valuesOf(const Analysis& analysis) {
    constexpr std::size_t traces = 11; // of a series, at the most
    return traces * analysis.series.time_s.size();
}

} // namespace

void Library::reportRuns(const std::vector<book::RunId>& ids, std::uint64_t ticket) {
    parts_->thinker.cancel(report_key);
    auto report = std::make_shared<Parts::Report>();
    report->ids = ids;
    report->ticket = ticket;
    report->number = ++parts_->reports_asked;
    parts_->keeper.postLatest(
        report_key, [parts = parts_.get(), report](const std::stop_token& stop) { parts->goOn(report, stop); });
}

void Library::stopReport() {
    ++parts_->reports_asked;
    parts_->keeper.cancel(report_key);
    parts_->thinker.cancel(report_key);
}

void Library::Parts::goOn(const std::shared_ptr<Report>& report, const std::stop_token& stop) {
    for (; report->next < report->ids.size(); ++report->next) {
        if (!store || stop.stop_requested() || report->number != reports_asked) {
            return;
        }
        const book::RunId& id = report->ids[report->next];
        const std::optional<std::size_t> at = store->indexOf(id);
        if (!at) {
            continue; // deleted meanwhile, and gone from the list it was chosen in
        }
        const book::RunRow& row = store->rows()[*at];
        tell(
            ReportGathering{.ticket = report->ticket, .done = report->next, .of = report->ids.size(), .run = row.name});
        const std::string key = findingsKey(store->rows(), *at);
        const auto kept = analysed.find(id);
        if (kept != analysed.end() && kept->second.key == key && kept->second.name == row.name) {
            addToReport(*report, row, annotated(kept->second.analysis, row.notes));
            continue;
        }
        Result<Order> order = gather(id, stop);
        if (stop.stop_requested()) {
            return;
        }
        if (!order) {
            report->faults.push_back({.run = row.name, .fault = std::move(order.error())});
            continue;
        }
        analyseForReport(report, std::make_shared<Order>(*std::move(order)));
        return;
    }
    if (report->number != reports_asked) {
        return;
    }
    tell(ReportGathered{.ticket = report->ticket, .runs = report->runs, .faults = report->faults});
    refreshNext(stop);
}

void Library::Parts::analyseForReport(const std::shared_ptr<Report>& report, const std::shared_ptr<Order>& order) {
    thinker.postLatest(report_key, [this, report, order](const std::stop_token& stop) {
        if (last_analysis && last_id == order->view.id && last_key == order->key) {
            order->view.analysis = annotated(last_analysis, order->view.notes); // the run that is shown
        } else {
            analyseAnew(*order, true, stop);
        }
        if (stop.stop_requested()) {
            return;
        }
        keeper.postLatest(report_key, [this, report, order](const std::stop_token& stop_next) {
            const RunView& view = order->view;
            const std::optional<std::size_t> at = store ? store->indexOf(view.id) : std::nullopt;
            if (at && view.analysis) {
                keepAnalysed(*report, store->rows()[*at], *order);
                addToReport(*report, store->rows()[*at], view.analysis);
            } else if (at && !view.faults.empty()) {
                report->faults.push_back({.run = store->rows()[*at].name, .fault = view.faults.front()});
            }
            ++report->next;
            goOn(report, stop_next);
        });
    });
}

void Library::Parts::keepAnalysed(const Report& report, const book::RunRow& row, const Order& order) {
    std::size_t values = valuesOf(*order.view.analysis);
    for (const auto& [id, kept] : analysed) {
        values += valuesOf(*kept.analysis);
    }
    if (values > most_kept_values) {
        std::erase_if(analysed, [&](const auto& kept) {
            return std::find(report.ids.begin(), report.ids.end(), kept.first) == report.ids.end();
        });
    }
    analysed[order.view.id] = {.key = order.key, .name = row.name, .analysis = order.view.analysis};
}

void Library::Parts::addToReport(Report& report, const book::RunRow& row, std::shared_ptr<const Analysis> analysis) {
    ReportRun run{.analysis = std::move(analysis), .batch = row.notes.batch, .photos = {}};
    const Result<std::vector<std::string>> names = store->book().photoNames(row.id);
    for (const std::string& name : names ? *names : std::vector<std::string>()) {
        Result<book::Photo> photo = store->book().photo(row.id, name);
        if (photo) {
            run.photos.push_back(*std::move(photo));
        } else {
            report.faults.push_back({.run = row.name, .fault = std::move(photo.error())});
        }
    }
    report.runs.push_back(std::move(run));
}

} // namespace potwatch::session
