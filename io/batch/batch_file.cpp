// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/batch_file.h"

#include "io/batch/batch_format.h"
#include "io/batch/consistency.h"
#include "io/batch/document.h"
#include "io/batch/reading.h"

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <memory>
#include <system_error>

namespace potwatch::batch {

namespace {

constexpr std::size_t largest_file = 1'000'000; // bytes; a batch file with a hundred events has 10 kB

struct CloseFile {
    void operator()(std::FILE* file) const { std::fclose(file); }
};

Fault fault(FaultKind kind, const std::string& name, std::string what, std::string remedy) {
    return {.kind = kind, .what = std::move(what), .where = {.file = name}, .remedy = std::move(remedy)};
}

Fault tooLarge(const std::string& name) {
    return fault(FaultKind::input, name, "too large for a batch file (over 1 MB)", "is this the file that was meant?");
}

Fault unreadable(const std::string& path, int error) {
    return fault(FaultKind::storage, path, "cannot be read: " + std::generic_category().message(error),
                 "check the name and the permissions");
}

// The whole file, but never more than one byte over the largest: a device or a pipe may have no end.
Result<std::string> bytesOf(const std::string& path) {
    const std::unique_ptr<std::FILE, CloseFile> file(std::fopen(path.c_str(), "rb"));
    if (!file) {
        return tl::unexpected(unreadable(path, errno));
    }
    std::string bytes;
    std::array<char, 65'536> block{};
    while (bytes.size() <= largest_file) {
        const std::size_t count = std::fread(block.data(), 1, block.size(), file.get());
        if (count == 0 && std::ferror(file.get()) != 0) {
            return tl::unexpected(unreadable(path, errno));
        }
        if (count == 0) {
            break;
        }
        bytes.append(block.data(), count);
    }
    return bytes;
}

// The fault of a file that a newer program wrote: nothing else in it can be judged.
std::optional<Fault> newerFormat(const Table& document, const std::string& name) {
    for (const Member& member : document.members) {
        const auto* const version = std::get_if<std::int64_t>(&member.item.value);
        if (member.key == "format" && version != nullptr && *version > format_version) {
            Fault newer = fault(
                FaultKind::unsupported, name,
                fmt::format("format {} is newer than this program, which reads format {}", *version, format_version),
                "open it with a newer Potwatch");
            newer.where.line = member.item.position.line;
            newer.where.column = member.item.position.column;
            return newer;
        }
    }
    return std::nullopt;
}

} // namespace

tl::expected<Batch, Faults> readFile(const std::string& path) {
    const Result<std::string> bytes = bytesOf(path);
    if (!bytes) {
        return tl::unexpected(Faults{bytes.error()});
    }
    return readText(*bytes, path);
}

tl::expected<Batch, Faults> readText(std::string_view text, const std::string& name) {
    if (text.size() > largest_file) {
        return tl::unexpected(Faults{tooLarge(name)});
    }
    const Result<Table> document = parse(text, name);
    if (!document) {
        return tl::unexpected(Faults{document.error()});
    }
    if (const std::optional<Fault> newer = newerFormat(*document, name)) {
        return tl::unexpected(Faults{*newer});
    }
    Batch batch;
    batch.file = name;
    Reading reading(name, knownKeys());
    readTable(*document, Position{}, batchFormat(), Where{}, batch, reading);
    checkConsistency(batch, reading);
    if (Faults faults = reading.faults(); !faults.empty()) {
        return tl::unexpected(std::move(faults));
    }
    return batch;
}

std::string write(const Batch& batch) {
    std::string out;
    writeTable(batch, batchFormat(), Where{}, out);
    return out;
}

} // namespace potwatch::batch
