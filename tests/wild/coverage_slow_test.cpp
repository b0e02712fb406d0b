// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"
#include "app/session/open.h"
#include "tests/wild/wild_run.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <array>
#include <atomic>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>
#include <thread>
#include <vector>

// Do the intervals hold the truth on benches that leave the analysis' model? Each run is written as files and opened as
// a person's is. A figure that is withdrawn is no miss, nor is a bound that holds.
namespace potwatch {
namespace {

constexpr int per_kind = 20;
constexpr std::uint64_t seed = 20251;

struct Count {
    int given = 0;
    int missed = 0;
    void add(const std::optional<Estimate>& estimate, double truth, bool lower_bound = false) {
        if (estimate) {
            given += 1;
            missed += truth < estimate->low || (!lower_bound && truth > estimate->high) ? 1 : 0;
        }
    }
    Count& operator+=(const Count& other) {
        given += other.given;
        missed += other.missed;
        return *this;
    }
};

// Of one run, or the sum of many.
struct Score {
    Count heat;
    Count degree;
    Count peak;
    int runs = 0;
    int both_ends = 0; // heats that are no mere lower bound
    int faults = 0;
    [[nodiscard]] Count all() const {
        Count sum = heat;
        sum += degree;
        sum += peak;
        return sum;
    }
    Score& operator+=(const Score& other) {
        heat += other.heat;
        degree += other.degree;
        peak += other.peak;
        runs += other.runs;
        both_ends += other.both_ends;
        faults += other.faults;
        return *this;
    }
};

void write(const std::filesystem::path& file, const std::string& text) {
    std::ofstream(file, std::ios::binary) << text;
}

Score scoreOf(const wild::WildRun& wild, const std::filesystem::path& folder) {
    Score score{.runs = 1};
    const std::filesystem::path csv = folder / (wild.name + ".csv");
    write(csv, wild::csvOf(wild));
    write(folder / (wild.name + ".batch.toml"), wild.batch);
    const auto opened = session::openRun(csv.string(), {});
    if (!opened) {
        score.faults = 1;
        return score;
    }
    const auto analysed = analyse(std::vector<Run>{opened->run}, {});
    if (!analysed.front()) {
        score.faults = 1;
        return score;
    }
    const Findings& findings = analysed.front()->findings;
    score.heat.add(findings.heat.released_j, wild.truth.heat_released_j, findings.heat.lower_bound);
    score.degree.add(findings.cure.final_degree, wild.truth.degree_of_cure_final);
    if (findings.landmarks.peak) {
        score.peak.add(findings.landmarks.peak->temperature_c, wild.truth.peak_temperature_c);
    }
    score.both_ends = findings.heat.released_j && !findings.heat.lower_bound ? 1 : 0;
    return score;
}

std::map<std::string, Score> scores(const std::filesystem::path& folder) {
    std::vector<std::pair<std::string, int>> wanted;
    for (const std::string& kind : wild::kindNames()) {
        for (int n = 1; n <= per_kind; ++n) {
            wanted.emplace_back(kind, n);
        }
    }
    std::vector<Score> each(wanted.size());
    std::atomic<std::size_t> next = 0;
    const auto work = [&] {
        for (std::size_t i = next++; i < wanted.size(); i = next++) {
            each[i] = scoreOf(wild::wildRun(wanted[i].first, seed, wanted[i].second), folder);
        }
    };
    {
        std::vector<std::jthread> threads(std::max(1U, std::thread::hardware_concurrency()));
        for (std::jthread& thread : threads) {
            thread = std::jthread(work);
        }
    }
    std::map<std::string, Score> by_kind;
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        by_kind[wanted[i].first] += each[i];
    }
    return by_kind;
}

TEST(WildCoverage, holdsTheTruthOnBenchesThatLeaveTheModel) {
    const std::filesystem::path folder = std::filesystem::path(testing::TempDir()) / "potwatch-wild-coverage";
    std::filesystem::create_directories(folder);
    Score sum;
    for (const auto& [kind, score] : scores(folder)) {
        const Count all = score.all();
        fmt::print("{:26} heat {:2}/{:2}  degree {:2}/{:2}  peak {:2}/{:2}  heat with both ends {:2} of {}\n", kind,
                   score.heat.missed, score.heat.given, score.degree.missed, score.degree.given, score.peak.missed,
                   score.peak.given, score.both_ends, score.runs);
        EXPECT_LE(all.missed, 0.2 * all.given) << kind << " (seed " << seed << ")";
        EXPECT_EQ(score.faults, 0) << kind;
        sum += score;
    }
    std::filesystem::remove_all(folder);
    const Count all = sum.all();
    fmt::print("missed {} of {} heats, degrees and peaks; heat with both ends in {} of {} runs\n", all.missed,
               all.given, sum.both_ends, sum.runs);
    EXPECT_GE(all.given, sum.runs); // not all withdrawn
    EXPECT_LE(all.missed, 0.08 * all.given);
    EXPECT_GE(sum.both_ends, 0.7 * sum.runs);
}

} // namespace
} // namespace potwatch
