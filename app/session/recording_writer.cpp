// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/recording_writer.h"

#include "app/session/book_runs.h"

#include <fmt/format.h>

#include <filesystem>
#include <iterator>
#include <string_view>
#include <system_error>
#include <utility>

namespace potwatch::session {
namespace {

// Between two commits: with the time that one takes, every scan is in the book within a second of its arrival.
constexpr std::chrono::milliseconds pace{700};

// Of a file that is read faster than a disk writes; a device never comes near it.
constexpr std::size_t many_scans = 8'192;
constexpr std::size_t most_scans = 32'768;

template<class T>
void moveInto(std::vector<T>& to, std::vector<T>& from) {
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
    from.clear();
}

// "rods-2.potbook" for "rods.potbook", or the next number for which there is nothing yet.
std::string freeBeside(const std::string& book) {
    const std::filesystem::path path = book;
    std::error_code ignored;
    std::filesystem::path beside;
    for (int number = 2; beside.empty() || std::filesystem::exists(beside, ignored); ++number) {
        beside = path.parent_path() / fmt::format("{}-{}{}", path.stem().string(), number, path.extension().string());
    }
    return beside.string();
}

} // namespace

Fault lossFault(const RecordingEnded& ended) {
    Fault fault = ended.fault.value_or(Fault{.kind = FaultKind::storage});
    fault.what = fmt::format("{} {} could not be written and {} lost{}", ended.scans_lost,
                             ended.scans_lost == 1 ? "sample" : "samples", ended.scans_lost == 1 ? "is" : "are",
                             fault.what.empty() ? std::string() : ": the book " + fault.what);
    // What comes too late now.
    constexpr std::string_view no_comfort = "; the book is as it was before";
    if (const std::size_t at = fault.remedy.find(no_comfort); at != std::string::npos) {
        fault.remedy.erase(at, no_comfort.size());
    }
    return fault;
}

RecordingWriter::RecordingWriter(Tell tell, Count count)
    : tell_(std::move(tell))
    , count_(std::move(count))
    , thread_([this](const std::stop_token& stop) { run(stop); }) {}

RecordingWriter::~RecordingWriter() {
    thread_.request_stop();
    thread_.join();
}

void RecordingWriter::open(const std::string& book) {
    const std::lock_guard lock(mutex_);
    waiting_.book = book;
    changed_.notify_all();
}

void RecordingWriter::begin(book::NewRecording recording) {
    const std::lock_guard lock(mutex_);
    waiting_.recording = std::move(recording);
    changed_.notify_all();
}

void RecordingWriter::append(const LiveScan& scan) {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [&] { return waiting_.scans.size() < most_scans || keeps_all_; });
    waiting_.scans.push_back(scan);
    if (waiting_.scans.size() == many_scans) {
        changed_.notify_all();
    }
}

void RecordingWriter::add(const Event& event) {
    const std::lock_guard lock(mutex_);
    waiting_.events.push_back({.event = event, .withdraws = false});
}

void RecordingWriter::withdraw(const Event& event) {
    const std::lock_guard lock(mutex_);
    waiting_.events.push_back({.event = event, .withdraws = true});
}

void RecordingWriter::refuse(book::RefusedLine line) {
    const std::lock_guard lock(mutex_);
    waiting_.refused.push_back(std::move(line));
}

void RecordingWriter::restate(const Batch& batch) {
    const std::lock_guard lock(mutex_);
    waiting_.batch = batch;
}

void RecordingWriter::end(std::chrono::steady_clock::duration patience) {
    const std::lock_guard lock(mutex_);
    waiting_.give_up = std::chrono::steady_clock::now() + patience;
    changed_.notify_all();
}

void RecordingWriter::take(Work&& work) {
    if (work.recording) {
        held_.recording = std::move(work.recording);
    }
    if (work.batch) {
        held_.batch = std::move(work.batch);
    }
    moveInto(held_.scans, work.scans);
    moveInto(held_.events, work.events);
    moveInto(held_.refused, work.refused);
    held_.give_up = work.give_up ? work.give_up : held_.give_up;
}

std::optional<Fault> RecordingWriter::openBook() {
    // Only to see that it can be written to: the run has a connection of its own.
    Result<book::Opened> opened = openOrMakeBook(book_);
    if (!opened) {
        return std::move(opened.error());
    }
    if (opened->book.isReadOnly()) {
        return Fault{.kind = FaultKind::storage,
                     .what = "may be read, but not changed",
                     .where = {.file = book_},
                     .remedy = "record into another book, or allow writing to this one"};
    }
    notices_ = std::move(opened->notices);
    return std::nullopt;
}

// Hands over what is held, and commits. What the run's writer has taken it does not lose.
std::optional<Fault> RecordingWriter::write() {
    if (!writer_ && held_.recording) {
        Result<book::StartedRecording> started = book::RunWriter::start(book_, *held_.recording);
        if (!started) {
            return std::move(started.error());
        }
        writer_.emplace(std::move(started->writer));
        moveInto(notices_, started->notices);
        held_.recording.reset();
        tell_(RunInBook{.id = writer_->id(), .book = book_, .notices = std::exchange(notices_, {})});
    }
    if (!writer_) {
        return std::nullopt;
    }
    if (writer_->hasMoved()) {
        const Result<void> done =
            goOnBeside(fmt::format("{} was deleted, moved or replaced while it was recorded into", book_));
        if (!done) {
            return done.error();
        }
    }
    for (const LiveScan& scan : held_.scans) {
        last_s_ = scan.time_s;
        if (Result<void> done = writer_->append(scan.time_s, scan.values); !done) {
            return std::move(done.error());
        }
    }
    held_.scans.clear();
    for (const Work::Change& change : held_.events) {
        change.withdraws ? writer_->withdraw(change.event) : writer_->add(change.event);
    }
    held_.events.clear();
    for (book::RefusedLine& line : held_.refused) {
        writer_->refuse(std::move(line));
    }
    held_.refused.clear();
    if (const std::optional<Batch> batch = std::exchange(held_.batch, std::nullopt)) {
        if (Result<void> done = writer_->restate(*batch); !done) {
            return std::move(done.error()); // told; the next commit goes on without it
        }
    }
    Result<void> done = held_.give_up ? writer_->end() : writer_->commit();
    count_(writer_->committed());
    return done ? std::nullopt : std::optional(std::move(done.error()));
}

// The run with all that was committed goes on in a book of its own.
Result<void> RecordingWriter::goOnBeside(const std::string& why) {
    std::error_code ignored;
    std::filesystem::create_directories(std::filesystem::path(book_).parent_path(), ignored);
    const std::string beside = freeBeside(book_);
    return writer_->goOnIn(beside).map([&] {
        book_ = beside;
        tell_(BookChanged{.time_s = last_s_,
                          .book = beside,
                          .text = fmt::format("{}: the run is in {} from now on, as a whole", why, beside)});
    });
}

// Said when it begins, and when all that waited is in the book.
void RecordingWriter::noteTrouble(const std::optional<Fault>& trouble) {
    if (trouble.has_value() == is_in_trouble_) {
        return;
    }
    is_in_trouble_ = trouble.has_value();
    {
        const std::lock_guard lock(mutex_);
        keeps_all_ = is_in_trouble_;
        changed_.notify_all();
    }
    const std::size_t waiting = held_.scans.size() + (writer_ ? writer_->waiting() : 0);
    tell_(StorageNews{.time_s = last_s_, .trouble = trouble, .scans_waiting = waiting});
}

void RecordingWriter::run(const std::stop_token& stop) {
    RecordingEnded ended = writeUntilTheEnd(stop);
    {
        const std::lock_guard lock(mutex_);
        keeps_all_ = true; // nobody waits for this thread any more
        changed_.notify_all();
    }
    tell_(std::move(ended));
}

RecordingEnded RecordingWriter::writeUntilTheEnd(const std::stop_token& stop) {
    for (;;) {
        Work work;
        {
            std::unique_lock lock(mutex_);
            changed_.wait_for(lock, stop, pace, [&] {
                return waiting_.give_up || waiting_.recording || !waiting_.book.empty() ||
                       (waiting_.scans.size() >= many_scans && !is_in_trouble_);
            });
            work = std::exchange(waiting_, {});
            changed_.notify_all();
        }
        if (!work.book.empty()) {
            book_ = std::exchange(work.book, {});
            if (std::optional<Fault> fault = openBook()) {
                return {.id = {}, .book = {}, .scans = 0, .scans_lost = 0, .fault = std::move(fault)};
            }
        }
        take(std::move(work));
        std::optional<Fault> trouble = write();
        noteTrouble(trouble);
        const bool is_over = held_.give_up && (!trouble || std::chrono::steady_clock::now() >= *held_.give_up);
        if (is_over && trouble && trouble->kind == FaultKind::storage && writer_ &&
            goOnBeside(fmt::format("{} could not be written to the end: {}", book_, trouble->what))) {
            trouble = write();
            noteTrouble(trouble);
        }
        if (is_over || stop.stop_requested()) {
            return {.id = writer_ ? writer_->id() : book::RunId(),
                    .book = book_,
                    .scans = writer_ ? writer_->committed() : 0,
                    .scans_lost = held_.scans.size() + (writer_ ? writer_->waiting() : 0),
                    .fault = std::move(trouble)};
        }
    }
}

} // namespace potwatch::session
