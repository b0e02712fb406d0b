// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/fit.h"
#include "tests/reference/pot_set.h"
#include "tests/reference/repeats.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cstdint>
#include <mutex>
#include <optional>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

// Source: pots drawn and integrated by tests/wild (Dormand and Prince; parameters invented), in which the analysis has
// no part.
namespace potwatch {
namespace {

constexpr std::uint64_t seed = 4711;

// What the fits of many sets came to.
struct Tally {
    int sets = 0;
    int failed = 0;
    int false_laws = 0;
    int told = 0; // that the balance does not fit
    int rises = 0;
    int rises_held = 0;
    double rise_u = 0.0; // relative, of all
    std::array<std::vector<Estimate>, 4> off;
};

void count(const reference::PotSet& set, Tally& tally) {
    const auto fit =
        fitKinetics(set.runs, {.find_catalyst_order = !set.pots.front().doses.empty(), .compare_models = false});
    static std::mutex lock;
    const std::lock_guard guard(lock);
    tally.sets += 1;
    if (!fit) {
        tally.failed += 1;
        fmt::print("  failed: {}\n", describe(fit.error()));
        return;
    }
    const reference::LawOff off = reference::lawOff(*fit, set.pots.front());
    tally.false_laws += off.false_law ? 1 : 0;
    tally.told += std::any_of(fit->warnings.begin(), fit->warnings.end(), [](const std::string& warning) {
        return warning.find("do not fit these runs") != std::string::npos;
    });
    const std::array<Estimate, 4> each{off.e1, off.e2, off.log_k1, off.log_k2};
    for (std::size_t i = 0; i < each.size(); ++i) {
        tally.off[i].push_back(each[i]);
    }
    for (std::size_t r = 0; r < fit->runs.size(); ++r) {
        const Estimate& rise_k = fit->runs[r].adiabatic.rise_k;
        const double truth_k = reference::trueAdiabaticRise(set.pots[r]);
        tally.rises += 1;
        tally.rises_held += rise_k.low <= truth_k && truth_k <= rise_k.high ? 1 : 0;
        tally.rise_u += rise_k.u / rise_k.value;
    }
}

// So many sets of 3 to 8 runs, two at a time. A resin of which no more runs could be drawn is passed over.
void countSets(const std::string& kind, int wanted, Tally& tally) {
    std::atomic<int> next = 0;
    std::atomic<int> drawn = 0;
    const auto work = [&] {
        while (drawn < wanted) {
            const int n = next++;
            std::optional<reference::PotSet> set;
            try {
                set = reference::potSet(kind, seed, n, 3 + n % 6);
            } catch (const std::runtime_error&) {
                continue;
            }
            if (drawn++ < wanted) {
                count(*set, tally);
            }
        }
    };
    const std::jthread second(work);
    work();
}

void print(const std::string& kind, const Tally& tally) {
    fmt::print("{}: {} sets, failed {}, false {}, told {}; adiabatic rise holds in {} of {}, u {:.2f} % on average\n",
               kind, tally.sets, tally.failed, tally.false_laws, tally.told, tally.rises_held, tally.rises,
               100.0 * tally.rise_u / std::max(1, tally.rises));
    for (std::size_t i = 0; i < tally.off.size(); ++i) {
        constexpr std::array<const char*, 4> names{"E1", "E2", "ln k1", "ln k2"};
        fmt::print("  {:5} holds in {:.3f}\n", names[i], reference::heldBy(tally.off[i]).share);
    }
}

TEST(FitLawCoverage, findsItsOwnLawInEverySet) {
    Tally tally;
    countSets("plain", 150, tally);
    countSets("slow-epoxy", 50, tally);
    print("own law", tally);
    EXPECT_EQ(tally.sets, 200);
    EXPECT_EQ(tally.failed, 0);
    EXPECT_EQ(tally.false_laws, 0);
    EXPECT_LE(tally.told, 1);
    EXPECT_GE(tally.rises_held, 0.9 * tally.rises);
    for (const auto& one : tally.off) {
        const double share = reference::heldBy(one).share;
        EXPECT_GE(share, 0.90);
        EXPECT_LE(share, 0.99 + 1e-9); // of 200, rounded
    }
}

TEST(FitLawCoverage, saysWhereTheBalanceDoesNotFit) {
    for (const std::string kind : {"specific-heat-changes", "wall-node"}) {
        Tally tally;
        countSets(kind, 40, tally);
        print(kind, tally);
        EXPECT_LE(tally.failed, 1) << kind; // not its own law: a search may find no minimum
        EXPECT_GE(tally.told, 20) << kind;
        EXPECT_GE(tally.rises_held, 0.9 * tally.rises) << kind;
    }
}

} // namespace
} // namespace potwatch
