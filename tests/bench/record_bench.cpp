// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/pretend_terminal.h"
#include "io/book/book.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <csignal>
#include <cstdint>
#include <cstdlib>
#include <fcntl.h>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>
#include <sys/resource.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>
#include <vector>

// What recording costs, and whether it keeps up: `potwatch record` as a process of its own (with --json, so that it
// makes no findings of what is no cure),
// 1. on a pseudo-terminal that sends 16 values 100 times a second, for a minute of real time;
// 2. on a pipe that holds what 16 channels send at 10 Hz in 24 hours, as fast as it is taken.
//
// Thresholds: every line that was sent is in the book, value for value; under 15 % of one core in 1; memory flat: from
// a quarter of the way to the end it grows by less than 10 % plus 4 MiB. `record_bench --check` prints PASS or FAIL for
// each, and ends with a failure where one fails; without it the same is printed. `--minutes N` makes 1 longer.

namespace {

using namespace potwatch;
using Clock = std::chrono::steady_clock;

constexpr std::size_t channels = 16;
constexpr double fast_hz = 100.0;
constexpr std::size_t day_lines = 864'000; // 24 h at 10 Hz
constexpr double most_cpu = 0.15;
constexpr double most_growth = 1.10;
constexpr double most_growth_mib = 4.0;

// The n-th line; its first value tells n modulo 100000, the second how often that went round.
std::array<long, channels> hundredthsOf(std::size_t n) {
    std::array<long, channels> all{};
    for (std::size_t i = 0; i < channels; ++i) {
        all[i] = static_cast<long>(i == 0 ? n % 100'000 : i == 1 ? n / 100'000 : 2000 + 100 * i + (n * (i + 3)) % 61);
    }
    return all;
}

void addLine(std::size_t n, std::string& text) {
    const std::array<long, channels> all = hundredthsOf(n);
    for (std::size_t i = 0; i < channels; ++i) {
        fmt::format_to(std::back_inserter(text), "{}{}.{:02}", i == 0 ? "" : ",", all[i] / 100, all[i] % 100);
    }
    text += '\n';
}

std::string contentOf(const std::string& path) {
    std::ifstream stream(path);
    return {std::istreambuf_iterator<char>(stream), {}};
}

// Resident memory now. Source: proc(5), VmRSS.
double residentMib(pid_t process) {
    const std::string status = contentOf(fmt::format("/proc/{}/status", process));
    const std::size_t at = status.find("VmRSS:");
    if (at == std::string::npos) {
        return 0.0;
    }
    const std::size_t digit = status.find_first_of("0123456789", at);
    long kib = 0;
    std::from_chars(status.data() + digit, status.data() + status.size(), kib);
    return static_cast<double>(kib) / 1024.0;
}

// A recorder as a process of its own, its standard input from a descriptor.
class Recorder {
public:
    Recorder(std::vector<std::string> words, int input) {
        words.insert(words.begin(), POTWATCH_PROGRAM);
        std::vector<char*> arguments;
        for (std::string& word : words) {
            arguments.push_back(word.data());
        }
        arguments.push_back(nullptr);
        process_ = ::fork();
        if (process_ == 0) {
            ::dup2(input, STDIN_FILENO);
            ::dup2(::open("/dev/null", O_WRONLY), STDOUT_FILENO);
            ::signal(SIGINT, SIG_DFL);
            ::execv(arguments.front(), arguments.data());
            ::_exit(127);
        }
    }
    [[nodiscard]] pid_t process() const { return process_; }

    struct End {
        bool is_clean = false;
        double cpu_s = 0.0;
    };
    [[nodiscard]] End wait(int clean_code) const {
        int status = 0;
        rusage usage{};
        ::wait4(process_, &status, 0, &usage);
        const auto seconds = [](const timeval& time) {
            return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
        };
        return {.is_clean = WIFEXITED(status) && WEXITSTATUS(status) == clean_code,
                .cpu_s = seconds(usage.ru_utime) + seconds(usage.ru_stime)};
    }

private:
    pid_t process_ = -1;
};

bool verdict(bool passes, const std::string& what) {
    fmt::print("{} {}\n", passes ? "PASS" : "FAIL", what);
    std::fflush(stdout);
    return passes;
}

bool judgeMemory(double early_mib, double late_mib) {
    return verdict(late_mib < most_growth * early_mib + most_growth_mib,
                   fmt::format("memory {:.1f} MiB half way, {:.1f} MiB at the end", early_mib, late_mib));
}

// Every line from the first that is in the book to the last one sent, value for value; the first ones may be missing
// where the device talked before anybody listened.
bool judgeBook(const std::string& path, std::size_t sent, std::size_t most_missed) {
    Result<book::Opened> opened = book::Book::open(path, book::Access::read);
    if (!opened) {
        return verdict(false, describe(opened.error()));
    }
    const Result<std::vector<book::RunRow>> rows = opened->book.list();
    if (!rows || rows->size() != 1) {
        return verdict(false, "there is not one run in the book");
    }
    const Result<book::StoredRun> stored = opened->book.read(rows->front().id);
    if (!stored || stored->run.channels.size() != channels || stored->run.time_s.empty()) {
        return verdict(false, "the run cannot be read");
    }
    const potwatch::Run& run = stored->run;
    const std::size_t missed = sent - run.time_s.size();
    std::size_t wrong = 0;
    for (std::size_t scan = 0; scan < run.time_s.size(); ++scan) {
        const std::array<long, channels> meant = hundredthsOf(missed + scan);
        for (std::size_t i = 0; i < channels; ++i) {
            wrong += run.channels[i].values[scan] != static_cast<double>(meant[i]) / 100.0 ? 1 : 0;
        }
    }
    return verdict(run.time_s.size() <= sent && missed <= most_missed && wrong == 0,
                   fmt::format("{} of {} lines in the book, {} before anybody listened; {} values wrong",
                               run.time_s.size(), sent, missed, wrong));
}

bool checkLoad(const std::string& folder, double seconds) {
    fmt::print("16 channels at 100 Hz for {:.0f} s:\n", seconds);
    const std::string link = folder + "/pot";
    Result<session::PretendTerminal> terminal = session::PretendTerminal::open(link);
    if (!terminal) {
        return verdict(false, describe(terminal.error()));
    }
    const int nothing = ::open("/dev/null", O_RDONLY);
    const Recorder recorder({"record", "--port", link, "--book", folder + "/load.potbook", "--json"}, nothing);
    std::this_thread::sleep_for(std::chrono::milliseconds(500)); // until it listens
    const Clock::time_point begun = Clock::now();
    const auto count = static_cast<std::size_t>(seconds * fast_hz);
    double early_mib = 0.0;
    for (std::size_t n = 0; n < count; ++n) {
        std::this_thread::sleep_until(begun + std::chrono::duration_cast<Clock::duration>(
                                                  std::chrono::duration<double>(static_cast<double>(n) / fast_hz)));
        std::string line;
        addLine(n, line);
        terminal->write(line);
        early_mib = n == count / 2 ? residentMib(recorder.process()) : early_mib;
    }
    std::this_thread::sleep_for(std::chrono::seconds(1));
    const double late_mib = residentMib(recorder.process());
    ::kill(recorder.process(), SIGTERM);
    constexpr int stopped = 130;
    const Recorder::End end = recorder.wait(stopped);
    const double cpu = end.cpu_s / std::chrono::duration<double>(Clock::now() - begun).count();
    bool passes = verdict(end.is_clean, "ended cleanly");
    passes &= judgeBook(folder + "/load.potbook", count, 100);
    passes &= verdict(cpu < most_cpu,
                      fmt::format("{:.1f} % of a core; under {:.0f} % are wanted", 100.0 * cpu, 100.0 * most_cpu));
    return judgeMemory(early_mib, late_mib) && passes;
}

bool checkDay(const std::string& folder) {
    fmt::print("24 h of 16 channels at 10 Hz, as fast as they are taken:\n");
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) {
        return verdict(false, "no pipe");
    }
    const Recorder recorder({"record", "--from", "-", "--book", folder + "/day.potbook", "--json"}, ends[0]);
    ::close(ends[0]);
    const Clock::time_point begun = Clock::now();
    double early_mib = 0.0;
    double late_mib = 0.0;
    std::string text;
    constexpr std::size_t lines_at_once = 500;
    for (std::size_t n = 0; n < day_lines; ++n) {
        addLine(n, text);
        if (n % lines_at_once == lines_at_once - 1 || n + 1 == day_lines) {
            for (std::size_t at = 0; at < text.size();) {
                const ssize_t written = ::write(ends[1], text.data() + at, text.size() - at);
                if (written <= 0) {
                    return verdict(false, "the recorder has ended too early");
                }
                at += static_cast<std::size_t>(written);
            }
            text.clear();
        }
        early_mib = n == day_lines / 2 ? residentMib(recorder.process()) : early_mib;
        late_mib = n + 1 == day_lines ? residentMib(recorder.process()) : late_mib;
    }
    ::close(ends[1]);
    const Recorder::End end = recorder.wait(0);
    const double seconds = std::chrono::duration<double>(Clock::now() - begun).count();
    fmt::print("  {:.1f} s, {:.0f} lines a second, {:.1f} s of processors\n", seconds,
               static_cast<double>(day_lines) / seconds, end.cpu_s);
    bool passes = verdict(end.is_clean, "ended cleanly");
    passes &= judgeBook(folder + "/day.potbook", day_lines, 0);
    return judgeMemory(early_mib, late_mib) && passes;
}

} // namespace

int main(int argc, char** argv) {
    double minutes = 1.0;
    bool checks = false;
    for (int i = 1; i < argc; ++i) {
        const std::string_view word = argv[i];
        checks = checks || word == "--check";
        if (word == "--minutes" && i + 1 < argc) {
            const std::string_view number = argv[i + 1];
            std::from_chars(number.data(), number.data() + number.size(), minutes);
        }
    }
    ::signal(SIGPIPE, SIG_IGN);
    std::string folder = (std::filesystem::temp_directory_path() / "potwatch-bench-XXXXXX").string();
    if (::mkdtemp(folder.data()) == nullptr) {
        fmt::print(stderr, "no folder for the books\n");
        return EXIT_FAILURE;
    }
    bool passes = checkLoad(folder, 60.0 * minutes);
    passes &= checkDay(folder);
    std::error_code ignored;
    std::filesystem::remove_all(folder, ignored);
    return passes || !checks ? EXIT_SUCCESS : EXIT_FAILURE;
}
