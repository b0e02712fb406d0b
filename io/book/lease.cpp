// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/lease.h"

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <fcntl.h>
#include <fstream>
#include <sys/file.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>
#include <utility>

namespace potwatch::book {
namespace {

// Changes with each start of the machine. Source: random(4), /proc/sys/kernel/random/boot_id.
std::string bootId() {
    std::ifstream file("/proc/sys/kernel/random/boot_id");
    std::string id;
    std::getline(file, id);
    return id;
}

std::string contentOf(int descriptor) {
    std::array<char, 512> buffer{};
    const ssize_t count = ::pread(descriptor, buffer.data(), buffer.size(), 0);
    return count > 0 ? std::string(buffer.data(), static_cast<std::size_t>(count)) : std::string();
}

// Whether the descriptor's file is still what stands under the name: its last holder may have taken it away meanwhile.
bool isStillThere(int descriptor, const std::string& path) {
    struct stat opened {};
    struct stat named {};
    return ::fstat(descriptor, &opened) == 0 && ::stat(path.c_str(), &named) == 0 && opened.st_ino == named.st_ino &&
           opened.st_dev == named.st_dev;
}

enum class Taking { taken, held, again };

Taking lock(int descriptor, const std::string& path) {
    if (::flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
        if (errno == EWOULDBLOCK) {
            return Taking::held;
        }
        const std::string content = contentOf(descriptor);
        const std::string boot = bootId();
        const bool of_another_start = !content.empty() && !boot.empty() && content.find(boot) == std::string::npos;
        return content.empty() || of_another_start ? Taking::taken : Taking::held;
    }
    return isStillThere(descriptor, path) ? Taking::taken : Taking::again;
}

bool write(int descriptor, const std::string& run) {
    const std::string content =
        fmt::format("format = 1\nrun = \"{}\"\nprocess = {}\nboot = \"{}\"\n", run, ::getpid(), bootId());
    return ::ftruncate(descriptor, 0) == 0 &&
           ::pwrite(descriptor, content.data(), content.size(), 0) == static_cast<ssize_t>(content.size());
}

Fault cannotMake(const std::string& path) {
    return {.kind = FaultKind::storage,
            .what = "cannot be made: " + std::generic_category().message(errno),
            .where = {.file = path},
            .remedy = "allow writing to the folder of the book; a run that is recorded is marked by a file there"};
}

} // namespace

std::string leasePath(const std::string& book, const std::string& run) {
    return book + "-" + run + ".lease";
}

Result<std::optional<Lease>> Lease::take(const std::string& book, const std::string& run) {
    const std::string path = leasePath(book, run);
    while (true) {
        const int descriptor = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
        if (descriptor < 0) {
            return tl::unexpected(cannotMake(path));
        }
        Lease lease(path, descriptor);
        const Taking taking = lock(descriptor, path);
        if (taking == Taking::held) {
            return std::nullopt;
        }
        if (taking == Taking::taken) {
            if (!write(descriptor, run)) {
                return tl::unexpected(cannotMake(path));
            }
            return lease;
        }
    }
}

void Lease::release() {
    if (descriptor_ >= 0) {
        ::unlink(path_.c_str()); // before the lock goes, so that nobody locks a file without a name
        close();
    }
}

void Lease::close() {
    if (descriptor_ >= 0) {
        ::close(std::exchange(descriptor_, -1));
    }
}

Lease::Lease(std::string path, int descriptor)
    : path_(std::move(path))
    , descriptor_(descriptor) {}

Lease::Lease(Lease&& other) noexcept
    : path_(std::move(other.path_))
    , descriptor_(std::exchange(other.descriptor_, -1)) {}

Lease& Lease::operator=(Lease&& other) noexcept {
    close();
    path_ = std::move(other.path_);
    descriptor_ = std::exchange(other.descriptor_, -1);
    return *this;
}

Lease::~Lease() {
    close();
}

} // namespace potwatch::book
