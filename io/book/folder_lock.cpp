// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/folder_lock.h"

#include <cerrno>
#include <chrono>
#include <fcntl.h>
#include <sys/file.h>
#include <thread>
#include <unistd.h>

namespace potwatch::book {
namespace {

constexpr std::chrono::seconds patience{10};
constexpr std::chrono::milliseconds between_tries{5};

} // namespace

FolderLock::FolderLock(const std::string& folder)
    : descriptor_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
    const auto give_up = std::chrono::steady_clock::now() + patience;
    while (descriptor_ >= 0 && ::flock(descriptor_, LOCK_EX | LOCK_NB) != 0 &&
           (errno == EWOULDBLOCK || errno == EINTR) && std::chrono::steady_clock::now() < give_up) {
        std::this_thread::sleep_for(between_tries);
    }
}

FolderLock::~FolderLock() {
    if (descriptor_ >= 0) {
        ::close(descriptor_);
    }
}

} // namespace potwatch::book
