// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <array>
#include <clocale>
#include <cmath>
#include <csignal>
#include <cstdlib>
#include <fcntl.h>
#include <fstream>
#include <iterator>
#include <poll.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace potwatch::test {
namespace {

namespace fs = std::filesystem;

// Both ends of a pipe; closed when it goes out of scope.
struct Pipe {
    std::array<int, 2> ends{-1, -1};

    Pipe() { EXPECT_EQ(::pipe2(ends.data(), O_CLOEXEC), 0); }
    ~Pipe() {
        closeEnd(0);
        closeEnd(1);
    }
    Pipe(const Pipe&) = delete;
    Pipe& operator=(const Pipe&) = delete;

    void closeEnd(std::size_t end) {
        if (ends.at(end) >= 0) {
            ::close(ends.at(end));
            ends.at(end) = -1;
        }
    }
};

// Reads both until both are closed, so that neither can fill up and block the program.
void drain(int out, std::string& out_text, int err, std::string& err_text) {
    std::array<pollfd, 2> waiting{
        {{.fd = out, .events = POLLIN, .revents = 0}, {.fd = err, .events = POLLIN, .revents = 0}}};
    const std::array<std::string*, 2> texts{&out_text, &err_text};
    std::array<char, 65536> buffer{};
    while (waiting[0].fd >= 0 || waiting[1].fd >= 0) {
        ::poll(waiting.data(), waiting.size(), -1);
        for (std::size_t i = 0; i < waiting.size(); ++i) {
            if (waiting.at(i).fd < 0 || waiting.at(i).revents == 0) {
                continue;
            }
            const ssize_t count = ::read(waiting.at(i).fd, buffer.data(), buffer.size());
            if (count <= 0) {
                waiting.at(i).fd = -1;
            } else {
                texts.at(i)->append(buffer.data(), static_cast<std::size_t>(count));
            }
        }
    }
}

std::vector<std::string> commandOf(const std::vector<std::string>& words, const Start& start) {
    std::vector<std::string> command;
    if (start.as_nobody) {
        command = {"setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"};
    }
    command.emplace_back(POTWATCH_PROGRAM);
    command.insert(command.end(), words.begin(), words.end());
    return command;
}

// Whether a process holds back the interrupt signal, as it does once it waits for it by itself; true as well once it
// has ended.
bool blocksInterrupt(pid_t process) {
    std::ifstream status(fmt::format("/proc/{}/status", process));
    const std::string text{std::istreambuf_iterator<char>(status), {}};
    const std::size_t at = text.find("SigBlk:");
    if (at == std::string::npos || text.find("State:\tZ") != std::string::npos) {
        return true;
    }
    return (std::stoull(text.substr(at + 7), nullptr, 16) & (1ULL << (SIGINT - 1))) != 0;
}

// Runs in the child: nothing but what is safe between fork and exec.
[[noreturn]] void become(std::vector<char*>& arguments, const Start& start, int in, int out, int err) {
    ::dup2(in, STDIN_FILENO);
    ::dup2(start.output.empty() ? out : ::open(start.output.c_str(), O_WRONLY), STDOUT_FILENO);
    ::dup2(err, STDERR_FILENO);
    if (start.no_display) {
        for (const char* const variable : {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}) {
            ::unsetenv(variable);
        }
    }
    ::signal(SIGINT, SIG_DFL); // a test runner in the background may ignore it
    if (start.folder.empty() || ::chdir(start.folder.c_str()) == 0) {
        ::execvp(arguments.front(), arguments.data());
    }
    ::_exit(127);
}

} // namespace

Outcome potwatch(const std::vector<std::string>& words, const Start& start) {
    std::vector<std::string> command = commandOf(words, start);
    std::vector<char*> arguments;
    std::transform(command.begin(), command.end(), std::back_inserter(arguments),
                   [](std::string& s) { return s.data(); });
    arguments.push_back(nullptr);
    Pipe in;
    Pipe out;
    Pipe err;
    const pid_t child = ::fork();
    if (child == 0) {
        become(arguments, start, in.ends[0], out.ends[1], err.ends[1]);
    }
    in.closeEnd(0);
    out.closeEnd(1);
    err.closeEnd(1);
    ::signal(SIGPIPE, SIG_IGN); // the program need not read what it is given
    std::thread feeder([&] {
        std::string_view rest = start.input;
        while (!rest.empty()) {
            const ssize_t count = ::write(in.ends[1], rest.data(), rest.size());
            if (count <= 0) {
                break;
            }
            rest.remove_prefix(static_cast<std::size_t>(count));
        }
        if (start.interrupt) {
            while (!blocksInterrupt(child)) {
                std::this_thread::yield();
            }
            ::kill(child, SIGINT);
        } else {
            in.closeEnd(1);
        }
    });
    Outcome outcome;
    drain(out.ends[0], outcome.out, err.ends[0], outcome.err);
    feeder.join();
    int status = 0;
    ::waitpid(child, &status, 0);
    outcome.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
    return outcome;
}

void CommandLine::SetUp() {
    if (const char* wanted = std::getenv("LC_ALL"); wanted != nullptr && std::string_view(wanted) != "C") {
        if (std::setlocale(LC_ALL, "") == nullptr) {
            ::setenv("LOCPATH", POTWATCH_LOCALE_DIR, 1); // where the test run makes it when the system has none
        }
        if (std::setlocale(LC_ALL, "") == nullptr) {
            GTEST_SKIP() << "the locale " << wanted << " is neither on this system nor in " << POTWATCH_LOCALE_DIR;
        }
    }
    std::string pattern = (fs::temp_directory_path() / "potwatch-cli-XXXXXX").string();
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
}

void CommandLine::TearDown() {
    if (!folder_.empty()) {
        fs::remove_all(folder_);
    }
}

std::string CommandLine::file(const std::string& name, std::string_view content) const {
    std::ofstream stream(path(name), std::ios::binary);
    stream.write(content.data(), static_cast<std::streamsize>(content.size()));
    return path(name);
}

// A rise of 60 K that eases in and out, on a pot that then cools with a time constant of 400 s, with a ripple for
// noise.
std::string castingCsv() {
    std::string text = "time_s,pot_c\n";
    for (int i = 0; i < 1500; ++i) {
        const double t = 2.0 * i;
        const double rise = 60.0 / (1.0 + std::exp(-(t - 600.0) / 40.0));
        const double left = t < 700.0 ? 1.0 : std::exp(-(t - 700.0) / 400.0);
        const double ripple = 0.05 * std::sin(1.7 * t) * std::cos(0.37 * t);
        text += fmt::format("{},{:.2f}\n", t, 22.0 + rise * left + ripple);
    }
    return text;
}

std::string idleCsv() {
    std::string text = "time_s,pot_c\n";
    for (int i = 0; i < 600; ++i) {
        text += fmt::format("{},{:.2f}\n", 2 * i, 22.0);
    }
    return text;
}

long linesOf(std::string_view text) {
    return std::count(text.begin(), text.end(), '\n');
}

void expectOneFault(const Outcome& outcome, int exit_code, const std::string& words) {
    EXPECT_EQ(outcome.exit_code, exit_code) << outcome.out << outcome.err;
    EXPECT_EQ(linesOf(outcome.err), 1) << outcome.err;
    EXPECT_THAT(outcome.err, ::testing::StartsWith("potwatch: "));
    EXPECT_THAT(outcome.err, ::testing::HasSubstr(words));
}

} // namespace potwatch::test
