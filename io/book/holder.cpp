// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/holder.h"

#include <fmt/format.h>

#include <charconv>
#include <fcntl.h>
#include <fstream>
#include <string_view>
#include <sys/stat.h>
#include <unistd.h>
#include <vector>

namespace potwatch::book {
namespace {

// A line of /proc/locks, as far as it matters: "3: POSIX  ADVISORY  WRITE 4711 08:01:131 120 120".
// Source: proc(5), /proc/locks.
struct Lock {
    bool for_writing = false;
    long process = 0;
    unsigned long inode = 0;
    long first = 0;
};

std::vector<std::string_view> wordsOf(std::string_view line) {
    std::vector<std::string_view> words;
    while (!line.empty()) {
        const std::size_t start = line.find_first_not_of(' ');
        if (start == std::string_view::npos) {
            break;
        }
        line.remove_prefix(start);
        const std::size_t end = line.find(' ');
        words.push_back(line.substr(0, end));
        line = end == std::string_view::npos ? std::string_view() : line.substr(end);
    }
    return words;
}

template<class Number>
bool read(std::string_view word, Number& number) {
    return std::from_chars(word.data(), word.data() + word.size(), number).ec == std::errc();
}

std::vector<Lock> locksOn(const std::string& path) {
    struct stat status {};
    if (::stat(path.c_str(), &status) != 0) {
        return {};
    }
    std::vector<Lock> locks;
    std::ifstream table("/proc/locks");
    for (std::string line; std::getline(table, line);) {
        const std::vector<std::string_view> words = wordsOf(line);
        if (words.size() < 8 || words[1] != "POSIX") {
            continue; // among them those who wait: "3: -> POSIX"
        }
        Lock lock{.for_writing = words[3] == "WRITE"};
        const std::size_t colon = words[5].rfind(':');
        if (colon != std::string_view::npos && read(words[4], lock.process) &&
            read(words[5].substr(colon + 1), lock.inode) && read(words[6], lock.first) &&
            lock.inode == static_cast<unsigned long>(status.st_ino)) {
            locks.push_back(lock);
        }
    }
    return locks;
}

// The table does not list the locks of another container. To ask the file itself would cost this process its own locks
// on it, so the table is asked first: it lists those.
bool isLocked(const std::string& path) {
    const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor < 0) {
        return false;
    }
    struct flock lock {};
    lock.l_type = F_WRLCK;
    lock.l_whence = SEEK_SET;
    const bool is_told = ::fcntl(descriptor, F_OFD_GETLK, &lock) == 0;
    ::close(descriptor);
    return is_told && lock.l_type != F_UNLCK;
}

std::string inWords(long process) {
    std::ifstream file(fmt::format("/proc/{}/comm", process));
    std::string name;
    std::getline(file, name);
    return name.empty() ? fmt::format("process {}", process)
                        : fmt::format("the program {} (process {})", name, process);
}

} // namespace

bool isHeldOpen(const std::string& path) {
    if (!std::ifstream("/proc/locks")) {
        return true; // who knows
    }
    return !locksOn(path).empty() || isLocked(path);
}

bool isLogHeldOpen(const std::string& path) {
    return !locksOn(path + "-shm").empty();
}

std::string describeHolder(const std::string& path) {
    for (const std::string& file : {path + "-shm", path}) {
        for (const Lock& lock : locksOn(file)) {
            if (lock.for_writing && lock.process > 0 && lock.process != ::getpid()) {
                return inWords(lock.process);
            }
        }
    }
    return {};
}

} // namespace potwatch::book
