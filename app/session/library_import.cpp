// SPDX-License-Identifier: GPL-3.0-or-later
// The library's imports: reading is the reader's, what touches the book the keeper's.
#include "app/session/book_runs.h"
#include "app/session/library_parts.h"
#include "app/session/memory.h"
#include "app/session/sample_data.h"

#include <fmt/format.h>

#include <filesystem>
#include <future>
#include <optional>
#include <system_error>
#include <unistd.h>
#include <utility>

namespace potwatch::session {
namespace {

constexpr const char* work_key = "work";
constexpr double reading_share = 0.6; // of an import's time; the rest is writing

std::string nameOf(const std::string& file) {
    return std::filesystem::path(file).filename().string();
}

Progress part(const Progress& whole, double from, double to, const std::string& doing) {
    if (!whole) {
        return {};
    }
    return [=](double fraction, std::string_view) { whole(from + (to - from) * fraction, doing); };
}

} // namespace

Progress Library::Parts::workingProgress(double from, double to) const {
    auto last = std::make_shared<std::chrono::steady_clock::time_point>();
    return [this, from, to, last](double fraction, std::string_view doing) {
        constexpr std::chrono::milliseconds between(60);
        const auto now = std::chrono::steady_clock::now();
        if (now - *last >= between) {
            *last = now;
            tell(Working{.fraction = from + (to - from) * fraction, .doing = std::string(doing)});
        }
    };
}

ImportedFile Library::Parts::importFile(const FileToOpen& file, double from, double to, const std::stop_token& stop) {
    ImportedFile imported{.file = file.file};
    if (const Result<void> fits = checkMemoryFor(file.file, freeMemoryBytes()); !fits) {
        imported.faults.push_back(fits.error());
        return imported;
    }
    const double middle = from + reading_share * (to - from);
    tl::expected<ForBook, Faults> read = readForBook(
        file.file, file.options, part(workingProgress(), from, middle, "reading " + nameOf(file.file)), stop);
    if (!read) {
        imported.faults = std::move(read.error());
        return imported;
    }
    imported.warnings = std::move(read->warnings);
    book::NewRun wanted = std::move(read->run);
    imported.name = wanted.run.name;

    auto answer = std::make_shared<std::promise<std::optional<Result<book::Added>>>>();
    std::future<std::optional<Result<book::Added>>> added = answer->get_future();
    const Progress writing = part(workingProgress(), middle, to, "keeping " + nameOf(file.file));
    keeper.post(
        [this, &wanted, &stop, answer, writing](const std::stop_token& stop_writing) {
            if (!store) {
                answer->set_value(std::nullopt);
                return;
            }
            // Either may stop it: the person, or the end of the program.
            std::stop_source both;
            const std::stop_callback by_reader(stop, [&both] { both.request_stop(); });
            const std::stop_callback by_keeper(stop_writing, [&both] { both.request_stop(); });
            Result<book::Added> result = store->book().add(wanted, writing, both.get_token());
            if (result && store->readAll()) {
                tellList();
            }
            answer->set_value(std::move(result));
        },
        work_key);
    std::optional<Result<book::Added>> result = added.get();
    if (!result) {
        imported.faults.push_back(
            {.kind = FaultKind::input, .what = "no book is open", .remedy = "open a book, or make a new one"});
    } else if (!*result) {
        imported.faults.push_back(std::move(result->error()));
    } else {
        imported.id = (*result)->id;
        imported.was_there = (*result)->was_there;
        imported.was_withdrawn = (*result)->was_withdrawn;
    }
    return imported;
}

ImportEnded Library::Parts::import(const std::vector<FileToOpen>& files, const std::stop_token& stop) {
    ImportEnded imported;
    const double share = 1.0 / static_cast<double>(std::max<std::size_t>(files.size(), 1));
    for (std::size_t i = 0; i < files.size() && !stop.stop_requested(); ++i) {
        const double from = share * static_cast<double>(i);
        imported.files.push_back(importFile(files[i], from, from + share, stop));
    }
    imported.stopped = stop.stop_requested();
    keeper.post([this](const std::stop_token& stop_next) { refreshNext(stop_next); });
    return imported;
}

News Library::Parts::importDemo(const std::string& book, const std::stop_token& stop) {
    tell(Working{.fraction = 0.0, .doing = "making the sample data"});
    std::error_code error;
    const std::filesystem::path folder =
        std::filesystem::temp_directory_path(error) / fmt::format("potwatch-demo-{}", ::getpid());
    Result<std::vector<std::string>> written = writeSampleData(folder.string());
    News ended = Failed{.what = "the sample data could not be made", .fault = written ? Fault() : written.error()};
    if (written) {
        keeper.post([this, book](const std::stop_token&) { open(book, book::Access::create); });
        std::vector<FileToOpen> files;
        for (const std::string& file : *written) {
            if (file.ends_with(".csv")) {
                files.push_back({.file = file, .options = {}});
            }
        }
        ended = import(files, stop);
    }
    std::filesystem::remove_all(folder, error);
    return ended;
}

} // namespace potwatch::session
