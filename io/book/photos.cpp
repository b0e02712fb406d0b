// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/photos.h"

#include "io/book/chunk.h"

#include <fmt/format.h>

#include <utility>

namespace potwatch::book {

Result<void> writePhotos(const Database& database, std::int64_t run, const std::vector<Photo>& photos) {
    for (const Photo& photo : photos) {
        Result<void> done = database.run("INSERT INTO photo(run, name, media_type, crc32, data) VALUES (?, ?, ?, ?, ?) "
                                         "ON CONFLICT(run, name) DO UPDATE SET media_type = excluded.media_type, "
                                         "crc32 = excluded.crc32, data = excluded.data",
                                         run, photo.name, photo.media_type, crc32Of(photo.bytes), Blob{photo.bytes});
        if (!done) {
            return done;
        }
    }
    return {};
}

Result<std::vector<std::string>> readPhotoNames(const Database& database, std::int64_t run) {
    Statement rows = database.statement("SELECT name FROM photo WHERE run = ? ORDER BY id", run);
    std::vector<std::string> names;
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        names.push_back(rows.text(0));
    }
    return next.map([&](bool) { return std::move(names); });
}

Result<Photo> readPhoto(const Database& database, std::int64_t run, const std::string& name) {
    Statement rows =
        database.statement("SELECT media_type, crc32, data FROM photo WHERE run = ? AND name = ?", run, name);
    const Result<bool> found = rows.step();
    if (!found) {
        return tl::unexpected(found.error());
    }
    if (!*found) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = fmt::format("has no photo \"{}\" of this run", name),
                                    .where = {.file = database.path()},
                                    .remedy = "add it again"});
    }
    Photo photo{.name = name, .media_type = rows.text(0), .bytes = std::string(rows.bytes(2))};
    if (static_cast<std::uint32_t>(rows.integer(1)) != crc32Of(photo.bytes)) {
        return tl::unexpected(damagedFault(database.path(), fmt::format("has a damaged photo \"{}\"", name)));
    }
    return photo;
}

} // namespace potwatch::book
