// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/fit_data.h"
#include "app/session/open.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

// The fit of seven runs (seven parameters and the loss coefficient; here with intervals, and with the search for
// starting values) against a script that does it along the measured temperatures from a start that is given to it
// (fit_baseline.py): once with SciPy's solve_ivp, once with a Runge-Kutta loop in numpy. Run beside each other.
//
// Thresholds: 100 times faster than the first, 5 times faster than the second; smoothing, balances, fit and intervals
// together under a second. `fit_bench --check` prints PASS or FAIL and ends with a failure where it fails; `--quick`
// leaves the slow script out.

namespace {

using namespace potwatch;

constexpr double least_over_ivp = 100.0;
constexpr double least_over_loop = 5.0;
constexpr double most_seconds = 1.0;
constexpr int rounds = 5;

std::string truthFile(int run) {
    return fmt::format("{}/tests/reference/truth/s{:02}.csv", POTWATCH_SOURCE_DIR, run);
}

struct ClosePipe {
    void operator()(std::FILE* pipe) const { ::pclose(pipe); }
};

// Seconds that the script says its fit took.
std::optional<double> scriptSeconds(const std::string& method) {
    std::string command =
        fmt::format("/usr/bin/python3 '{}/tests/bench/fit_baseline.py' {}", POTWATCH_SOURCE_DIR, method);
    for (int run = 1; run <= 7; ++run) {
        command += " '" + truthFile(run) + "'";
    }
    const std::unique_ptr<std::FILE, ClosePipe> pipe(::popen(command.c_str(), "r"));
    std::array<char, 64> line{};
    if (!pipe || std::fgets(line.data(), static_cast<int>(line.size()), pipe.get()) == nullptr) {
        return std::nullopt;
    }
    const std::string_view text(line.data());
    double seconds = 0.0;
    const auto parsed = std::from_chars(text.data(), text.data() + text.size(), seconds);
    return parsed.ec == std::errc{} ? std::optional(seconds) : std::nullopt;
}

template<class Work>
double bestOf(const Work& work) {
    double best = std::numeric_limits<double>::infinity();
    for (int i = 0; i < rounds; ++i) {
        const auto begin = std::chrono::steady_clock::now();
        if (!work()) {
            return std::numeric_limits<double>::infinity();
        }
        best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
    }
    return best;
}

bool verdict(bool holds, const std::string& what) {
    fmt::print("{} {}\n", holds ? "PASS" : "FAIL", what);
    return holds;
}

} // namespace

int main(int argc, char** argv) {
    bool check = false;
    bool quick = false;
    for (int i = 1; i < argc; ++i) {
        check = check || std::string_view(argv[i]) == "--check";
        quick = quick || std::string_view(argv[i]) == "--quick";
    }
    std::vector<Run> runs;
    for (int run = 1; run <= 7; ++run) {
        auto opened = session::openRun(truthFile(run), {});
        if (!opened) {
            fmt::print(stderr, "{}\n", describe(opened.error().front()));
            return 1;
        }
        runs.push_back(std::move(opened->run));
    }
    FitOptions options;
    options.find_catalyst_order = true;
    options.compare_models = false;
    const auto data = kinetics::fitDataOf(runs, options);
    if (!data) {
        fmt::print(stderr, "{}\n", describe(data.error()));
        return 1;
    }
    const double whole_s = bestOf([&] { return fitKinetics(runs, options).has_value(); });
    const double fit_s = bestOf([&] { return kinetics::fitKinetics(*data, options).has_value(); });
    fmt::print("fit with intervals {:.3f} s; with smoothing and balances {:.3f} s\n", fit_s, whole_s);
    bool good = verdict(whole_s < most_seconds, fmt::format("under {} s", most_seconds));
    for (const auto& [method, least] : {std::pair("loop", least_over_loop), std::pair("ivp", least_over_ivp)}) {
        if (quick && std::string_view(method) == "ivp") {
            continue;
        }
        const std::optional<double> script_s = scriptSeconds(method);
        if (!script_s) {
            fmt::print(stderr, "the script could not be run (Python with pandas and SciPy is needed)\n");
            good = false;
            continue;
        }
        good = verdict(*script_s > least * fit_s, fmt::format("script ({}) {:.2f} s: {:.0f} times (at least {:.0f})",
                                                              method, *script_s, *script_s / fit_s, least)) &&
               good;
    }
    return check && !good ? 1 : 0;
}
