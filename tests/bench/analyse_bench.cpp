// SPDX-License-Identifier: GPL-3.0-or-later
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <fcntl.h>
#include <limits>
#include <spawn.h>
#include <string>
#include <string_view>
#include <sys/wait.h>
#include <unistd.h>
#include <vector>

// `potwatch analyse --json` of one run of 14 401 rows, process start to exit, against the same work in a script on
// pandas and SciPy (analyse_baseline.py) run beside it.
//
// And the same with 1000 draws of its Monte Carlo over all cores, against it without.
//
// Thresholds: under a second with 1000 draws; under a tenth of the script's time, best of several rounds of each.
// `analyse_bench --check` prints PASS or FAIL and ends with a failure where it fails.

namespace {

constexpr double most_share_of_baseline = 0.1;
constexpr double most_seconds_with_draws = 1.0;
constexpr int rounds = 7;

const std::string run_file = std::string(POTWATCH_SOURCE_DIR) + "/tests/reference/truth/s03.csv";
const std::vector<std::string> program{POTWATCH_PROGRAM, "analyse", "--json", run_file};
const std::vector<std::string> with_draws{POTWATCH_PROGRAM, "analyse", "--draws", "1000", "--json", run_file};
const std::vector<std::string> baseline{
    "/usr/bin/python3", std::string(POTWATCH_SOURCE_DIR) + "/tests/bench/analyse_baseline.py", run_file};

// Seconds from the start of a process to its exit; negative where it could not be run or failed.
double secondsOf(const std::vector<std::string>& command) {
    std::vector<char*> arguments;
    for (const std::string& word : command) {
        arguments.push_back(const_cast<char*>(word.c_str())); // posix_spawn takes them so and does not change them
    }
    arguments.push_back(nullptr);
    posix_spawn_file_actions_t quiet;
    posix_spawn_file_actions_init(&quiet);
    posix_spawn_file_actions_addopen(&quiet, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&quiet, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    const auto begin = std::chrono::steady_clock::now();
    pid_t child = 0;
    const bool started = ::posix_spawn(&child, arguments[0], &quiet, nullptr, arguments.data(), environ) == 0;
    int status = -1;
    if (started) {
        ::waitpid(child, &status, 0);
    }
    posix_spawn_file_actions_destroy(&quiet);
    return status == 0 ? std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count() : -1.0;
}

double bestOf(const std::vector<std::string>& command) {
    double best = std::numeric_limits<double>::infinity();
    for (int i = 0; i < rounds; ++i) {
        const double seconds = secondsOf(command);
        if (seconds < 0.0) {
            return -1.0;
        }
        best = std::min(best, seconds);
    }
    return best;
}

void measure(benchmark::State& state, const std::vector<std::string>& command) {
    for (auto _ : state) {
        const double seconds = secondsOf(command);
        if (seconds < 0.0) {
            state.SkipWithError(
                "the process could not be run (Python with pandas and SciPy is needed for the baseline)");
            break;
        }
        state.SetIterationTime(seconds);
    }
}

BENCHMARK_CAPTURE(measure, potwatch_analyse_json, program)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(measure, potwatch_analyse_with_1000_draws, with_draws)
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(measure, script_on_pandas_and_scipy, baseline)
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond)
    ->Iterations(5);

bool drawsHold(double own) {
    const double drawn = bestOf(with_draws);
    const bool holds = drawn >= 0.0 && drawn < most_seconds_with_draws;
    fmt::print("{}: with 1000 draws {:.0f} ms, {:.1f} times as long as without (at most {:.0f} ms)\n",
               holds ? "PASS" : "FAIL", 1e3 * drawn, drawn / own, 1e3 * most_seconds_with_draws);
    return holds;
}

int check() {
    const double own = bestOf(program);
    if (own < 0.0) {
        fmt::print("FAIL: potwatch could not be run\n");
        return 1;
    }
    const bool draws_hold = drawsHold(own);
    const double script = bestOf(baseline);
    if (script < 0.0) {
        fmt::print("SKIPPED: the script on pandas and SciPy could not be run\n");
        return draws_hold ? 0 : 1;
    }
    const bool holds = own < most_share_of_baseline * script;
    fmt::print("{}: potwatch {:.0f} ms, script {:.0f} ms, ratio 1/{:.0f} (at most 1/{:.0f})\n", holds ? "PASS" : "FAIL",
               1e3 * own, 1e3 * script, script / own, 1.0 / most_share_of_baseline);
    return holds && draws_hold ? 0 : 1;
}

} // namespace

int main(int argc, char** argv) {
    if (argc == 2 && std::string_view(argv[1]) == "--check") {
        return check();
    }
    benchmark::Initialize(&argc, argv);
    benchmark::RunSpecifiedBenchmarks();
    return 0;
}
