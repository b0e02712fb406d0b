// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/book_copy.h"

#include <cstdlib>
#include <filesystem>
#include <system_error>
#include <utility>

namespace potwatch::book {
namespace {

namespace fs = std::filesystem;

Result<void> fill(const BookCopy& copy, const std::string& book, const Log* log) {
    std::error_code error;
    fs::copy_file(book, copy.path(), error);
    if (!error) {
        fs::permissions(copy.path(), fs::perms::owner_read | fs::perms::owner_write, error);
    }
    if (error) {
        return tl::unexpected(Fault{.kind = FaultKind::storage,
                                    .what = "cannot be copied to be looked at: " + error.message(),
                                    .where = {.file = book},
                                    .remedy = "make room in the folder of temporary files or in the book's own"});
    }
    return log == nullptr || log->usable() == 0 ? Result<void>() : log->writeUsable(copy.path() + "-wal");
}

} // namespace

Result<std::shared_ptr<const BookCopy>> BookCopy::make(const std::string& book, const Log* log) {
    std::error_code error;
    Result<void> done = tl::unexpected(Fault{.kind = FaultKind::storage,
                                             .what = "cannot be copied to be looked at",
                                             .where = {.file = book},
                                             .remedy = "allow writing to the folder of temporary files"});
    for (const fs::path& place : {fs::temp_directory_path(error), fs::absolute(book, error).parent_path()}) {
        std::string folder = (place / "potwatch-copy-XXXXXX").string();
        if (::mkdtemp(folder.data()) == nullptr) {
            continue;
        }
        auto copy = std::make_shared<const BookCopy>(std::move(folder));
        done = fill(*copy, book, log);
        if (done) {
            return copy;
        }
    }
    return tl::unexpected(std::move(done.error()));
}

BookCopy::BookCopy(std::string folder)
    : folder_(std::move(folder))
    , path_((fs::path(folder_) / "copy.potbook").string()) {}

BookCopy::~BookCopy() {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
}

} // namespace potwatch::book
