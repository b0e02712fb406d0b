// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/byte_source.h"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace potwatch::csv {
namespace {

Fault storageFault(const std::string& path, int error) {
    std::string what;
    std::string remedy;
    switch (error) {
    case ENOENT:
    case ENOTDIR:
        what = "no such file";
        remedy = "check the path";
        break;
    case EISDIR:
        what = "this is a folder";
        remedy = "name a CSV file in it";
        break;
    case EACCES:
    case EPERM:
        what = "no permission to read this file";
        remedy = "ask its owner for it, or change its permissions";
        break;
    default:
        what = "cannot be read: " + std::system_category().message(error);
        remedy = "check the disk or the connection, or copy the file and read the copy";
        break;
    }
    return {.kind = FaultKind::storage,
            .what = what,
            .where = {.file = path, .line = {}, .column = {}, .channel = {}},
            .remedy = remedy};
}

class FileSource final : public ByteSource {
public:
    FileSource(int descriptor, std::string path, std::optional<std::uint64_t> size)
        : descriptor_(descriptor)
        , path_(std::move(path))
        , size_(size) {}
    FileSource(const FileSource&) = delete;
    FileSource& operator=(const FileSource&) = delete;
    ~FileSource() override { ::close(descriptor_); }

    Result<std::size_t> read(char* to, std::size_t size) override {
        while (true) {
            const ssize_t got = ::read(descriptor_, to, size);
            if (got >= 0) {
                return static_cast<std::size_t>(got);
            }
            if (errno != EINTR) {
                return tl::unexpected(storageFault(path_, errno));
            }
        }
    }

    bool rewind() override { return ::lseek(descriptor_, 0, SEEK_SET) == 0; }

    std::optional<std::uint64_t> size() const override { return size_; }

private:
    int descriptor_;
    std::string path_;
    std::optional<std::uint64_t> size_;
};

class MemorySource final : public ByteSource {
public:
    explicit MemorySource(std::string_view bytes)
        : bytes_(bytes) {}

    Result<std::size_t> read(char* to, std::size_t size) override {
        const std::size_t count = std::min(size, bytes_.size() - used_);
        if (count > 0) {
            std::memcpy(to, bytes_.data() + used_, count);
        }
        used_ += count;
        return count;
    }

    bool rewind() override {
        used_ = 0;
        return true;
    }

    std::optional<std::uint64_t> size() const override { return bytes_.size(); }

private:
    std::string_view bytes_;
    std::size_t used_ = 0;
};

} // namespace

Result<std::unique_ptr<ByteSource>> openFile(const std::string& path) {
    const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor < 0) {
        return tl::unexpected(storageFault(path, errno));
    }
    struct stat status {};
    if (::fstat(descriptor, &status) == 0 && S_ISDIR(status.st_mode)) {
        ::close(descriptor);
        return tl::unexpected(storageFault(path, EISDIR));
    }
    std::optional<std::uint64_t> size;
    if (S_ISREG(status.st_mode)) {
        size = static_cast<std::uint64_t>(status.st_size);
        ::posix_fadvise(descriptor, 0, 0, POSIX_FADV_SEQUENTIAL); // advice only: a refusal changes nothing
    }
    return std::make_unique<FileSource>(descriptor, path, size);
}

std::unique_ptr<ByteSource> openBytes(std::string_view bytes) {
    return std::make_unique<MemorySource>(bytes);
}

Result<std::size_t> HeadedSource::read(char* to, std::size_t size) {
    const std::size_t from_head = std::min(size, head_.size() - head_used_);
    if (from_head > 0) {
        std::memcpy(to, head_.data() + head_used_, from_head);
        head_used_ += from_head;
        return from_head;
    }
    return all_kept_ ? Result<std::size_t>{std::size_t{0}} : rest_.read(to, size);
}

bool HeadedSource::rewind() {
    if (!all_kept_) {
        if (!rest_.rewind()) {
            return false;
        }
        head_used_ = head_.size(); // the rest starts from its beginning again, the head with it
        return true;
    }
    head_used_ = 0;
    return true;
}

Result<void> HeadedSource::keepAll() {
    constexpr std::size_t piece = std::size_t{1} << 20;
    while (!all_kept_) {
        const std::size_t before = head_.size();
        head_.resize(before + piece);
        const Result<std::size_t> got = rest_.read(head_.data() + before, piece);
        head_.resize(before + got.value_or(0));
        if (!got) {
            return tl::unexpected(got.error());
        }
        all_kept_ = *got == 0;
    }
    return {};
}

} // namespace potwatch::csv
