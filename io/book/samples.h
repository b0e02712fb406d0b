// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/progress.h"
#include "analysis/values/trace.h"
#include "io/book/chunk.h"
#include "io/book/content_hash.h"
#include "io/book/database.h"

#include <cstddef>
#include <cstdint>
#include <span>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::book {

// The doubles of a run in the book: column 0 is its times, the others its channels in their order.
struct Columns {
    std::vector<double> time_s;
    std::vector<Channel> channels;

    [[nodiscard]] std::vector<double>& at(std::size_t column) {
        return column == 0 ? time_s : channels[column - 1].values;
    }
};

// Puts chunks of one run into the book, one after the other; keep it while there are more to come.
class ChunkWriter {
public:
    ChunkWriter(const Database& database, std::int64_t run);
    // Shape: 1 to chunk_length doubles.
    [[nodiscard]] Result<void> write(std::size_t column, std::int64_t seq, std::span<const double> values);

private:
    std::int64_t run_;
    Statement insert_;
};

[[nodiscard]] Result<void> writeChannels(const Database& database, std::int64_t run, std::span<const Channel> channels);

// All of them, in chunks. Errors: storage; cancelled.
[[nodiscard]] Result<void> writeSamples(const Database& database, std::int64_t run, std::span<const double> time_s,
                                        std::span<const Channel> channels, const Progress& progress,
                                        const std::stop_token& stop);

// Names and units, without values.
[[nodiscard]] Result<std::vector<Channel>> readChannels(const Database& database, std::int64_t run);

// The chunks, then what a recording has in its tail. `name` is the run's, for messages.
// Errors: input (a chunk is damaged or missing: says which samples of which channel); storage; cancelled.
[[nodiscard]] Result<Columns> readSamples(const Database& database, std::int64_t run, const std::string& name,
                                          const Progress& progress, const std::stop_token& stop);

// A row of the tail: the time, then a value a channel. False where it has not as many doubles as columns.
[[nodiscard]] bool decodeTailRow(std::string_view data, std::span<double> row);

[[nodiscard]] std::string hashOf(std::span<const double> time_s, std::span<const Channel> channels);

// From the first sample to the latest [s]; 0 where there is none.
[[nodiscard]] double spanOf(std::span<const double> time_s);

} // namespace potwatch::book
