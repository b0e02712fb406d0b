// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/notes_hash.h"

#include "io/book/content_hash.h"

#include <array>

namespace potwatch::book {
namespace {

constexpr std::array<const char*, 7> queries{
    "SELECT uuid, name, received_name, started_us, started_offset_s, received_started_us, received_started_offset_s, "
    "added_us, withdrawn, source_file, rows_refused, thermocouple, cold_junction, batch_file, batch_toml FROM run "
    "WHERE id = ?",
    "SELECT position, time_s, kind, text, withdrawn FROM event WHERE run = ? ORDER BY id",
    "SELECT landmark, time_s FROM landmark_override WHERE run = ? ORDER BY id",
    "SELECT kind, pane, time_s, value, to_time_s, to_value, text FROM annotation WHERE run = ? ORDER BY id",
    "SELECT text FROM tag WHERE run = ? ORDER BY id",
    "SELECT text FROM remark WHERE run = ? ORDER BY id",
    "SELECT time_s, line, reason FROM refused_line WHERE run = ? ORDER BY id"};

} // namespace

Result<std::string> notesHash(const Database& database, std::int64_t run) {
    std::string text = "potwatch notes 1\n";
    for (const char* const query : queries) {
        Statement rows = database.statement(query, run);
        Result<bool> next = rows.step();
        for (; next && *next; next = rows.step()) {
            text += rows.exactly();
        }
        if (!next) {
            return tl::unexpected(next.error());
        }
        text += "\n";
    }
    return hashOfText(text);
}

Result<void> sealNotes(const Database& database, std::int64_t run) {
    return notesHash(database, run).and_then([&](const std::string& hash) {
        return database.run("UPDATE run SET notes_hash = ? WHERE id = ?", hash, run);
    });
}

} // namespace potwatch::book
