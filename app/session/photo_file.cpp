// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/photo_file.h"

#include <array>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <system_error>
#include <utility>

namespace potwatch::session {
namespace {

constexpr std::size_t largest_photo = 64'000'000; // bytes; a camera's picture has 5 to 20 million

struct CloseFile {
    void operator()(std::FILE* file) const { std::fclose(file); }
};

Fault fault(const std::string& path, std::string what, std::string remedy) {
    return {.kind = FaultKind::input, .what = std::move(what), .where = {.file = path}, .remedy = std::move(remedy)};
}

} // namespace

Result<book::Photo> readPhotoFile(const std::string& path) {
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path, ignored)) {
        return tl::unexpected(fault(path, "there is no such picture", "put it there, or mend the name"));
    }
    const std::unique_ptr<std::FILE, CloseFile> file(std::fopen(path.c_str(), "rb"));
    if (!file) {
        return tl::unexpected(fault(path, "cannot be read: " + std::generic_category().message(errno),
                                    "check the permissions of the picture"));
    }
    book::Photo photo{.name = std::filesystem::path(path).filename().string()};
    std::array<char, 65'536> block{};
    while (const std::size_t count = std::fread(block.data(), 1, block.size(), file.get())) {
        photo.bytes.append(block.data(), count);
        if (photo.bytes.size() > largest_photo) {
            return tl::unexpected(fault(path, "is larger than 64 MB", "make the picture smaller"));
        }
    }
    photo.media_type = mediaTypeOf(photo.bytes);
    if (photo.media_type.empty()) {
        return tl::unexpected(fault(path, "is no picture that is known", "save it as JPEG or PNG"));
    }
    return photo;
}

// Source: the signatures in RFC 2083 (PNG), ITU-T T.81 (JPEG), and for the others common practice.
std::string_view mediaTypeOf(std::string_view bytes) {
    using namespace std::string_view_literals;
    static constexpr std::array<std::pair<std::string_view, std::string_view>, 7> beginnings{
        {{"\x89PNG\r\n\x1A\n"sv, "image/png"},
         {"\xFF\xD8\xFF"sv, "image/jpeg"},
         {"GIF8"sv, "image/gif"},
         {"BM"sv, "image/bmp"},
         {"II*\0"sv, "image/tiff"},
         {"MM\0*"sv, "image/tiff"},
         {"RIFF"sv, "image/webp"}}};
    for (const auto& beginning : beginnings) {
        if (bytes.starts_with(beginning.first)) {
            const bool other_riff = beginning.second == "image/webp" && bytes.substr(0, 12).find("WEBP") != 8;
            return other_riff ? std::string_view() : beginning.second;
        }
    }
    return {};
}

} // namespace potwatch::session
