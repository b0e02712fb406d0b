// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/live_program.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <csignal>
#include <fcntl.h>
#include <fstream>
#include <iterator>
#include <sstream>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace potwatch::test {
namespace {

using namespace std::chrono_literals;

std::string contentOf(const std::string& path) {
    std::ifstream stream(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

} // namespace

Arguments::Arguments(const std::vector<std::string>& words)
    : words_{POTWATCH_PROGRAM} {
    words_.insert(words_.end(), words.begin(), words.end());
    std::transform(words_.begin(), words_.end(), std::back_inserter(pointers_),
                   [](std::string& word) { return word.data(); });
    pointers_.push_back(nullptr);
}

LiveProgram::LiveProgram(const std::string& folder, const std::vector<std::string>& words) {
    static std::atomic<int> count = 0;
    const int number = ++count;
    out_ = fmt::format("{}/out-{}.txt", folder, number);
    err_ = fmt::format("{}/err-{}.txt", folder, number);
    const Arguments arguments(words);
    process_ = ::fork();
    if (process_ == 0) {
        ::dup2(::open("/dev/null", O_RDONLY), STDIN_FILENO);
        ::dup2(::open(out_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), STDOUT_FILENO);
        ::dup2(::open(err_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), STDERR_FILENO);
        for (const int number_of_signal : {SIGINT, SIGTERM, SIGHUP}) {
            ::signal(number_of_signal, SIG_DFL); // a test runner in the background may ignore it
        }
        ::execv(POTWATCH_PROGRAM, arguments.get());
        ::_exit(127);
    }
}

LiveProgram::~LiveProgram() {
    if (process_ > 0) {
        ::kill(process_, SIGKILL);
        ::waitpid(process_, nullptr, 0);
    }
}

void LiveProgram::signal(int number) const {
    ::kill(process_, number);
}

int LiveProgram::wait() {
    const auto until = std::chrono::steady_clock::now() + 60s;
    int status = 0;
    while (::waitpid(process_, &status, WNOHANG) == 0) {
        if (std::chrono::steady_clock::now() > until) {
            ADD_FAILURE() << "it does not end: " << out() << err();
            return -1;
        }
        std::this_thread::sleep_for(10ms);
    }
    process_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
}

std::string LiveProgram::out() const {
    return contentOf(out_);
}

std::string LiveProgram::err() const {
    return contentOf(err_);
}

bool LiveProgram::hasSaid(const std::string& text) const {
    const auto until = std::chrono::steady_clock::now() + 20s;
    while (out().find(text) == std::string::npos && err().find(text) == std::string::npos) {
        if (std::chrono::steady_clock::now() > until) {
            return false;
        }
        std::this_thread::sleep_for(10ms);
    }
    return true;
}

// Source: proc(5), /proc/pid/stat: utime and stime are its 14th and 15th field, in clock ticks.
double LiveProgram::cpuSeconds() const {
    const std::string stat = contentOf(fmt::format("/proc/{}/stat", process_));
    std::istringstream fields(stat.substr(stat.rfind(')') + 1)); // the name may hold blanks
    std::string word;
    long ticks = 0;
    constexpr int user_time = 12; // after the name
    for (int field = 1; field <= user_time + 1 && fields >> word; ++field) {
        ticks += field >= user_time ? std::stol(word) : 0;
    }
    return static_cast<double>(ticks) / static_cast<double>(::sysconf(_SC_CLK_TCK));
}

} // namespace potwatch::test
