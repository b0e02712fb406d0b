// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/book_runs.h"

#include "app/session/celsius.h"
#include "app/session/photo_file.h"
#include "app/session/progress_part.h"

#include <fmt/format.h>

#include <cstdlib>
#include <filesystem>
#include <system_error>
#include <utility>

namespace potwatch::session {
namespace {

namespace fs = std::filesystem;

// Reading and parsing a table takes about as long as storing it.
constexpr double reading_share = 0.5;

// What makeReady() would say of the run, found without touching its samples.
Faults whatKeepsItFromBeingReady(const Run& run, const OpenOptions& options) {
    ReceivedRun bare{.run = {.name = run.name, .file = run.file, .batch = run.batch}};
    for (const Channel& channel : run.channels) {
        bare.run.channels.push_back({.name = channel.name, .unit = channel.unit});
    }
    const tl::expected<OpenedRun, Faults> ready = makeReady(
        std::move(bare), options.channel, {.type = options.thermocouple, .cold_junction = options.cold_junction});
    return ready ? Faults() : ready.error();
}

tl::expected<Imported, Faults> importFile(book::Book& book, const FileToOpen& file, const Progress& progress,
                                          const std::stop_token& stop) {
    const Progress reading = partOf(progress, 0.0, reading_share);
    const Progress storing = partOf(progress, reading_share, 1.0 - reading_share);
    tl::expected<ForBook, Faults> received = readForBook(file.file, file.options, reading, stop);
    if (!received) {
        return tl::unexpected(std::move(received.error()));
    }
    const Result<book::Added> added = book.add(received->run, storing, stop);
    if (!added) {
        return tl::unexpected(Faults{added.error()});
    }
    const Result<book::RunRow> row = book.row(added->id);
    if (!row) {
        return tl::unexpected(Faults{row.error()});
    }
    return Imported{.id = added->id,
                    .name = row->name,
                    .samples = row->samples,
                    .was_there = added->was_there,
                    .was_withdrawn = added->was_withdrawn,
                    .warnings = std::move(received->warnings)};
}

} // namespace

std::string defaultBookPath() {
    const auto folder = [](const char* variable) {
        const char* const value = std::getenv(variable);
        return value != nullptr && fs::path(value).is_absolute() ? fs::path(value) : fs::path();
    };
    const fs::path data = folder("XDG_DATA_HOME");
    const fs::path home = folder("HOME");
    if (data.empty() && home.empty()) {
        return {};
    }
    return ((data.empty() ? home / ".local" / "share" : data) / "potwatch" / "batches").string() +
           std::string(book_ending);
}

Result<book::Opened> openOrMakeBook(const std::string& path) {
    std::error_code error;
    const fs::path folder = fs::path(path).parent_path();
    if (!folder.empty() && !fs::exists(folder, error)) {
        fs::create_directories(folder, error);
        if (error) {
            return tl::unexpected(Fault{.kind = FaultKind::storage,
                                        .what = "its folder cannot be made: " + error.message(),
                                        .where = {.file = path},
                                        .remedy = "choose another place for the book"});
        }
    }
    return book::Book::open(path, book::Access::create);
}

tl::expected<OpenedRun, Faults> openStored(book::StoredRun stored, const std::string& pot_channel) {
    return makeReady({.run = std::move(stored.run), .remarks = std::move(stored.remarks)}, pot_channel,
                     {.type = stored.conversion.thermocouple, .cold_junction = stored.conversion.cold_junction});
}

tl::expected<ForBook, Faults> readForBook(const std::string& file, const OpenOptions& options, const Progress& progress,
                                          std::stop_token stop) {
    tl::expected<ReceivedRun, Faults> received = receiveRun(file, options, progress, std::move(stop));
    if (!received) {
        return tl::unexpected(std::move(received.error()));
    }
    if (Faults faults = whatKeepsItFromBeingReady(received->run, options); !faults.empty()) {
        return tl::unexpected(std::move(faults));
    }
    ForBook made{.run = {.run = std::move(received->run),
                         .conversion = {.thermocouple = options.thermocouple, .cold_junction = options.cold_junction},
                         .remarks = std::move(received->remarks)}};
    Batch& batch = made.run.run.batch;
    if (options.shared_batch && !batch.name.empty()) {
        batch.name = made.run.run.name; // in the book each run has a batch of its own
    }
    if (!options.channel.empty()) {
        batch.pot_channel = options.channel;
    }
    if (!batch.outcome.photo.empty()) {
        const fs::path beside = fs::path(batch.file).parent_path();
        if (Result<book::Photo> photo = readPhotoFile((beside / batch.outcome.photo).string())) {
            batch.outcome.photo = photo->name;
            made.run.photos.push_back(std::move(*photo));
        } else {
            made.warnings.push_back("the photo that the batch file names is not in the book: " +
                                    describe(photo.error()));
        }
    }
    return made;
}

std::vector<ImportOutcome> importFiles(book::Book& book, std::span<const FileToOpen> files, const Progress& progress,
                                       std::stop_token stop) {
    std::vector<ImportOutcome> outcomes;
    const double share = 1.0 / static_cast<double>(std::max<std::size_t>(files.size(), 1));
    for (std::size_t i = 0; i < files.size(); ++i) {
        if (stop.stop_requested()) {
            outcomes.push_back({.file = files[i].file,
                                .result = tl::unexpected(Faults{{.kind = FaultKind::cancelled,
                                                                 .what = "stopped before it was imported",
                                                                 .where = {.file = files[i].file}}})});
            continue;
        }
        const Progress mine = partOf(progress, share * static_cast<double>(i), share);
        outcomes.push_back({.file = files[i].file, .result = importFile(book, files[i], mine, stop)});
    }
    return outcomes;
}

} // namespace potwatch::session
