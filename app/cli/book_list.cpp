// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/book_actions.h"
#include "app/cli/output.h"
#include "app/cli/text_table.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/format/wall_time.h"
#include "io/book/book.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <utility>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;

std::string_view nameOf(book::RunState state) {
    switch (state) {
    case book::RunState::recording:
        return "recording";
    case book::RunState::complete:
        return "complete";
    case book::RunState::recovered:
        return "recovered";
    }
    return {};
}

Json jsonOf(const std::string& text) {
    return text.empty() ? Json(nullptr) : Json(text);
}

Json jsonOf(const book::RunRow& row) {
    const Json findings = Json::parse(row.findings, nullptr, false);
    return Json{{"id", row.id},
                {"name", row.name},
                {"started", row.started ? Json(format::wallTimeText(*row.started)) : Json(nullptr)},
                {"added", format::wallTimeText({.utc_us = row.added_utc_us, .offset_s = 0})},
                {"state", nameOf(row.state)},
                {"withdrawn", row.withdrawn},
                {"samples", row.samples},
                {"rows_refused", row.rows_refused},
                {"span_s", row.span_s},
                {"channels", row.channels},
                {"tags", row.notes.tags},
                {"based_on", jsonOf(row.notes.batch.based_on)},
                {"source_file", jsonOf(row.source_file)},
                {"content_hash", jsonOf(row.content_hash)},
                {"findings", findings.is_discarded() ? Json(nullptr) : findings},
                {"findings_version", findings.is_discarded() ? Json(nullptr) : Json(row.findings_version)}};
}

std::string stateText(const book::RunRow& row) {
    std::string text = row.state == book::RunState::complete ? std::string() : std::string(nameOf(row.state));
    if (row.withdrawn) {
        text += text.empty() ? "deleted" : ", deleted";
    }
    return text;
}

std::string textOf(const std::vector<book::RunRow>& rows) {
    constexpr std::size_t longest_name = 24;
    const bool has_states =
        std::any_of(rows.begin(), rows.end(), [](const book::RunRow& row) { return !stateText(row).empty(); });
    std::vector<std::vector<std::string>> cells{{"run", "begun", "samples", "channels", "span"}};
    if (has_states) {
        cells.front().emplace_back("state");
    }
    for (const book::RunRow& row : rows) {
        cells.push_back({format::shortened(format::oneLine(row.name), longest_name),
                         row.started ? format::wallTimeText(*row.started) : std::string("-"),
                         format::countText(row.samples), std::to_string(row.channels.size()),
                         format::durationText(row.span_s)});
        if (has_states) {
            cells.back().push_back(stateText(row));
        }
    }
    return rows.empty() ? std::string("  There is no run in it yet.\n") : tableText(cells);
}

} // namespace

Fault asBookFault(Fault fault) {
    if (fault.kind == FaultKind::unsupported) {
        fault.kind = FaultKind::input;
    }
    return fault;
}

std::string noticesText(const std::vector<std::string>& notices) {
    std::string text;
    for (const std::string& notice : notices) {
        text += "  " + wrapped(format::oneLine(notice), 2) + "\n";
    }
    return text;
}

ExitCode listBook(const BookWanted& wanted) {
    std::vector<Fault> faults;
    std::vector<std::string> notices;
    std::vector<book::RunRow> rows;
    // To write where that may be, so that a recording that was cut off is recovered and shown whole.
    Result<std::vector<book::RunRow>> list =
        book::Book::open(wanted.book, book::Access::recover).and_then([&](book::Opened&& opened) {
            notices = std::move(opened.notices);
            return opened.book.list();
        });
    if (!list) {
        faults.push_back(asBookFault(std::move(list.error())));
    } else {
        std::copy_if(list->begin(), list->end(), std::back_inserter(rows),
                     [&](const book::RunRow& row) { return wanted.withdrawn || !row.withdrawn; });
    }
    if (wanted.json) {
        Json runs = Json::array();
        for (const book::RunRow& row : rows) {
            runs.push_back(jsonOf(row));
        }
        return finish(printJson(Json{{"format", 1},
                                     {"book", wanted.book},
                                     {"runs", std::move(runs)},
                                     {"notices", notices},
                                     {"faults", faultsJson(faults)}}),
                      faults);
    }
    const std::string title =
        fmt::format("{}: {}\n", format::oneLine(wanted.book), format::countText(rows.size(), "run", "runs"));
    return finish(printText(list ? title + noticesText(notices) + "\n" + textOf(rows) : std::string()), faults);
}

} // namespace potwatch::cli
