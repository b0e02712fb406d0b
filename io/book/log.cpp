// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/log.h"

#include "io/book/holder.h"
#include "io/book/log_sum.h"
#include "io/book/pages.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cerrno>
#include <cstdio>
#include <fcntl.h>
#include <fstream>
#include <set>
#include <sys/mman.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace potwatch::book {
namespace {

constexpr std::size_t log_header_bytes = 32;
constexpr std::size_t frame_header_bytes = 24;
constexpr std::uint32_t magic = 0x377F0682; // with least-first words; the last bit set: most first
constexpr std::uint32_t log_version = 3'007'000;
constexpr std::size_t salt_at = 8; // in a frame's header; 16 in the log's

bool isPageSize(std::size_t size) {
    return size >= 512 && size <= 65'536 && std::has_single_bit(size);
}

LogSum statedAt(std::string_view bytes, std::size_t at) {
    return {.s0 = bigEndian32(bytes, at), .s1 = bigEndian32(bytes, at + 4)};
}

Fault cannotWrite(const std::string& path) {
    return {.kind = FaultKind::storage,
            .what = "cannot be written: " + std::generic_category().message(errno),
            .where = {.file = path},
            .remedy = "make room, and allow writing to the folder"};
}

void putBig(std::string& bytes, std::uint32_t word) {
    std::array<char, 4> raw{};
    putWord(raw.data(), word, WordOrder::most_first);
    bytes.append(raw.data(), raw.size());
}

void putSum(std::string& bytes, LogSum sum) {
    putBig(bytes, sum.s0);
    putBig(bytes, sum.s1);
}

} // namespace

// The file, in memory as far as it is looked at; what is mended there never reaches the disk.
struct Log::Mapping {
    char* data = nullptr;
    std::size_t size = 0;

    Mapping() = default;
    Mapping(const Mapping&) = delete;
    Mapping& operator=(const Mapping&) = delete;
    ~Mapping() {
        if (data != nullptr) {
            ::munmap(data, size);
        }
    }
    [[nodiscard]] bool open(const std::string& path) {
        const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
        if (descriptor < 0) {
            return false;
        }
        struct stat status {};
        if (::fstat(descriptor, &status) == 0 && status.st_size > 0) {
            size = static_cast<std::size_t>(status.st_size);
            void* const mapped = ::mmap(nullptr, size, PROT_READ | PROT_WRITE, MAP_PRIVATE, descriptor, 0);
            data = mapped == MAP_FAILED ? nullptr : static_cast<char*>(mapped);
        }
        ::close(descriptor);
        return data != nullptr;
    }
    [[nodiscard]] std::string_view bytes() const { return {data, size}; }
};

std::optional<Log> Log::read(const std::string& path, std::size_t book_page) {
    auto mapping = std::make_shared<Mapping>();
    if (!mapping->open(path)) {
        return std::nullopt;
    }
    Log log(std::move(mapping));
    const std::string_view bytes = log.mapping_->bytes();
    const std::size_t stated = bigEndian32(bytes, 8);
    log.page_size_ = isPageSize(stated) ? stated : isPageSize(book_page) ? book_page : 4096;
    const LogSum sum = bytes.size() < log_header_bytes
                           ? LogSum{}
                           : sumOf({}, bytes.substr(0, 24),
                                   (bigEndian32(bytes, 0) & 1U) != 0 ? WordOrder::most_first : WordOrder::least_first);
    log.is_header_sound_ = bytes.size() >= log_header_bytes && (bigEndian32(bytes, 0) & ~1U) == magic &&
                           bigEndian32(bytes, 4) == log_version && isPageSize(stated) && sum == statedAt(bytes, 24);
    if (!log.is_header_sound_ && isPageSize(book_page)) {
        log.page_size_ = book_page;
    }
    log.readFrames();
    log.findUsable();
    const std::string book = path.substr(0, path.size() - std::string_view("-wal").size());
    if (!isLogHeldOpen(book)) { // to close the index would cost this process its locks on it
        log.compareWithIndex(book + "-shm");
    }
    return log;
}

std::string_view Log::page(std::size_t frame) const {
    const std::size_t at = log_header_bytes + frame * (frame_header_bytes + page_size_) + frame_header_bytes;
    return mapping_->bytes().substr(at, page_size_);
}

// Goes from frame to frame, and on behind a damaged one from the checksum that it states.
struct Log::Scan {
    WordOrder order = WordOrder::least_first;
    std::string_view salts;
    LogSum before;               // what the next frame goes on from
    std::optional<LogSum> other; // ... or from this: what the damaged frame before it really gives
    bool is_unbroken = true;     // no frame was damaged so far

    // The frame's state; `earlier` is the frame before it, which may turn out to be sound after all.
    LogFrame::State look(char* frame, std::size_t page_size, bool is_of_this_log, LogFrame* earlier) {
        const std::string_view head(frame, 8);
        const std::string_view content(frame + frame_header_bytes, page_size);
        const LogSum stated = statedAt({frame, frame_header_bytes}, 16);
        const auto given = [&](LogSum from) { return sumOf(sumOf(from, head, order), content, order); };
        const LogSum found = given(before);
        const bool may_be_sound = is_of_this_log || is_unbroken;
        if (may_be_sound && found == stated) {
            return pass(stated, is_of_this_log ? LogFrame::State::sound : LogFrame::State::mended);
        }
        if (is_of_this_log && other && given(*other) == stated) {
            if (earlier != nullptr) { // only the checksum that it states is wrong
                earlier->state = LogFrame::State::mended;
            }
            return pass(stated, LogFrame::State::sound);
        }
        if (is_of_this_log && differInOneByte(found, stated)) {
            return pass(found, LogFrame::State::mended); // only the checksum that it states is wrong
        }
        if (is_of_this_log && mend(frame, page_size, found, stated)) {
            return pass(stated, LogFrame::State::mended);
        }
        is_unbroken = false;
        before = stated;
        other = found;
        return LogFrame::State::damaged;
    }

private:
    LogFrame::State pass(LogSum from_here, LogFrame::State state) {
        before = from_here;
        other.reset();
        return state;
    }

    [[nodiscard]] bool mend(char* frame, std::size_t page_size, LogSum found, LogSum stated) const {
        std::string bytes(frame, 8);
        bytes.append(frame + frame_header_bytes, page_size);
        const std::optional<WrongWord> wrong = wrongWord(bytes, found, stated, order);
        if (wrong) {
            putWord(frame + (wrong->at < 8 ? wrong->at : wrong->at + frame_header_bytes - 8), wrong->was, order);
        }
        return wrong.has_value();
    }
};

void Log::readFrames() {
    const std::string_view bytes = mapping_->bytes();
    const std::size_t step = frame_header_bytes + page_size_;
    const std::size_t count = bytes.size() < log_header_bytes ? 0 : (bytes.size() - log_header_bytes) / step;
    if (count == 0) {
        return;
    }
    Scan scan;
    if (is_header_sound_) {
        scan.order = (bigEndian32(bytes, 0) & 1U) != 0 ? WordOrder::most_first : WordOrder::least_first;
        scan.salts = bytes.substr(16, 8);
    } else {
        // The first frame repeats the salts.
        scan.salts = bytes.substr(log_header_bytes + salt_at, 8);
        scan.other = sumOf({}, bytes.substr(0, 24), scan.order);
    }
    scan.before = statedAt(bytes, 24);
    for (std::size_t i = 0; i < count; ++i) {
        char* const frame = mapping_->data + log_header_bytes + i * step;
        const bool is_of_this_log = std::string_view(frame + salt_at, 8) == scan.salts;
        const LogFrame::State state =
            scan.look(frame, page_size_, is_of_this_log, frames_.empty() ? nullptr : &frames_.back());
        const std::string_view head(frame, 8); // as mended
        frames_.push_back({.page = bigEndian32(head, 0), .pages_after = bigEndian32(head, 4), .state = state});
        is_of_this_log_.push_back(is_of_this_log);
    }
}

void Log::findUsable() {
    std::set<std::uint32_t> spoiled; // pages whose latest frame is damaged
    bool is_lost = false;            // a damaged frame that may be of any page
    std::size_t read_by_sqlite = 0;
    bool sqlite_goes_on = is_header_sound_;
    std::vector<std::size_t> ends; // frames that end a change, or say so
    std::size_t damaged_before_usable = 0;
    std::size_t damaged = 0;
    for (std::size_t i = 0; i < frames_.size(); ++i) {
        const LogFrame& frame = frames_[i];
        sqlite_goes_on = sqlite_goes_on && frame.state == LogFrame::State::sound;
        if (frame.state == LogFrame::State::damaged) {
            ++damaged;
            is_lost = is_lost || !is_of_this_log_[i] || frame.page == 0;
            spoiled.insert(frame.page);
            if (is_of_this_log_[i] && frame.pages_after != 0) {
                ends.push_back(i);
            }
            continue;
        }
        spoiled.erase(frame.page);
        if (frame.pages_after == 0) {
            continue;
        }
        ends.push_back(i);
        read_by_sqlite = sqlite_goes_on ? i + 1 : read_by_sqlite;
        if (spoiled.empty() && !is_lost) {
            usable_ = i + 1;
            damaged_before_usable = damaged;
        }
    }
    has_gaps_ = damaged_before_usable > 0;
    in_changes_ = ends.empty() ? 0 : ends.back() + 1;
    changes_ = ends.size();
    changes_lost_ = static_cast<std::size_t>(
        std::count_if(ends.begin(), ends.end(), [&](std::size_t end) { return end >= usable_; }));
    is_plain_ = usable_ == read_by_sqlite;
}

// SQLite keeps, for those who share the book, how long the log is; after a crash that is still there.
// Source: the SQLite WAL-index format, 1.1 (WalIndexHdr): mxFrame at byte 16, the salts at byte 32.
void Log::compareWithIndex(const std::string& index) {
    std::array<char, 48> header{};
    std::ifstream stream(index, std::ios::binary);
    if (!is_header_sound_ || !stream.read(header.data(), header.size())) {
        return;
    }
    const std::string_view bytes(header.data(), header.size());
    if (bytes.substr(32, 8) != mapping_->bytes().substr(16, 8)) {
        return;
    }
    const WordOrder native =
        std::endian::native == std::endian::little ? WordOrder::least_first : WordOrder::most_first;
    const std::size_t stated = wordAt(bytes, 16, native);
    frames_cut_off_ = stated > frames_.size() ? stated - frames_.size() : 0;
}

std::map<std::int64_t, std::size_t> Log::samplesSeen() const {
    std::map<std::int64_t, std::size_t> seen;
    const auto whole = [](const PageValue& value) {
        const auto* const number = std::get_if<std::int64_t>(&value);
        return number != nullptr && *number >= 0 ? std::optional(*number) : std::nullopt;
    };
    const auto note = [&](std::int64_t run, std::int64_t samples) {
        seen[run] = std::max(seen[run], static_cast<std::size_t>(samples));
    };
    for (std::size_t i = 0; i < in_changes_; ++i) {
        if (frames_[i].state == LogFrame::State::damaged || frames_[i].page < 2) {
            continue;
        }
        for (const PageRow& row : rowsOnLeaf(page(i))) {
            // A row of `tail`: id, run, row, data. A row of `chunk`: id, run, number, seq, count, coding ...
            const std::vector<PageValue>& values = row.values;
            const auto at = [&](std::size_t column) { return whole(values[column]); };
            const bool is_tail = values.size() == 4 && std::holds_alternative<std::string_view>(values[3]);
            const bool is_chunk = values.size() >= 9 && std::holds_alternative<std::string_view>(values[5]) &&
                                  at(2) == std::optional<std::int64_t>(0) && at(4);
            if (is_tail && at(1) && at(2)) {
                note(*at(1), *at(2) + 1);
            } else if (is_chunk && at(1) && at(3)) {
                constexpr std::int64_t longest = 4096; // doubles in a chunk
                note(*at(1), *at(3) * longest + *at(4));
            }
        }
    }
    return seen;
}

Result<void> Log::writeUsable(const std::string& path) const {
    std::map<std::uint32_t, std::size_t> latest; // by page: its last frame
    std::uint32_t pages = 0;
    for (std::size_t i = 0; i < usable_; ++i) {
        if (frames_[i].state != LogFrame::State::damaged) {
            latest[frames_[i].page] = i;
            pages = frames_[i].pages_after != 0 ? frames_[i].pages_after : pages;
        }
    }
    std::string header;
    putBig(header, magic);
    putBig(header, log_version);
    putBig(header, static_cast<std::uint32_t>(page_size_));
    putBig(header, 0); // of the checkpoints so far; any number will do
    const std::string salts(mapping_->bytes().substr(log_header_bytes + salt_at, 8));
    header += salts;
    LogSum sum = sumOf({}, header, WordOrder::least_first);
    putSum(header, sum);
    std::FILE* const file = std::fopen(path.c_str(), "wb");
    bool done = file != nullptr && std::fwrite(header.data(), 1, header.size(), file) == header.size();
    std::size_t left = latest.size();
    for (const auto& entry : latest) {
        std::string frame;
        putBig(frame, entry.first);
        putBig(frame, --left == 0 ? pages : 0);
        const std::string_view content = page(entry.second);
        sum = sumOf(sumOf(sum, frame, WordOrder::least_first), content, WordOrder::least_first);
        frame += salts;
        putSum(frame, sum);
        frame += content;
        done = done && std::fwrite(frame.data(), 1, frame.size(), file) == frame.size();
    }
    done = done && std::fflush(file) == 0 && ::fsync(::fileno(file)) == 0;
    Result<void> result = done ? Result<void>() : tl::unexpected(cannotWrite(path));
    if (file != nullptr) {
        std::fclose(file);
    }
    return result;
}

} // namespace potwatch::book
