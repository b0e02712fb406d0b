// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/import.h"

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <iterator>
#include <map>
#include <optional>
#include <random>
#include <string>
#include <string_view>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>
#include <utility>

// Import speed: a table of a time and two channels, 1e5 to 1e7 rows, with one worker and with two, against the C reader
// of pandas on the same file in the same run.
//
// Thresholds at 1e7 rows (258 MB), each for the best of several rounds: at least 3 times the rows per second of pandas
// with one worker, 4 times with two; peak resident memory under 3 times the columns' own 229 MiB; linear in rows: 1e7
// rows take at most 15 times as long as 1e6. `csv_bench --check` alone prints PASS or FAIL for each, and ends with a
// failure where one fails.

namespace {

using namespace potwatch;

constexpr std::array<std::int64_t, 3> sizes{100'000, 1'000'000, 10'000'000};
constexpr double least_ratio_one_worker = 3.0;
constexpr double least_ratio_two_workers = 4.0;
constexpr double most_memory_ratio = 3.0;
constexpr double most_growth = 15.0;
constexpr int rounds = 5;

// Files of random readings, made when they are first needed and removed at the end.
class Files {
public:
    Files() {
        std::string pattern = (std::filesystem::temp_directory_path() / "potwatch-bench-XXXXXX").string();
        const char* const made = ::mkdtemp(pattern.data());
        folder_ = made != nullptr ? made : "";
    }
    Files(const Files&) = delete;
    Files& operator=(const Files&) = delete;
    ~Files() {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }

    std::string withRows(std::int64_t rows) {
        const std::string path = folder_ / fmt::format("{}.csv", rows);
        if (!std::filesystem::exists(path)) {
            write(path, rows);
        }
        return path;
    }

private:
    static void write(const std::string& path, std::int64_t rows) {
        std::FILE* const file = std::fopen(path.c_str(), "wb");
        if (file == nullptr) {
            fmt::print(stderr, "cannot write {}\n", path);
            std::exit(EXIT_FAILURE);
        }
        std::mt19937_64 random(1);
        std::uniform_real_distribution<double> pot(20.0, 100.0);
        std::uniform_real_distribution<double> air(20.0, 25.0);
        std::string text = "time_s,pot_c,air_c\n";
        for (std::int64_t row = 0; row < rows; ++row) {
            fmt::format_to(std::back_inserter(text), "{:.1f},{:.4f},{:.4f}\n", 0.5 * static_cast<double>(row),
                           pot(random), air(random));
            if (text.size() > (1U << 20) || row + 1 == rows) {
                std::fwrite(text.data(), 1, text.size(), file);
                text.clear();
            }
        }
        std::fclose(file);
    }

    std::filesystem::path folder_;
};

Files& files() {
    static Files all;
    return all;
}

void importTable(benchmark::State& state) {
    const std::int64_t rows = state.range(0);
    const std::string path = files().withRows(rows);
    for ([[maybe_unused]] auto turn : state) {
        const Result<csv::Table> table = csv::readFile(path, {.workers = static_cast<int>(state.range(1))});
        if (!table || static_cast<std::int64_t>(table->time_s.size()) != rows) {
            state.SkipWithError("not read as it was written");
            return;
        }
    }
    state.SetItemsProcessed(state.iterations() * rows);
    state.SetBytesProcessed(state.iterations() * static_cast<std::int64_t>(std::filesystem::file_size(path)));
}

BENCHMARK(importTable)
    ->ArgNames({"rows", "workers"})
    ->ArgsProduct({{sizes[0], sizes[1], sizes[2]}, {1, 2}})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

double now() {
    timespec time{};
    ::clock_gettime(CLOCK_MONOTONIC, &time);
    return static_cast<double>(time.tv_sec) + 1e-9 * static_cast<double>(time.tv_nsec);
}

// What a child process of its own measured: seconds, and its peak memory.
struct Measured {
    double seconds = 0.0;
    double peak_mib = 0.0;
};

// One import in a fresh process, so that memory is as cold as it is for a user and the peak is its own.
std::optional<Measured> importOnce(const std::string& path, std::int64_t rows, int workers) {
    std::array<int, 2> channel{};
    if (::pipe(channel.data()) != 0) {
        return std::nullopt;
    }
    const pid_t child = ::fork();
    if (child == 0) {
        const double start = now();
        const Result<csv::Table> table = csv::readFile(path, {.workers = workers});
        const double seconds = now() - start;
        const bool sound = table && static_cast<std::int64_t>(table->time_s.size()) == rows;
        const bool told = sound && ::write(channel[1], &seconds, sizeof seconds) == sizeof seconds;
        ::_exit(told ? 0 : 1);
    }
    ::close(channel[1]);
    Measured measured;
    const bool told = ::read(channel[0], &measured.seconds, sizeof measured.seconds) == sizeof measured.seconds;
    ::close(channel[0]);
    rusage usage{};
    int status = 0;
    ::wait4(child, &status, 0, &usage);
    measured.peak_mib = static_cast<double>(usage.ru_maxrss) / 1024.0;
    return told ? std::optional{measured} : std::nullopt;
}

// Seconds that pandas takes for read_csv, measured inside python around the call; nothing where there is no pandas.
std::optional<double> pandasOnce(const std::string& path) {
    const std::string command =
        fmt::format("/usr/bin/python3 -c \"import time, pandas; t = time.perf_counter(); "
                    "f = pandas.read_csv('{}', engine='c'); print(time.perf_counter() - t)\" 2>/dev/null",
                    path);
    std::FILE* const pipe = ::popen(command.c_str(), "r");
    if (pipe == nullptr) {
        return std::nullopt;
    }
    std::array<char, 64> line{};
    const bool answered = std::fgets(line.data(), static_cast<int>(line.size()), pipe) != nullptr;
    double seconds = 0.0;
    const bool understood = std::from_chars(line.data(), line.data() + line.size(), seconds).ec == std::errc{};
    return ::pclose(pipe) == 0 && answered && understood ? std::optional{seconds} : std::nullopt;
}

bool verdict(bool passes, const std::string& what) {
    fmt::print("{} {}\n", passes ? "PASS" : "FAIL", what);
    return passes;
}

// Ours and pandas by turns, the best of each: what else the machine does meets both alike.
bool check() {
    bool passes = true;
    std::map<std::pair<std::int64_t, int>, Measured> best;
    std::optional<double> pandas;
    for (int round = 0; round < rounds; ++round) {
        for (const std::int64_t rows : {sizes[1], sizes[2]}) {
            for (const int workers : {1, 2}) {
                const std::optional<Measured> measured = importOnce(files().withRows(rows), rows, workers);
                if (!measured) {
                    return verdict(false,
                                   fmt::format("{} rows, {} workers: not read as they were written", rows, workers));
                }
                Measured& own = best.try_emplace({rows, workers}, *measured).first->second;
                own.seconds = std::min(own.seconds, measured->seconds);
                own.peak_mib = std::max(own.peak_mib, measured->peak_mib);
            }
        }
        if (const auto seconds = pandasOnce(files().withRows(sizes[2]))) {
            pandas = std::min(pandas.value_or(*seconds), *seconds);
        }
    }
    const double columns_mib = static_cast<double>(sizes[2]) * 3.0 * sizeof(double) / 1048576.0;
    const double megabytes = static_cast<double>(std::filesystem::file_size(files().withRows(sizes[2]))) / 1e6;
    for (const int workers : {1, 2}) {
        const Measured& own = best.at({sizes[2], workers});
        const double growth = own.seconds / best.at({sizes[1], workers}).seconds;
        const double least = workers == 1 ? least_ratio_one_worker : least_ratio_two_workers;
        fmt::print("{} worker{}: {:.3f} s, {:.1f} million rows/s, {:.0f} MB/s\n", workers, workers == 1 ? "" : "s",
                   own.seconds, static_cast<double>(sizes[2]) / own.seconds / 1e6, megabytes / own.seconds);
        if (pandas) {
            passes &= verdict(*pandas / own.seconds >= least,
                              fmt::format("{:.2f} times pandas ({:.3f} s); at least {} are wanted",
                                          *pandas / own.seconds, *pandas, least));
        } else {
            fmt::print("SKIP the ratio to pandas: /usr/bin/python3 has none\n");
        }
        passes &= verdict(own.peak_mib < most_memory_ratio * columns_mib,
                          fmt::format("peak memory {:.0f} MiB, {:.2f} times the columns' own {:.0f} MiB; under {} are "
                                      "wanted",
                                      own.peak_mib, own.peak_mib / columns_mib, columns_mib, most_memory_ratio));
        passes &= verdict(growth <= most_growth, fmt::format("ten times the rows take {:.1f} times as long; at most {} "
                                                             "are wanted",
                                                             growth, most_growth));
    }
    return passes;
}

} // namespace

int main(int argc, char** argv) {
    if (argc == 2 && std::string_view(argv[1]) == "--check") {
        return check() ? EXIT_SUCCESS : EXIT_FAILURE;
    }
    benchmark::Initialize(&argc, argv);
    benchmark::RunSpecifiedBenchmarks();
    fmt::print("\nAgainst pandas, and the thresholds:\n");
    check();
    return EXIT_SUCCESS;
}
