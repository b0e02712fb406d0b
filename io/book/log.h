// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::book {

// One page of the book as it is after a change.
struct LogFrame {
    enum class State { sound, mended, damaged };
    std::uint32_t page = 0;
    std::uint32_t pages_after = 0; // how long the book is then, where the frame ends a change; 0 elsewhere
    State state = State::damaged;
};

// The log beside a book (SQLite's write-ahead log, NAME-wal), read without SQLite, which stops at the first frame that
// is not as it should be and forgets all behind it. Each frame's checksum goes on from the one before, so the frames
// behind a damaged one can be proved as well; a single wrong byte is put right, where the checksum tells its place.
// Source: the SQLite file format, 4.1 (WAL file format) and 4.2 (checksum algorithm).
class Log {
public:
    // Nothing where there is no log, or one that may not be read. `book_page` is the size of the book's pages, for a
    // log whose own header is spoiled; 0 where it is not known.
    [[nodiscard]] static std::optional<Log> read(const std::string& path, std::size_t book_page);

    [[nodiscard]] std::size_t pageSize() const { return page_size_; }
    [[nodiscard]] const std::vector<LogFrame>& frames() const { return frames_; }
    [[nodiscard]] std::string_view page(std::size_t frame) const; // its content

    // How many frames make up the changes that can be had in full: up to the latest change before which every damaged
    // page was written once more.
    [[nodiscard]] std::size_t usable() const { return usable_; }
    // Whether damaged frames are among them.
    [[nodiscard]] bool hasGaps() const { return has_gaps_; }
    // Whether SQLite itself reads all of them, and no others.
    [[nodiscard]] bool isPlain() const { return is_plain_; }

    // Changes that were made, and those of them that cannot be had.
    [[nodiscard]] std::size_t changes() const { return changes_; }
    [[nodiscard]] std::size_t changesLost() const { return changes_lost_; }
    // Frames that the log must have had by what SQLite left beside it (NAME-shm), and has not.
    [[nodiscard]] std::size_t framesCutOff() const { return frames_cut_off_; }

    // How many samples each run must have had by what can be read anywhere in the log; by the run's number.
    [[nodiscard]] std::map<std::int64_t, std::size_t> samplesSeen() const;

    // Writes a log of what is usable, as one change that SQLite reads; replaces a file of that name.
    // Errors: storage.
    [[nodiscard]] Result<void> writeUsable(const std::string& path) const;

private:
    struct Mapping;
    struct Scan;
    explicit Log(std::shared_ptr<Mapping> mapping)
        : mapping_(std::move(mapping)) {}
    void readFrames();
    void findUsable();
    void compareWithIndex(const std::string& index);

    std::shared_ptr<Mapping> mapping_;
    std::size_t page_size_ = 0;
    std::vector<LogFrame> frames_;
    std::vector<bool> is_of_this_log_; // by frame: the salts of the log, not left over from an earlier one
    bool is_header_sound_ = false;
    std::size_t usable_ = 0;
    std::size_t in_changes_ = 0; // frames of changes that were ended
    bool has_gaps_ = false;
    bool is_plain_ = false;
    std::size_t changes_ = 0;
    std::size_t changes_lost_ = 0;
    std::size_t frames_cut_off_ = 0;
};

} // namespace potwatch::book
