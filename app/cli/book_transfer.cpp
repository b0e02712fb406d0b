// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/book_actions.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/progress_line.h"
#include "app/cli/stop_signal.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/session/book_runs.h"
#include "app/session/file_name.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <filesystem>
#include <set>
#include <system_error>
#include <utility>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;

std::string whatBecame(const session::Imported& imported) {
    if (imported.was_withdrawn) {
        return "was in the book, deleted; it is back";
    }
    return imported.was_there ? "is in the book already; nothing was added"
                              : format::countText(imported.samples, "sample", "samples") + " added";
}

std::string textOf(const session::ImportOutcome& outcome) {
    const session::Imported& imported = *outcome.result;
    std::string text = fmt::format("  {}: run \"{}\" {}\n", format::oneLine(outcome.file),
                                   format::oneLine(imported.name), whatBecame(imported));
    for (const std::string& warning : imported.warnings) {
        text += "    " + wrapped(format::oneLine(warning), 4) + "\n";
    }
    return text;
}

Json jsonOf(const session::ImportOutcome& outcome) {
    const session::Imported& imported = *outcome.result;
    return Json{{"file", outcome.file},
                {"id", imported.id},
                {"name", imported.name},
                {"samples", imported.samples},
                {"was_there", imported.was_there},
                {"was_withdrawn", imported.was_withdrawn},
                {"warnings", imported.warnings}};
}

// A run that is to be exported, and the beginning of its files' names.
struct ToExport {
    book::RunId id;
    std::string stem;
};

Fault noSuchRun(const BookWanted& wanted, const std::string& run) {
    return {.kind = FaultKind::input,
            .what = fmt::format("has no run \"{}\"", run),
            .where = {.file = wanted.book},
            .remedy = fmt::format("`potwatch book {} list` shows those that it has", wanted.book)};
}

std::vector<ToExport> runsToExport(const BookWanted& wanted, const std::vector<book::RunRow>& rows,
                                   std::vector<Fault>& faults) {
    for (const std::string& run : wanted.runs) {
        if (std::none_of(rows.begin(), rows.end(),
                         [&](const book::RunRow& row) { return row.name == run || row.id == run; })) {
            faults.push_back(noSuchRun(wanted, run));
        }
    }
    std::vector<ToExport> chosen;
    std::set<std::string> taken;
    for (const book::RunRow& row : rows) {
        const bool named = std::any_of(wanted.runs.begin(), wanted.runs.end(),
                                       [&](const std::string& run) { return row.name == run || row.id == run; });
        if (!named && (!wanted.runs.empty() || row.withdrawn)) {
            continue;
        }
        const std::string first = session::asFileName(row.name);
        std::string stem = first;
        for (int number = 2; !taken.insert(stem).second; ++number) {
            stem = fmt::format("{}-{}", first, number);
        }
        chosen.push_back({.id = row.id, .stem = std::move(stem)});
    }
    return chosen;
}

Result<void> makeFolder(const std::string& folder) {
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (!error || std::filesystem::is_directory(folder)) {
        return {};
    }
    return tl::unexpected(Fault{.kind = FaultKind::storage,
                                .what = "cannot be made: " + error.message(),
                                .where = {.file = folder},
                                .remedy = "name another folder with --into"});
}

} // namespace

ExitCode importIntoBook(const BookWanted& wanted) {
    const std::vector<session::FileToOpen> files = filesToOpen(wanted.import);
    std::vector<Fault> faults;
    std::vector<std::string> notices;
    std::vector<session::ImportOutcome> outcomes;
    {
        const StopSignal stop;
        ProgressLine progress;
        Result<book::Opened> opened = book::Book::open(wanted.book, book::Access::create);
        if (!opened) {
            faults.push_back(asBookFault(std::move(opened.error())));
        } else {
            notices = std::move(opened->notices);
            outcomes = session::importFiles(opened->book, files, progress.teller(), stop.token());
            addStopped(faults, stop.token());
        }
    }
    std::string text = fmt::format("{}\n", format::oneLine(wanted.book)) + noticesText(notices);
    Json imported = Json::array();
    for (const session::ImportOutcome& outcome : outcomes) {
        if (outcome.result) {
            text += textOf(outcome);
            imported.push_back(jsonOf(outcome));
        } else {
            faults.insert(faults.end(), outcome.result.error().begin(), outcome.result.error().end());
        }
    }
    if (wanted.json) {
        return finish(printJson(Json{{"format", 1},
                                     {"book", wanted.book},
                                     {"imported", std::move(imported)},
                                     {"notices", notices},
                                     {"faults", faultsJson(faults)}}),
                      faults);
    }
    return finish(printText(imported.empty() && notices.empty() && outcomes.empty() ? std::string() : text), faults);
}

ExitCode exportFromBook(const BookWanted& wanted) {
    demand("--into FOLDER", !wanted.into.empty());
    std::vector<Fault> faults;
    std::vector<std::string> notices;
    std::vector<session::Exported> exported;
    {
        const StopSignal stop;
        ProgressLine progress;
        Result<book::Opened> opened = book::Book::open(wanted.book, book::Access::recover);
        Result<std::vector<book::RunRow>> rows =
            opened ? opened->book.list() : tl::unexpected(std::move(opened.error()));
        const std::vector<ToExport> chosen = rows ? runsToExport(wanted, *rows, faults) : std::vector<ToExport>();
        const Result<void> folder = chosen.empty() ? Result<void>() : makeFolder(wanted.into);
        if (!rows || !folder) {
            faults.push_back(asBookFault(rows ? folder.error() : rows.error()));
        } else {
            notices = std::move(opened->notices);
            for (const ToExport& run : chosen) {
                Result<session::Exported> done =
                    session::exportRun(opened->book, run.id, wanted.into, run.stem, progress.teller(), stop.token());
                if (done) {
                    exported.push_back(std::move(*done));
                } else {
                    faults.push_back(asBookFault(std::move(done.error())));
                }
                if (stop.token().stop_requested()) {
                    break;
                }
            }
        }
        addStopped(faults, stop.token());
    }
    std::string text = noticesText(notices);
    Json written = Json::array();
    Json warnings = Json::array();
    for (const session::Exported& run : exported) {
        for (const std::string& file : run.written) {
            text += "Written: " + file + "\n";
            written.push_back(file);
        }
        for (const std::string& warning : run.warnings) {
            const std::string line = run.written.front() + ": " + warning;
            text += "  " + wrapped(format::oneLine(line), 2) + "\n";
            warnings.push_back(line);
        }
    }
    if (wanted.json) {
        return finish(printJson(Json{{"format", 1},
                                     {"book", wanted.book},
                                     {"written", std::move(written)},
                                     {"warnings", std::move(warnings)},
                                     {"notices", notices},
                                     {"faults", faultsJson(faults)}}),
                      faults);
    }
    return finish(printText(text), faults);
}

} // namespace potwatch::cli
