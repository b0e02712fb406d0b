// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/whole_file.h"

#include <cerrno>
#include <cstdio>
#include <fcntl.h>
#include <filesystem>
#include <system_error>
#include <unistd.h>

namespace potwatch::session {
namespace {

Fault cannotWrite(const std::string& path, int error) {
    return {.kind = FaultKind::storage,
            .what = "cannot be written: " + std::generic_category().message(error),
            .where = {.file = path},
            .remedy = error == ENOENT ? "make its folder first" : "choose another place"};
}

// 0, or the errno of the write that failed.
int writeAll(int descriptor, std::string_view content) {
    while (!content.empty()) {
        const ssize_t written = ::write(descriptor, content.data(), content.size());
        if (written < 0 && errno == EINTR) {
            continue;
        }
        if (written < 0) {
            return errno;
        }
        content.remove_prefix(static_cast<std::size_t>(written));
    }
    return 0;
}

Result<void> writeStraight(const std::string& path, std::string_view content) {
    const int descriptor = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
    if (descriptor < 0) {
        return tl::unexpected(cannotWrite(path, errno));
    }
    int error = writeAll(descriptor, content);
    if (::close(descriptor) != 0 && error == 0) {
        error = errno;
    }
    return error == 0 ? Result<void>() : tl::unexpected(cannotWrite(path, error));
}

} // namespace

Result<void> writeWholeFile(const std::string& path, std::string_view content) {
    std::error_code ignored;
    const std::filesystem::file_status status = std::filesystem::status(path, ignored);
    if (std::filesystem::is_directory(status)) {
        return tl::unexpected(cannotWrite(path, EISDIR));
    }
    if (std::filesystem::exists(status) && !std::filesystem::is_regular_file(status)) {
        return writeStraight(path, content);
    }
    // A link keeps pointing where it points; what it names is replaced.
    const std::string target =
        std::filesystem::exists(status) ? std::filesystem::canonical(path, ignored).string() : path;
    const std::string temporary = target + "." + std::to_string(::getpid()) + ".part";
    ::unlink(temporary.c_str()); // left by a process of the same number that was killed
    const int descriptor = ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (descriptor < 0) {
        return tl::unexpected(cannotWrite(path, errno));
    }
    int error = writeAll(descriptor, content);
    if (::close(descriptor) != 0 && error == 0) {
        error = errno;
    }
    if (error == 0 && ::rename(temporary.c_str(), target.c_str()) != 0) {
        error = errno;
    }
    if (error != 0) {
        ::unlink(temporary.c_str());
        return tl::unexpected(cannotWrite(path, error));
    }
    return {};
}

} // namespace potwatch::session
