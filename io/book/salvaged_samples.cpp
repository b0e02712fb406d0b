// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/salvaged_samples.h"

#include "io/book/chunk.h"
#include "io/book/salvage.h"
#include "io/book/samples.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <optional>

namespace potwatch::book {
namespace {

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

constexpr std::size_t most_channels = 10'000; // a number beyond is damage

Chunk chunkIn(const Statement& row, int first) {
    const std::optional<Coding> coding = codingNamed(row.text(first + 1));
    return {.count = coding ? row.count(first) : 0, // a count of 0 does not decode
            .coding = coding.value_or(Coding::raw),
            .data = row.bytes(first + 3),
            .crc32 = static_cast<std::uint32_t>(row.integer(first + 2))};
}

// Appends a piece, or as many missing values where there is none. False: there is none.
bool take(Statement& chunk, const SalvagedRun& salvaged, std::size_t column, std::size_t place, std::size_t count,
          std::vector<double>& into) {
    const auto piece = salvaged.pieces.find({column, place});
    if (piece != salvaged.pieces.end() && piece->second.count == count) {
        chunk.bindAll(piece->second.row);
        const Result<bool> found = chunk.step();
        const bool decoded = found && *found && decode(chunkIn(chunk, 0), into);
        chunk.reset();
        if (decoded) {
            return true;
        }
    }
    into.resize(into.size() + count, not_known);
    return false;
}

struct Losses {
    std::size_t samples = 0;         // without a time
    std::vector<std::size_t> values; // by column
};

Columns assemble(const Database& from, const SalvagedRun& salvaged, Losses& losses) {
    Columns columns;
    std::size_t highest = salvaged.channels.empty() ? 0 : salvaged.channels.rbegin()->first;
    for (const auto& piece : salvaged.pieces) {
        highest = std::max(highest, piece.first.first);
    }
    for (std::size_t number = 1; number <= highest; ++number) {
        const auto known = salvaged.channels.find(number);
        const bool is_known = known != salvaged.channels.end();
        columns.channels.push_back({.name = is_known ? known->second.first : fmt::format("channel {}", number),
                                    .unit = is_known ? known->second.second : std::string()});
    }
    losses.values.resize(highest + 1);
    Statement chunk = from.statement("SELECT count, coding, crc32, data FROM chunk NOT INDEXED WHERE rowid = ?");
    std::size_t next_place = 0;
    for (const auto& counted : salvaged.counts) {
        const std::size_t place = counted.first;
        losses.samples += (place - next_place) * chunk_length; // places of which no column has anything left
        next_place = place + 1;
        const auto times = salvaged.pieces.find({0, place});
        if (times == salvaged.pieces.end()) {
            losses.samples += counted.second;
            continue;
        }
        const std::size_t count = times->second.count;
        if (!take(chunk, salvaged, 0, place, count, columns.time_s)) {
            columns.time_s.resize(columns.time_s.size() - count);
            losses.samples += count;
            continue;
        }
        for (std::size_t column = 1; column <= highest; ++column) {
            if (!take(chunk, salvaged, column, place, count, columns.at(column))) {
                losses.values[column] += count;
            }
        }
    }
    return columns;
}

void addTail(const Database& from, const SalvagedRun& salvaged, Columns& columns, Losses& losses) {
    Statement tail = from.statement("SELECT data FROM tail NOT INDEXED WHERE rowid = ?");
    std::vector<double> row(columns.channels.size() + 1);
    for (const auto& entry : salvaged.tail) {
        tail.bindAll(entry.second);
        const Result<bool> found = tail.step();
        if (found && *found && decodeTailRow(tail.bytes(0), row)) {
            for (std::size_t column = 0; column < row.size(); ++column) {
                columns.at(column).push_back(row[column]);
            }
        } else {
            ++losses.samples;
        }
        tail.reset();
    }
}

// The run's state is that of its row already.
Result<void> keepCounts(const Database& to, std::int64_t run, const Columns& columns) {
    return to.run("UPDATE run SET samples = ?, span_s = ?, content_hash = ? WHERE id = ?", columns.time_s.size(),
                  spanOf(columns.time_s), hashOf(columns.time_s, columns.channels), run);
}

} // namespace

std::map<std::int64_t, SalvagedRun> salvageSamples(const Database& from, std::vector<std::string>& said) {
    std::map<std::int64_t, SalvagedRun> runs;
    std::size_t lost =
        SalvagedTable(from, "channel", "run, number, name, unit").forEach([&](std::int64_t, const Statement& row) {
            if (row.count(1) >= 1 && row.count(1) <= most_channels) {
                runs[row.integer(0)].channels[row.count(1)] = {row.text(2), row.text(3)};
            }
        });
    if (lost > 0) {
        said.push_back(fmt::format("the names of {} channels are lost", lost));
    }
    lost = SalvagedTable(from, "chunk", "run, number, seq, count, coding, crc32, data")
               .forEach([&](std::int64_t number, const Statement& row) {
                   const std::size_t column = row.count(1);
                   const std::size_t place = row.count(2);
                   const std::size_t count = row.count(3);
                   if (column > most_channels || place > std::numeric_limits<std::uint32_t>::max() || count == 0 ||
                       count > chunk_length) {
                       return;
                   }
                   SalvagedRun& run = runs[row.integer(0)];
                   run.counts[place] = std::max(run.counts[place], count);
                   std::vector<double> values;
                   if (decode(chunkIn(row, 3), values)) {
                       run.pieces[{column, place}] = {.row = number, .count = count};
                   }
               });
    if (lost > 0) {
        said.push_back(fmt::format("{} chunks of samples cannot be read", lost));
    }
    lost = SalvagedTable(from, "tail", "run, row").forEach([&](std::int64_t number, const Statement& row) {
        runs[row.integer(0)].tail[row.integer(1)] = number;
    });
    if (lost > 0) {
        said.push_back(fmt::format("{} of the last samples of a recording cannot be read", lost));
    }
    return runs;
}

Result<bool> writeSalvaged(const Database& from, const Database& to, std::int64_t run, const std::string& name,
                           const SalvagedRun& salvaged, std::vector<std::string>& said) {
    Losses losses;
    Columns columns = assemble(from, salvaged, losses);
    addTail(from, salvaged, columns, losses);
    if (salvaged.stated > columns.time_s.size()) { // those at the end leave no trace but this number
        losses.samples = std::max(losses.samples, salvaged.stated - columns.time_s.size());
    }
    if (losses.samples > 0) {
        said.push_back(
            fmt::format("run \"{}\": {} samples are lost, {} are saved", name, losses.samples, columns.time_s.size()));
    }
    bool is_whole = losses.samples == 0;
    for (std::size_t column = 1; column < losses.values.size(); ++column) {
        if (losses.values[column] > 0) {
            is_whole = false;
            said.push_back(fmt::format("run \"{}\": {} of {} values of channel {} are lost", name,
                                       losses.values[column], columns.time_s.size(),
                                       columns.channels[column - 1].name));
        }
    }
    return writeChannels(to, run, columns.channels)
        .and_then([&] { return writeSamples(to, run, columns.time_s, columns.channels, {}, {}); })
        .and_then([&] { return keepCounts(to, run, columns); })
        .map([&] { return is_whole; });
}

} // namespace potwatch::book
