// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/one_run.h"

#include "app/session/book_runs.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::session {
namespace {

Result<book::StoredRun> readStored(const std::string& path, const std::string& run) {
    Result<book::Opened> opened = book::Book::open(path, book::Access::read);
    const Result<std::vector<book::RunRow>> rows = opened ? opened->book.list() : tl::unexpected(opened.error());
    if (!rows) {
        return tl::unexpected(rows.error());
    }
    const auto found = std::find_if(rows->rbegin(), rows->rend(), [&](const book::RunRow& row) {
        return row.id == run || (row.name == run && !row.withdrawn);
    });
    if (found == rows->rend()) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = fmt::format("has no run \"{}\"", run),
                                    .where = {.file = path},
                                    .remedy = fmt::format("`potwatch book {} list` shows those that it has", path)});
    }
    return opened->book.read(found->id);
}

void forgetCalibrations(Batch& batch) {
    for (Probe& probe : batch.probes) {
        probe.calibration.reset();
    }
}

} // namespace

tl::expected<OpenedRun, Faults> openOneRun(const OneRun& wanted, bool uncorrected) {
    if (!wanted.file.empty()) {
        tl::expected<ReceivedRun, Faults> received = receiveRun(wanted.file, wanted.open);
        if (!received) {
            return tl::unexpected(std::move(received.error()));
        }
        if (uncorrected) {
            forgetCalibrations(received->run.batch);
        }
        return makeReady(std::move(*received), wanted.open.channel,
                         {.type = wanted.open.thermocouple, .cold_junction = wanted.open.cold_junction});
    }
    Result<book::StoredRun> stored = readStored(wanted.book.empty() ? defaultBookPath() : wanted.book, wanted.run);
    if (!stored) {
        return tl::unexpected(Faults{std::move(stored.error())});
    }
    if (uncorrected) {
        forgetCalibrations(stored->run.batch);
    }
    return openStored(std::move(*stored), wanted.open.channel);
}

} // namespace potwatch::session
