// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/import.h"

#include "io/csv/block_reader.h"
#include "io/csv/byte_source.h"
#include "io/csv/encoding.h"
#include "io/csv/layout.h"
#include "io/csv/pipeline.h"
#include "io/csv/revision.h"
#include "io/csv/rows.h"
#include "io/csv/table_builder.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <thread>

// The stages of an import, one file each:
//   byte_source   bytes from a file, a pipe or memory
//   encoding      UTF-8, UTF-16 or Latin-1
//   sample        the head of the file in rows and cells, on which these find their part of the layout:
//   dialect         delimiter and decimal mark
//   header          where the table begins, names and units (vocabulary: what the words mean)
//   clock           which column tells the time, and how (counting: numbers that go on; moment: dates and times as
//   texts) layout          all of it together block_reader  blocks of whole records rows          a block of text
//   becomes rows (record, number, moment: what cells say) table_builder rows of all blocks in order, with what is wrong
//   in them pipeline      the threads that do the last three revision      what the whole file says against the layout
//   found on its head: then it is read again

namespace potwatch::csv {
namespace {

// Enough to see a few hundred rows of any table; a longer look is taken where this holds no whole line.
constexpr std::size_t sample_bytes = std::size_t{64} << 10;

constexpr std::size_t fewest_times = 5;
constexpr double coldest_c = -273.15;
constexpr double hottest_c = 3000.0;

Fault inputFault(const std::string& file, std::string what, std::string remedy) {
    return {.kind = FaultKind::input,
            .what = std::move(what),
            .where = {.file = file, .line = {}, .column = {}, .channel = {}},
            .remedy = std::move(remedy)};
}

Result<std::string> readHead(ByteSource& source, std::size_t size) {
    std::string head(size, '\0');
    std::size_t used = 0;
    while (used < size) {
        const Result<std::size_t> got = source.read(head.data() + used, size - used);
        if (!got) {
            return tl::unexpected(got.error());
        }
        if (*got == 0) {
            break;
        }
        used += *got;
    }
    head.resize(used);
    return head;
}

bool endsLine(char c) {
    return c == '\n' || c == '\r';
}

// Files of other kinds that people pick by mistake, by their first bytes.
std::optional<Fault> foreignFile(std::string_view head, const std::string& file) {
    if (head.starts_with("PK\x03\x04") || head.starts_with("\xD0\xCF\x11\xE0")) {
        return inputFault(file, "this is a spreadsheet file or an archive, not a text table",
                          "save it as CSV and read that");
    }
    if (head.starts_with("\x1F\x8B") || head.starts_with("BZh") ||
        head.starts_with("\xFD"
                         "7zXZ")) {
        return inputFault(file, "this file is compressed", "unpack it first");
    }
    if (head.starts_with("%PDF-")) {
        return inputFault(file, "this is a PDF document, not a text table", "export the data as CSV");
    }
    return std::nullopt;
}

struct Sample {
    Encoding encoding = Encoding::utf8;
    bool returns_end_lines = false;
    std::string text;        // whole lines
    std::size_t cut_off = 0; // bytes of a line that goes on beyond the head
};

// The head of the file as text.
Result<Sample> takeSample(std::string_view head, bool complete, const std::string& file) {
    Sample sample;
    sample.encoding = detectEncoding(head);
    const std::string_view body = head.substr(bomLength(sample.encoding, head));
    if (sample.encoding == Encoding::utf16le || sample.encoding == Encoding::utf16be) {
        Utf16Decoder(sample.encoding == Encoding::utf16be).decode(body, sample.text);
    } else {
        sample.text = body;
    }
    while (sample.text.ends_with('\0')) { // a logger that lost its power
        sample.text.pop_back();
    }
    if (looksBinary(sample.text)) {
        return tl::unexpected(inputFault(file, "this is a binary file, not a text table", "export the data as CSV"));
    }
    if (sample.text.find_first_not_of(" \t\r\n") == std::string::npos && complete) {
        return tl::unexpected(inputFault(file, "the file is empty", "check that the logger wrote to it"));
    }
    if (sample.text.find('\n') == std::string::npos && sample.text.find('\r') != std::string::npos) {
        sample.returns_end_lines = true;
        std::replace(sample.text.begin(), sample.text.end(), '\r', '\n');
    }
    if (!complete) {
        const std::size_t whole_lines = sample.text.rfind('\n') + 1;
        sample.cut_off = sample.text.size() - whole_lines;
        sample.text.resize(whole_lines);
    }
    return sample;
}

int workersFor(const ImportOptions& options, std::optional<std::uint64_t> size) {
    constexpr int most = 2;
    const int wanted =
        options.workers > 0 ? options.workers : static_cast<int>(std::min(2U, std::thread::hardware_concurrency()));
    const bool small = size && *size <= block_bytes;
    return small ? 1 : std::clamp(wanted, 1, most);
}

bool hasDistinctTimes(const std::vector<double>& time_s, std::size_t wanted) {
    std::vector<double> seen;
    for (const double time : time_s) {
        if (std::find(seen.begin(), seen.end(), time) == seen.end()) {
            seen.push_back(time);
            if (seen.size() == wanted) {
                return true;
            }
        }
    }
    return false;
}

double celsius(double value, const std::string& unit) {
    if (unit == "degF") {
        return (value - 32.0) / 1.8;
    }
    return unit == "K" ? value - 273.15 : value;
}

bool holdsSaneValue(const Table& table) {
    return std::any_of(table.channels.begin(), table.channels.end(), [](const Channel& channel) {
        return std::any_of(channel.values.begin(), channel.values.end(), [&channel](double value) {
            const double temperature_c = celsius(value, channel.unit);
            return temperature_c >= coldest_c && temperature_c <= hottest_c; // false for NaN
        });
    });
}

// What a table must have to be a trace at all.
std::optional<Fault> faultOf(const Table& table, const std::string& file) {
    if (table.time_s.empty()) {
        Fault fault =
            inputFault(file, "no row has a readable time and a number", "--time COLUMN names the column of the time");
        if (!table.refused.empty()) {
            fault.where.line = table.refused.front().line;
            fault.what += fmt::format(" (this one: {})", table.refused.front().reason);
        }
        return fault;
    }
    if (!hasDistinctTimes(table.time_s, fewest_times)) {
        return inputFault(file,
                          fmt::format("fewer than {} distinct times in {} rows", fewest_times, table.time_s.size()),
                          "a trace needs more; if another column is the time, name it with --time COLUMN");
    }
    if (!holdsSaneValue(table)) {
        return inputFault(file, "no value within -273.15 to 3000 °C",
                          "check the columns and the unit (--columns, --unit)");
    }
    return std::nullopt;
}

Result<Table> readTable(ByteSource& source, const std::string& file, const ImportOptions& options,
                        const Progress& progress, const std::stop_token& stop) {
    Result<std::string> head = readHead(source, sample_bytes);
    std::size_t asked_for = sample_bytes;
    constexpr std::ptrdiff_t few_lines = 10;
    if (head && head->size() == asked_for && std::count_if(head->begin(), head->end(), endsLine) < few_lines) {
        Result<std::string> more = readHead(source, max_line_bytes);
        head = more ? Result<std::string>{*head + *more} : more;
        asked_for += max_line_bytes;
    }
    if (!head) {
        Fault fault = std::move(head.error());
        fault.where.file = file;
        return tl::unexpected(std::move(fault));
    }
    if (std::optional<Fault> foreign = foreignFile(*head, file)) {
        return tl::unexpected(std::move(*foreign));
    }
    const bool complete = head->size() < asked_for;
    Result<Sample> sample = takeSample(*head, complete, file);
    if (!sample) {
        return tl::unexpected(std::move(sample.error()));
    }
    if (sample->text.empty() || sample->cut_off > max_line_bytes) {
        const long line = 1 + std::count(sample->text.begin(), sample->text.end(), '\n');
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "a line of more than 1 MB: this is no table with one row a line",
                                    .where = {.file = file, .line = line, .column = {}, .channel = {}},
                                    .remedy = "export it as CSV with one row a line"});
    }
    Result<Layout> layout = findLayout(sample->text, sample->encoding, options, file);
    if (!layout) {
        return tl::unexpected(std::move(layout.error()));
    }
    layout->returns_end_lines = sample->returns_end_lines;

    HeadedSource whole(std::move(*head), source);
    if (!whole.rewind()) {
        if (Result<void> kept = whole.keepAll(); !kept) { // a pipe: it may have to be read twice
            return tl::unexpected(std::move(kept.error()));
        }
    }
    constexpr int most_passes = 4;
    for (int pass = 1;; ++pass) {
        if (!whole.rewind()) {
            return tl::unexpected(inputFault(file, "cannot be read from its start again", "copy it and read the copy"));
        }
        const std::optional<std::uint64_t> size = whole.size();
        BlockReader reader(whole, *layout, file);
        const RowParser parser(*layout);
        TableBuilder builder(*layout, size);
        Result<void> read = readAllRows(reader, parser, builder, workersFor(options, size), size, progress, stop);
        if (!read) {
            read.error().where.file = file;
            return tl::unexpected(std::move(read.error()));
        }
        Result<std::optional<Layout>> revised = revise(*layout, builder, file);
        if (!revised) {
            return tl::unexpected(std::move(revised.error()));
        }
        if (*revised && pass < most_passes) {
            *layout = std::move(**revised);
            continue;
        }
        Table table = builder.finish();
        if (std::optional<Fault> fault = faultOf(table, file)) {
            return tl::unexpected(std::move(*fault));
        }
        return table;
    }
}

} // namespace

Result<Table> readFile(const std::string& path, const ImportOptions& options, const Progress& progress,
                       std::stop_token stop) {
    Result<std::unique_ptr<ByteSource>> source = openFile(path);
    if (!source) {
        return tl::unexpected(std::move(source.error()));
    }
    return readTable(**source, path, options, progress, stop);
}

Result<Table> readBytes(std::string_view bytes, const std::string& name, const ImportOptions& options) {
    const std::unique_ptr<ByteSource> source = openBytes(bytes);
    return readTable(*source, name, options, {}, {});
}

} // namespace potwatch::csv
