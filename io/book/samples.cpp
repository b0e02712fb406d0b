// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/samples.h"

#include "io/book/pace.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>

namespace potwatch::book {
namespace {

std::string columnName(const Columns& columns, std::size_t column) {
    if (column == 0) {
        return "the times";
    }
    const std::string& name = columns.channels[column - 1].name;
    return name.empty() ? fmt::format("channel {}", column) : "channel " + name;
}

// Reads the chunks of a run in the order of their columns and checks that none is missing.
class ChunkReader {
public:
    ChunkReader(const Database& database, std::string name, Columns& columns)
        : database_(database)
        , name_(std::move(name))
        , columns_(columns) {}

    [[nodiscard]] Result<void> take(const Statement& row) {
        const std::size_t column = row.count(0);
        if (column > columns_.channels.size()) {
            return tl::unexpected(damaged(fmt::format("has samples of a channel {} that it does not name", column)));
        }
        if (column != column_) {
            column_ = column;
            next_seq_ = 0;
        }
        std::vector<double>& values = columns_.at(column);
        const std::size_t first = next_seq_ * chunk_length;
        const std::optional<Coding> coding = codingNamed(row.text(3));
        const Chunk chunk{.count = row.count(2),
                          .coding = coding.value_or(Coding::raw),
                          .data = row.bytes(5),
                          .crc32 = static_cast<std::uint32_t>(row.integer(4))};
        if (row.count(1) != next_seq_ || values.size() != first || !coding || !decode(chunk, values)) {
            return tl::unexpected(
                damaged(fmt::format("has lost samples {} to {} of {}", first + 1,
                                    first + std::max<std::size_t>(chunk.count, 1), columnName(columns_, column))));
        }
        ++next_seq_;
        return {};
    }

    [[nodiscard]] Result<void> checkLengths() const {
        for (std::size_t column = 1; column <= columns_.channels.size(); ++column) {
            const std::size_t length = columns_.at(column).size();
            if (length != columns_.time_s.size()) {
                return tl::unexpected(damaged(fmt::format("has {} times, but {} samples of {}", columns_.time_s.size(),
                                                          length, columnName(columns_, column))));
            }
        }
        return {};
    }

    [[nodiscard]] Fault damaged(const std::string& what) const {
        return damagedFault(database_.path(), fmt::format("run \"{}\" {}", name_, what));
    }

private:
    const Database& database_;
    std::string name_;
    Columns& columns_;
    std::size_t column_ = 0;
    std::size_t next_seq_ = 0;
};

Result<void> readTail(const Database& database, std::int64_t run, const ChunkReader& reader, Columns& columns) {
    Statement rows = database.statement("SELECT data FROM tail WHERE run = ? ORDER BY row", run);
    std::vector<double> row(columns.channels.size() + 1);
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        if (!decodeTailRow(rows.bytes(0), row)) {
            return tl::unexpected(reader.damaged("has a damaged row in its tail"));
        }
        for (std::size_t column = 0; column < row.size(); ++column) {
            columns.at(column).push_back(row[column]);
        }
    }
    return next.map([](bool) {});
}

} // namespace

ChunkWriter::ChunkWriter(const Database& database, std::int64_t run)
    : run_(run)
    , insert_(database.statement("INSERT INTO chunk(run, number, seq, count, coding, crc32, least, greatest, data) "
                                 "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)")) {}

Result<void> ChunkWriter::write(std::size_t column, std::int64_t seq, std::span<const double> values) {
    EvenSpace space{};
    const Chunk chunk = column == 0 ? chunkOfTimes(values, space) : chunkOf(values);
    insert_.bindAll(run_, column, seq, chunk.count, nameOf(chunk.coding), chunk.crc32, chunk.least, chunk.greatest,
                    Blob{chunk.data});
    return insert_.run();
}

Result<void> writeChannels(const Database& database, std::int64_t run, std::span<const Channel> channels) {
    Statement insert = database.statement("INSERT INTO channel(run, number, name, unit) VALUES (?, ?, ?, ?)");
    for (std::size_t i = 0; i < channels.size(); ++i) {
        insert.bindAll(run, i + 1, channels[i].name, channels[i].unit);
        if (Result<void> done = insert.run(); !done) {
            return done;
        }
    }
    return {};
}

Result<void> writeSamples(const Database& database, std::int64_t run, std::span<const double> time_s,
                          std::span<const Channel> channels, const Progress& progress, const std::stop_token& stop) {
    ChunkWriter writer(database, run);
    Pace pace(progress, "storing the samples");
    std::int64_t seq = 0;
    for (std::size_t first = 0; first < time_s.size(); first += chunk_length, ++seq) {
        if (stop.stop_requested()) {
            return tl::unexpected(stoppedFault(database.path()));
        }
        const std::size_t count = std::min(chunk_length, time_s.size() - first);
        for (std::size_t column = 0; column <= channels.size(); ++column) {
            const std::span<const double> all = column == 0 ? time_s : std::span(channels[column - 1].values);
            if (Result<void> done = writer.write(column, seq, all.subspan(first, count)); !done) {
                return done;
            }
        }
        pace.tell(static_cast<double>(first + count) / static_cast<double>(time_s.size()));
    }
    return {};
}

Result<std::vector<Channel>> readChannels(const Database& database, std::int64_t run) {
    Statement rows = database.statement("SELECT name, unit FROM channel WHERE run = ? ORDER BY number", run);
    std::vector<Channel> channels;
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        channels.push_back({.name = rows.text(0), .unit = rows.text(1)});
    }
    return next.map([&](bool) { return std::move(channels); });
}

Result<Columns> readSamples(const Database& database, std::int64_t run, const std::string& name,
                            const Progress& progress, const std::stop_token& stop) {
    Result<std::vector<Channel>> channels = readChannels(database, run);
    if (!channels) {
        return tl::unexpected(std::move(channels.error()));
    }
    Columns columns{.channels = std::move(*channels)};
    // Sizes are added up from the chunks that are there, never taken from a count that a damaged file may state.
    const Result<std::optional<std::int64_t>> total =
        database.integer("SELECT sum(count) FROM chunk WHERE run = ? AND number = 0", run);
    if (!total) {
        return tl::unexpected(total.error());
    }
    const auto rows_expected = static_cast<std::size_t>(std::max<std::int64_t>(total->value_or(0), 0));
    ChunkReader reader(database, name, columns);
    Pace pace(progress, "reading the samples");
    std::size_t read = 0;
    Statement rows = database.statement(
        "SELECT number, seq, count, coding, crc32, data FROM chunk WHERE run = ? ORDER BY number, seq", run);
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        if (stop.stop_requested()) {
            return tl::unexpected(stoppedFault(database.path()));
        }
        if (rows.integer(1) == 0 && rows.count(0) <= columns.channels.size()) {
            columns.at(rows.count(0)).reserve(rows_expected);
        }
        if (Result<void> taken = reader.take(rows); !taken) {
            return tl::unexpected(std::move(taken.error()));
        }
        read += rows.count(2);
        pace.tell(static_cast<double>(read) /
                  static_cast<double>(std::max<std::size_t>(rows_expected * (columns.channels.size() + 1), read)));
    }
    if (!next) {
        return tl::unexpected(std::move(next.error()));
    }
    return reader.checkLengths().and_then([&] { return readTail(database, run, reader, columns); }).map([&] {
        return std::move(columns);
    });
}

bool decodeTailRow(std::string_view data, std::span<double> row) {
    if (data.size() != row.size_bytes()) {
        return false;
    }
    std::memcpy(row.data(), data.data(), data.size());
    return true;
}

std::string hashOf(std::span<const double> time_s, std::span<const Channel> channels) {
    ContentHash hash(channels.size() + 1);
    std::vector<ContentHash::Title> titles;
    hash.add(0, time_s);
    for (std::size_t i = 0; i < channels.size(); ++i) {
        hash.add(i + 1, channels[i].values);
        titles.push_back({.name = channels[i].name, .unit = channels[i].unit});
    }
    return hash.text(titles);
}

double spanOf(std::span<const double> time_s) {
    double latest = time_s.empty() ? 0.0 : time_s.front();
    for (const double time : time_s) {
        latest = time > latest ? time : latest;
    }
    const double span = time_s.empty() ? 0.0 : latest - time_s.front();
    return std::isfinite(span) ? span : 0.0;
}

} // namespace potwatch::book
