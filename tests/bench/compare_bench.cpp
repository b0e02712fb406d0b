// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/overlay.h"
#include "app/session/compare.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

// Comparing 200 runs, 60 of which boiled: what a person waits for at every choice (table, trend, bands, limit), the
// same with a form that is asked for, the overlay moved to another moment, and the table as CSV.
//
// Threshold: each under 100 ms. `compare_bench --check` prints PASS or FAIL and ends with a failure where it fails.

namespace {

using namespace potwatch;

constexpr double most_ms = 100.0;
constexpr int runs_compared = 200;
constexpr int rounds = 7;

std::vector<compare::ComparedRun> invented() {
    std::vector<compare::ComparedRun> runs;
    for (int i = 0; i < runs_compared; ++i) {
        compare::ComparedRun run;
        run.name = fmt::format("rod {:03}", i);
        run.content = run.name;
        run.findings.samples.span_s = 7200.0;
        const double rate = 0.05 * std::pow(1.02, i);
        const double peak_c = 20.0 + 95.0 * rate / (rate + 0.07) + 2.0 * std::sin(12.9898 * i);
        run.batch.charge.resin_g = 80.0;
        run.batch.charge.boiling_c = 100.5;
        run.batch.dose = Dose{.substance = "acid", .total_g = 4.0, .rate_g_per_min = rate, .start_s = 120.0};
        run.findings.landmarks.peak = Peak{.time_s = normalEstimate(900.0, 4.0),
                                           .temperature_c = normalEstimate(std::min(peak_c, 101.5), 0.3),
                                           .reading_c = peak_c};
        if (peak_c > 100.5) {
            run.findings.landmarks.boil_plateau = BoilPlateau{.start_s = 890.0, .end_s = 910.0, .temperature_c = 101.0};
        }
        for (std::size_t k = 0; k < compare::most_curve_points; ++k) {
            run.curve.time_s.push_back(12.0 * static_cast<double>(k));
            run.curve.temperature_c.push_back(22.0 + 0.1 * static_cast<double>(k % 600));
        }
        runs.push_back(std::move(run));
    }
    return runs;
}

template<class Work>
double bestMs(const Work& work) {
    double best = std::numeric_limits<double>::infinity();
    for (int i = 0; i < rounds; ++i) {
        const auto begin = std::chrono::steady_clock::now();
        if (!work()) {
            return std::numeric_limits<double>::infinity();
        }
        best =
            std::min(best, std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begin).count());
    }
    return best;
}

bool verdict(double ms, const std::string& what) {
    const bool holds = ms < most_ms;
    fmt::print("{} {} {:.1f} ms (under {:.0f})\n", holds ? "PASS" : "FAIL", what, ms, most_ms);
    return holds;
}

} // namespace

int main(int argc, char** argv) {
    const bool check =
        std::any_of(argv + 1, argv + argc, [](const char* word) { return std::string_view(word) == "--check"; });
    const std::vector<compare::ComparedRun> runs = invented();
    const session::CompareRequest chosen{.limit = 95.0};
    session::CompareRequest asked = chosen;
    asked.form = compare::TrendForm::saturating;
    const auto comparison = session::compareRuns(runs, chosen);
    bool good = comparison && comparison->at_limit && comparison->trend->censored > 20;
    good = verdict(bestMs([&] { return session::compareRuns(runs, chosen).has_value(); }), "200 runs compared") && good;
    good = verdict(bestMs([&] { return session::compareRuns(runs, asked).has_value(); }), "with the saturating form") &&
           good;
    good = verdict(bestMs([&] { return compare::aligned(runs, compare::Align::peak).size() == runs.size(); }),
                   "overlay moved") &&
           good;
    good = verdict(bestMs([&] { return !session::compareCsv(*comparison).empty(); }), "table as CSV") && good;
    return check && !good ? 1 : 0;
}
