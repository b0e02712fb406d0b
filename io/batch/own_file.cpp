// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/own_file.h"

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <cstddef>
#include <cstdio>
#include <memory>
#include <system_error>
#include <variant>

namespace potwatch::batch {
namespace {

constexpr std::size_t largest_file = 1'000'000; // bytes; a batch file with a hundred events has 10 kB

struct CloseFile {
    void operator()(std::FILE* file) const { std::fclose(file); }
};

tl::unexpected<Fault> unreadable(const std::string& path, int error) {
    return tl::unexpected(Fault{.kind = FaultKind::storage,
                                .what = "cannot be read: " + std::generic_category().message(error),
                                .where = {.file = path},
                                .remedy = "check the name and the permissions"});
}

} // namespace

Result<std::string> bytesOf(const std::string& path) {
    const std::unique_ptr<std::FILE, CloseFile> file(std::fopen(path.c_str(), "rb"));
    if (!file) {
        return unreadable(path, errno);
    }
    std::string bytes;
    std::array<char, 65'536> block{};
    while (bytes.size() <= largest_file) {
        const std::size_t count = std::fread(block.data(), 1, block.size(), file.get());
        if (count == 0 && std::ferror(file.get()) != 0) {
            return unreadable(path, errno);
        }
        if (count == 0) {
            break;
        }
        bytes.append(block.data(), count);
    }
    return bytes;
}

Result<Table> documentOf(std::string_view text, const std::string& path, const OwnFile& kind) {
    if (text.size() > largest_file) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = fmt::format("too large for a {} (over 1 MB)", kind.name),
                                    .where = {.file = path},
                                    .remedy = "is this the file that was meant?"});
    }
    Result<Table> document = parse(text, path, kind.name);
    if (!document) {
        return document;
    }
    for (const Member& member : document->members) {
        const auto* const version = std::get_if<std::int64_t>(&member.item.value);
        if (member.key == "format" && version != nullptr && *version > kind.version) {
            return tl::unexpected(
                Fault{.kind = FaultKind::unsupported,
                      .what = fmt::format("format {} is newer than this program, which reads format {}", *version,
                                          kind.version),
                      .where = {.file = path, .line = member.item.position.line, .column = member.item.position.column},
                      .remedy = "open it with a newer Potwatch"});
        }
    }
    return document;
}

} // namespace potwatch::batch
