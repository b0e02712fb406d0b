// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/book.h"

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace potwatch::book {

// A run that is about to be recorded.
struct NewRecording {
    std::string name;
    std::optional<WallTime> started;
    std::string source;            // what is read: a port, a device
    std::vector<Channel> channels; // names and units, no values
    Conversion conversion;
    Batch batch;
    std::vector<std::string> tags;
};

struct StartedRecording;

// Writes one run while it goes on: a scan that commit() returned from outlives the death of the process, and of the
// machine. The run is marked by a lease beside the book, which tells other programs to leave it alone; whoever opens
// the book after this process died without end() recovers it. Nothing appended is dropped after a fault: it is written
// by the next commit() that succeeds.
// Threads: one at a time. Others may read the book meanwhile, each through a Book of its own.
class RunWriter {
public:
    // Errors: as Book::open(create); storage (read-only; the lease cannot be made); input (notes that contradict
    // themselves).
    [[nodiscard]] static Result<StartedRecording> start(const std::string& book, const NewRecording& recording);

    [[nodiscard]] const RunId& id() const;

    // Takes one scan into memory. Shape: a value a channel, NaN where there is none. Times are of one clock that does
    // not run back; the book counts them from the first scan. Errors: input (another number of values; the run is
    // ended).
    [[nodiscard]] Result<void> append(double time_s, std::span<const double> values);

    // Events, on the same clock; in the book with the next commit. A withdrawn one stays there, marked.
    void add(const Event& event);
    void withdraw(const Event& event);

    // What is stated of the pot has changed, but for its events; in the book with the next commit.
    // Errors: input, range (as Book::setNotes; what was stated before stays).
    [[nodiscard]] Result<void> restate(const Batch& batch);

    // A line that gave no scan: kept and counted, in the book with the next commit.
    void refuse(RefusedLine line);

    // Puts all that waits into the book, in one transaction. To be called once a second.
    // Errors: storage (disk full, locked by another program ...): all that waits goes on waiting.
    [[nodiscard]] Result<void> commit();

    // Commits, marks the run as complete and gives the lease back. After a fault it may be called again.
    [[nodiscard]] Result<void> end();

    // Whether the book's file is no longer what stands under its name: it was deleted or moved, or another was put in
    // its place. What is committed then nobody finds there.
    [[nodiscard]] bool hasMoved() const;
    // Goes on in a new book, which gets all of the run that was committed; what waits goes on waiting. The run keeps
    // its id. After a fault the writer is as it was. Errors: storage (the new book cannot be made; the old cannot be
    // read).
    [[nodiscard]] Result<void> goOnIn(const std::string& new_book);

    [[nodiscard]] std::size_t committed() const; // scans that are safe
    [[nodiscard]] std::size_t waiting() const;   // scans that are not, yet

    RunWriter(RunWriter&&) noexcept;
    RunWriter& operator=(RunWriter&&) noexcept;
    ~RunWriter();

private:
    struct State;
    explicit RunWriter(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

struct StartedRecording {
    RunWriter writer;
    std::vector<std::string> notices; // of opening the book
};

} // namespace potwatch::book
