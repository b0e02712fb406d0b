// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/book_actions.h"
#include "app/cli/output.h"
#include "app/cli/progress_line.h"
#include "app/cli/stop_signal.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "io/book/book.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <iterator>
#include <optional>
#include <utility>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;

struct Checked {
    std::size_t runs = 0;
    std::vector<std::string> found;   // faults of the book
    std::vector<std::string> notices; // what else was noticed
};

Result<Checked> check(const BookWanted& wanted, const Progress& progress, const std::stop_token& stop) {
    Result<book::Opened> opened = book::Book::open(wanted.book, book::Access::read);
    if (!opened) {
        return tl::unexpected(std::move(opened.error()));
    }
    Result<std::vector<std::string>> found = opened->book.check(progress, stop);
    if (!found) {
        return tl::unexpected(std::move(found.error()));
    }
    const Result<std::vector<book::RunRow>> rows = opened->book.list();
    Checked checked{.runs = rows ? rows->size() : 0, .found = opened->losses};
    checked.found.insert(checked.found.end(), found->begin(), found->end());
    std::copy_if(opened->notices.begin(), opened->notices.end(), std::back_inserter(checked.notices),
                 [&](const std::string& notice) {
                     return std::find(opened->losses.begin(), opened->losses.end(), notice) == opened->losses.end();
                 });
    return checked;
}

std::string useTheCopy(const BookWanted& wanted) {
    return "use " + wanted.repaired + " in its place";
}

Fault damaged(const BookWanted& wanted, std::size_t count, bool repaired) {
    return {.kind = FaultKind::input,
            .what = fmt::format("is damaged: {}", format::countText(count, "fault", "faults")),
            .where = {.file = wanted.book},
            .remedy = repaired ? useTheCopy(wanted)
                               : fmt::format("`potwatch book {} check --repaired COPY` saves what can still be read",
                                             wanted.book)};
}

std::string linesOf(const std::vector<std::string>& sentences) {
    std::string text;
    for (const std::string& sentence : sentences) {
        text += "  " + wrapped(format::oneLine(sentence), 2) + "\n";
    }
    return text;
}

} // namespace

ExitCode checkBook(const BookWanted& wanted) {
    std::vector<Fault> faults;
    std::optional<Result<Checked>> checked;
    std::optional<std::vector<std::string>> saved;
    {
        const StopSignal stop;
        ProgressLine progress;
        checked = check(wanted, progress.teller(), stop.token());
        if (!wanted.repaired.empty() && !stop.token().stop_requested()) {
            Result<std::vector<std::string>> copied = book::repairedCopy(wanted.book, wanted.repaired);
            if (copied) {
                saved = std::move(*copied);
            } else {
                faults.push_back(asBookFault(std::move(copied.error())));
            }
        }
    }
    const Result<Checked>& result = *checked;
    const std::vector<std::string> found = result ? result->found : std::vector<std::string>();
    if (!result) {
        Fault fault = asBookFault(result.error());
        fault.remedy = saved ? useTheCopy(wanted) : fault.remedy;
        faults.insert(faults.begin(), std::move(fault));
    } else if (!found.empty()) {
        faults.insert(faults.begin(), damaged(wanted, found.size(), saved.has_value()));
    }
    if (wanted.json) {
        return finish(printJson(Json{{"format", 1},
                                     {"book", wanted.book},
                                     {"sound", result && found.empty()},
                                     {"found", found},
                                     {"notices", result ? result->notices : std::vector<std::string>()},
                                     {"repaired", saved ? Json{{"file", wanted.repaired}, {"said", *saved}} : Json()},
                                     {"faults", faultsJson(faults)}}),
                      faults);
    }
    std::string text;
    if (result) {
        text = fmt::format("{}: {}, {}\n", format::oneLine(wanted.book), format::countText(result->runs, "run", "runs"),
                           found.empty() ? "no fault" : format::countText(found.size(), "fault", "faults"));
        text += linesOf(result->notices) + linesOf(found);
    }
    if (saved) {
        text += "Written: " + wanted.repaired + "\n" + linesOf(*saved);
    }
    return finish(printText(text), faults);
}

} // namespace potwatch::cli
