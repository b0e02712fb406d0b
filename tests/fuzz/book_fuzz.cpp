// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/book.h"

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <unistd.h>

// Whatever bytes a file has, opening it as a book, listing, reading, checking and repairing it end in an answer or in
// one fault with a remedy, never in a crash; and a repaired copy is sound.

namespace {

using namespace potwatch;

void require(bool holds, const char* what) {
    if (!holds) {
        std::fprintf(stderr, "does not hold: %s\n", what);
        std::abort();
    }
}

void requireSound(const Fault& fault) {
    require(!fault.what.empty() && !fault.where.file.empty(), "a fault says what and where");
    require(!fault.remedy.empty() || fault.kind == FaultKind::cancelled, "a fault says what to do");
}

// In memory where the system has such a folder.
std::string folder() {
    const std::filesystem::path shared = "/dev/shm";
    std::error_code ignored;
    const std::filesystem::path base =
        std::filesystem::is_directory(shared, ignored) ? shared : std::filesystem::temp_directory_path();
    const std::filesystem::path made = base / ("potwatch-book-fuzz-" + std::to_string(::getpid()));
    std::filesystem::create_directories(made);
    return made.string();
}

void readAll(book::Book& opened) {
    const Result<std::vector<book::RunRow>> rows = opened.list();
    if (!rows) {
        requireSound(rows.error());
    } else {
        for (const book::RunRow& row : *rows) {
            const Result<book::StoredRun> read = opened.read(row.id);
            if (!read) {
                requireSound(read.error());
                continue;
            }
            for (const Channel& channel : read->run.channels) {
                require(channel.values.size() == read->run.time_s.size(), "channels are as long as the time");
            }
            for (const std::string& name : opened.photoNames(row.id).value_or(std::vector<std::string>())) {
                (void)opened.photo(row.id, name);
            }
        }
    }
    if (const auto faults = opened.check(); !faults) {
        requireSound(faults.error());
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const std::string place = folder();
    const std::string path = place + "/fuzz.potbook";
    const std::string copy = place + "/copy.potbook";
    {
        std::ofstream stream(path, std::ios::binary | std::ios::trunc);
        stream.write(reinterpret_cast<const char*>(data), static_cast<std::streamsize>(size));
    }
    // Reading first: opening to write may recover a recording.
    for (const book::Access access : {book::Access::read, book::Access::write}) {
        Result<book::Opened> opened = book::Book::open(path, access);
        if (opened) {
            readAll(opened->book);
        } else {
            requireSound(opened.error());
        }
    }
    if (const auto said = book::repairedCopy(path, copy); said) {
        Result<book::Opened> repaired = book::Book::open(copy, book::Access::read);
        require(repaired.has_value(), "a repaired copy opens");
        const auto faults = repaired->book.check();
        require(faults && faults->empty(), "a repaired copy is sound");
    } else {
        requireSound(said.error());
    }
    std::error_code ignored;
    std::filesystem::remove_all(place, ignored);
    std::filesystem::create_directories(place, ignored);
    return 0;
}
