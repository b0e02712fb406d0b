// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/memory.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <filesystem>
#include <fstream>
#include <system_error>

namespace potwatch::session {
namespace {

constexpr double peak_per_file_byte = 1.6;
constexpr double usable_share = 0.85; // of what is free: the rest is for the analysis and the desktop

} // namespace

std::optional<std::uint64_t> freeMemoryIn(std::string_view meminfo) {
    constexpr std::string_view key = "MemAvailable:";
    const std::size_t at = meminfo.find(key);
    if (at == std::string_view::npos) {
        return std::nullopt;
    }
    std::string_view rest = meminfo.substr(at + key.size());
    rest.remove_prefix(std::min(rest.find_first_not_of(' '), rest.size()));
    std::uint64_t kilobytes = 0;
    if (std::from_chars(rest.data(), rest.data() + rest.size(), kilobytes).ec != std::errc{}) {
        return std::nullopt;
    }
    return kilobytes * 1024;
}

std::optional<std::uint64_t> freeMemoryBytes() {
    std::ifstream stream("/proc/meminfo", std::ios::binary);
    std::array<char, 4096> text{};
    stream.read(text.data(), static_cast<std::streamsize>(text.size()));
    return freeMemoryIn({text.data(), static_cast<std::size_t>(stream.gcount())});
}

std::uint64_t bytesToRead(std::uint64_t file_bytes) {
    return static_cast<std::uint64_t>(peak_per_file_byte * static_cast<double>(file_bytes));
}

std::string bytesText(std::uint64_t bytes) {
    constexpr double gigabyte = 1e9;
    constexpr double megabyte = 1e6;
    const auto size = static_cast<double>(bytes);
    return size >= gigabyte ? fmt::format("{:.1f} GB", size / gigabyte) : fmt::format("{:.0f} MB", size / megabyte);
}

Result<void> checkMemoryFor(const std::string& file, std::optional<std::uint64_t> free_bytes) {
    std::error_code error;
    const std::uintmax_t size = std::filesystem::file_size(file, error);
    if (error || !free_bytes) {
        return {};
    }
    const std::uint64_t needed = bytesToRead(size);
    if (static_cast<double>(needed) <= usable_share * static_cast<double>(*free_bytes)) {
        return {};
    }
    return tl::unexpected(Fault{.kind = FaultKind::input,
                                .what = fmt::format("is too large for this machine: reading its {} takes about {} of "
                                                    "memory, and {} are free",
                                                    bytesText(size), bytesText(needed), bytesText(*free_bytes)),
                                .where = {.file = file},
                                .remedy = "cut the file into parts, or have the logger write less often; nothing was "
                                          "read"});
}

} // namespace potwatch::session
