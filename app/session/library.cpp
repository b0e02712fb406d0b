// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/library.h"

#include "app/session/library_parts.h"

#include <filesystem>
#include <utility>

namespace potwatch::session {
namespace {

constexpr const char* gather_key = "gather";
constexpr const char* analyse_key = "analyse";
constexpr const char* refresh_key = "refresh";
constexpr const char* preview_key = "preview";
constexpr const char* work_key = "work";

} // namespace

Library::Library(Tell tell)
    : parts_(std::make_unique<Parts>(std::move(tell))) {}

Library::~Library() {
    stopWork();
}

void Library::openBook(const std::string& path, book::Access access) {
    parts_->thinker.cancel(analyse_key);
    parts_->thinker.cancel(refresh_key);
    parts_->keeper.post([parts = parts_.get(), path, access](const std::stop_token&) { parts->open(path, access); });
}

void Library::closeBook() {
    parts_->thinker.cancel(analyse_key);
    parts_->thinker.cancel(refresh_key);
    parts_->keeper.post([parts = parts_.get()](const std::stop_token&) { parts->close(); });
}

void Library::repair(const std::string& damaged, const std::string& to) {
    parts_->keeper.post([parts = parts_.get(), damaged, to](const std::stop_token&) {
        Result<std::vector<std::string>> report = book::repairedCopy(damaged, to);
        if (report) {
            parts->tell(Repaired{.path = to, .report = std::move(*report)});
        } else {
            parts->tell(Failed{.what = "no repaired copy was made", .fault = std::move(report.error())});
        }
    });
}

void Library::showRun(const book::RunId& id) {
    parts_->thinker.cancel(analyse_key);
    parts_->thinker.cancel(refresh_key);
    parts_->keeper.postLatest(gather_key, [parts = parts_.get(), id](const std::stop_token& stop) {
        parts->shown = id;
        parts->show(true, stop);
    });
}

void Library::showNone() {
    parts_->thinker.cancel(analyse_key);
    parts_->keeper.postLatest(gather_key, [parts = parts_.get()](const std::stop_token&) { parts->shown.clear(); });
}

std::uint64_t Library::setNotes(const book::RunId& id, const book::Notes& notes) {
    const std::uint64_t number = ++parts_->edits_asked;
    parts_->keeper.post([parts = parts_.get(), id, notes, number](const std::stop_token& stop) {
        parts->edit(number, {id}, [&](book::Book& book) { return book.setNotes(id, notes); });
        parts->showAgain(stop);
    });
    return number;
}

std::uint64_t Library::setWithdrawn(const std::vector<book::RunId>& ids, bool withdrawn) {
    const std::uint64_t number = ++parts_->edits_asked;
    parts_->keeper.post([parts = parts_.get(), ids, withdrawn, number](const std::stop_token& stop) {
        parts->edit(number, ids, [&](book::Book& book) -> Result<void> {
            for (const book::RunId& id : ids) {
                if (Result<void> done = book.setWithdrawn(id, withdrawn); !done) {
                    return done;
                }
            }
            return {};
        });
        parts->showAgain(stop);
    });
    return number;
}

std::uint64_t Library::editsAsked() const {
    return parts_->edits_asked;
}

void Library::addPhoto(const book::RunId& id, const std::string& file) {
    parts_->keeper.post([parts = parts_.get(), id, file](const std::stop_token&) { parts->addPhoto(id, file); });
}

void Library::removePhoto(const book::RunId& id, const std::string& name) {
    parts_->keeper.post([parts = parts_.get(), id, name](const std::stop_token&) { parts->removePhoto(id, name); });
}

void Library::putPhotoBack(const book::RunId& id, const std::string& name) {
    parts_->keeper.post([parts = parts_.get(), id, name](const std::stop_token&) { parts->putPhotoBack(id, name); });
}

void Library::readPhoto(const book::RunId& id, const std::string& name, bool large) {
    parts_->keeper.post(
        [parts = parts_.get(), id, name, large](const std::stop_token&) { parts->readPhoto(id, name, large); });
}

void Library::previewFile(const FileToOpen& file, std::uint64_t ticket) {
    parts_->reader.postLatest(preview_key, [parts = parts_.get(), file, ticket](const std::stop_token& stop) {
        auto made = std::make_shared<const Preview>(preview(file.file, file.options, parts->workingProgress(), stop));
        if (!stop.stop_requested()) {
            parts->tell(PreviewReady{.preview = std::move(made), .ticket = ticket});
        }
    });
}

void Library::importFiles(const std::vector<FileToOpen>& files) {
    parts_->reader.cancel(preview_key);
    ++parts_->works;
    parts_->reader.post(
        [parts = parts_.get(), files](const std::stop_token& stop) {
            ImportEnded ended = parts->import(files, stop);
            --parts->works;
            parts->tell(std::move(ended));
        },
        work_key);
}

void Library::importDemo(const std::string& book) {
    ++parts_->works;
    parts_->reader.post(
        [parts = parts_.get(), book](const std::stop_token& stop) {
            News ended = parts->importDemo(book, stop);
            --parts->works;
            parts->tell(std::move(ended));
        },
        work_key);
}

void Library::stopWork() {
    parts_->reader.cancel(work_key);
    parts_->keeper.cancel(work_key);
}

void Library::stopPreview() {
    parts_->reader.cancel(preview_key);
}

void Library::readBatch(const std::string& file) {
    parts_->reader.post([parts = parts_.get(), file](const std::stop_token&) {
        auto batch = batch::readFile(file);
        BatchRead read{.file = file};
        if (batch) {
            read.batch = std::make_shared<const Batch>(std::move(*batch));
        } else {
            read.faults = std::move(batch.error());
        }
        parts->tell(std::move(read));
    });
}

void Library::exportRuns(const std::vector<book::RunId>& ids, const std::string& folder) {
    ++parts_->works;
    parts_->keeper.post(
        [parts = parts_.get(), ids, folder](const std::stop_token& stop) {
            News ended = parts->exportRuns(ids, folder, stop);
            --parts->works;
            parts->tell(std::move(ended));
        },
        work_key);
}

void Library::exportRun(const book::RunId& id, const std::string& csv) {
    ++parts_->works;
    parts_->keeper.post(
        [parts = parts_.get(), id, csv](const std::stop_token& stop) {
            News ended = parts->exportRun(id, csv, stop);
            --parts->works;
            parts->tell(std::move(ended));
        },
        work_key);
}

void Library::exportBatch(const book::RunId& id, const std::string& file) {
    parts_->keeper.post([parts = parts_.get(), id, file](const std::stop_token&) { parts->exportBatch(id, file); });
}

void Library::copyBook(const std::string& to) {
    parts_->keeper.post([parts = parts_.get(), to](const std::stop_token&) { parts->copyBook(to); });
}

void Library::drain() {
    parts_->keeper.post([parts = parts_.get()](const std::stop_token&) { parts->tell(Drained{}); });
}

std::size_t Library::pending() const {
    return parts_->keeper.pending();
}

bool Library::working() const {
    return parts_->works > 0;
}

} // namespace potwatch::session
