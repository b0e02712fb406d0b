// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "analysis/watch/watch.h"
#include "app/format/watch_text.h"
#include "tests/reference/table.h"
#include "tests/reference/truth_pot.h"
#include "tests/reference/truth_runs.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

// Recorded runs played back through the watch, scan by scan. Source: tests/reference/truth/README.md for s01-s07,
// tests/reference/data/README.md for the runaway traces.
namespace potwatch::reference {
namespace {

struct Told {
    double time_s = 0.0;
    AlarmChange change;
    std::string words; // at that moment
};

struct Standing {
    double time_s = 0.0;
    AlarmKind kind = AlarmKind::limit_reached;
    DosePhase dose = DosePhase::none;
    std::string words; // at that moment
};

struct Playback {
    std::vector<Told> told;
    std::vector<Standing> standing; // at each scan

    [[nodiscard]] std::optional<double> first(AlarmLevel level, std::optional<AlarmKind> kind = {}) const {
        for (const Told& t : told) {
            if (t.change.kind != AlarmChange::Kind::ended && t.change.alarm.level == level &&
                (!kind || t.change.alarm.kind == *kind)) {
                return t.time_s;
            }
        }
        return std::nullopt;
    }

    // For the table: every beginning, in a line.
    [[nodiscard]] std::string table() const {
        std::string text;
        for (const Told& t : told) {
            if (t.change.kind != AlarmChange::Kind::ended) {
                text += fmt::format("  {:7.1f} s  {:<8} {:<18} {}\n", t.time_s,
                                    t.change.alarm.level == AlarmLevel::warning ? "warning" : "notice",
                                    nameOf(t.change.alarm.kind), t.words);
            }
        }
        return text.empty() ? "  silent\n" : text;
    }
};

Playback play(watch::Watch& watch, const std::vector<double>& time_s, const std::vector<Channel>& channels) {
    Playback playback;
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        std::vector<double> values;
        for (const Channel& channel : channels) {
            values.push_back(channel.values[i]);
        }
        for (const AlarmChange& change : watch.scan(time_s[i], values)) {
            const format::AlarmText text = format::alarmText(change.alarm, watch.state());
            playback.told.push_back({.time_s = time_s[i], .change = change, .words = text.what + " " + text.advice});
        }
        for (const Alarm& alarm : watch.state().alarms) {
            const format::AlarmText text = format::alarmText(alarm, watch.state());
            playback.standing.push_back({.time_s = time_s[i],
                                         .kind = alarm.kind,
                                         .dose = watch.state().dose_phase,
                                         .words = text.what + " " + text.advice});
        }
    }
    return playback;
}

enum class Stated { all, nothing };

// All seven have cured by then, and the slowest has all of its dose; what follows only cools.
constexpr double cured_s = 3600.0;

Playback playRun(const std::string& name, Stated stated = Stated::all, bool surroundings_by_channel = false,
                 std::optional<double> until_s = {}) {
    Run run = truthRun(name);
    if (until_s) {
        run.time_s.erase(std::upper_bound(run.time_s.begin(), run.time_s.end(), *until_s), run.time_s.end());
    }
    watch::Plan plan;
    for (std::size_t i = 0; i < run.channels.size(); ++i) {
        plan.channels.push_back(run.channels[i].name);
        plan.pot = run.channels[i].name == "pot_c" ? i : plan.pot;
    }
    watch::Watch watch(plan);
    if (stated == Stated::all) {
        Batch batch = run.batch;
        batch.surroundings.channel = surroundings_by_channel ? "air_c" : "";
        watch.setBatch(batch);
    }
    return play(watch, run.time_s, run.channels);
}

Playback playCure(const std::string& name, Stated stated = Stated::all) {
    return playRun(name, stated, false, cured_s);
}

// When the resin itself passes its boiling point, by the truth's own pot; empty where it never does.
std::optional<double> boilsAt(double dose_rate_g_per_min) {
    std::vector<double> time_s;
    for (double t = 0.0; t <= 7200.0; t += 0.5) {
        time_s.push_back(t);
    }
    const forecast::PotModel pot = truthPot(dose_rate_g_per_min);
    const auto states = forecast::simulatePot(pot, time_s);
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        if (states->at(i).temperature_c > pot.boiling_c) {
            return time_s[i];
        }
    }
    return std::nullopt;
}

double rateOf(const std::string& name) {
    return truthOf(name).at("dose_rate_g_per_min").get<double>();
}

class BoilingRun : public testing::TestWithParam<std::string> {};
INSTANTIATE_TEST_SUITE_P(Truth, BoilingRun, testing::Values("s05", "s06", "s07"));

TEST_P(BoilingRun, isWarnedOfHalfAMinuteBefore) {
    const auto boils_s = boilsAt(rateOf(GetParam()));
    ASSERT_TRUE(boils_s);
    for (const Stated stated : {Stated::all, Stated::nothing}) {
        const Playback playback = playCure(GetParam(), stated);
        const auto warned_s = playback.first(AlarmLevel::warning, AlarmKind::limit_near);
        ASSERT_TRUE(warned_s);
        EXPECT_LT(*warned_s, *boils_s - 30.0) << "by the temperature alone, whatever is stated of the pot";
        RecordProperty(stated == Stated::all ? "ahead_s" : "ahead_s_without_batch",
                       fmt::format("{}", *boils_s - *warned_s));
    }
}

class HarmlessRun : public testing::TestWithParam<std::string> {};
INSTANTIATE_TEST_SUITE_P(Truth, HarmlessRun, testing::Values("s01", "s02"));

TEST_P(HarmlessRun, isLeftInPeace) {
    for (const Stated stated : {Stated::all, Stated::nothing}) {
        const Playback playback = playRun(GetParam(), stated);
        EXPECT_FALSE(playback.first(AlarmLevel::warning)) << playback.table();
    }
    EXPECT_FALSE(playRun(GetParam(), Stated::all, true).first(AlarmLevel::warning));
}

TEST(WatchPlayback, isNotTroubledByAPotAtRestOrCooling) {
    for (const std::string name : {"blank", "convection-blank"}) {
        const Playback playback = playRun(name);
        EXPECT_TRUE(playback.told.empty()) << name << "\n" << playback.table();
    }
    for (const std::string name : {"s01", "s02", "s03", "s04", "s05", "s06", "s07", "drifting-air"}) {
        for (const Told& told : playRun(name).told) {
            EXPECT_NE(told.change.alarm.kind, AlarmKind::sensor_frozen) << name << " at " << told.time_s;
            EXPECT_NE(told.change.alarm.kind, AlarmKind::sensor_open) << name << " at " << told.time_s;
            if (told.change.kind == AlarmChange::Kind::began) {
                EXPECT_LT(told.time_s, 1500.0) << name << ": nothing begins while it cools";
            }
        }
    }
}

// What the watch does on the two runs between harmless and boiling (peaks of 89.8 and 100.2 °C): it warns of both,
// for at the trend of half a minute before the peak either would pass the limit.
TEST(WatchPlayback, warnsOfTheRunsInBetween) {
    for (const std::string name : {"s03", "s04"}) {
        const Playback playback = playCure(name);
        fmt::print("{} at {} g/min\n{}", name, rateOf(name), playback.table());
        const auto warned_s = playback.first(AlarmLevel::warning);
        ASSERT_TRUE(warned_s) << name;
        EXPECT_LT(*warned_s, truthOf(name).at("peak_time_s").get<double>() - 30.0) << name;
    }
    EXPECT_FALSE(playCure("s03").first(AlarmLevel::warning, AlarmKind::limit_reached));
    EXPECT_TRUE(playCure("s04").first(AlarmLevel::warning, AlarmKind::limit_reached));
}

TEST(WatchPlayback, saysWhileDosingThatMoreIsAddedThanHasReacted) {
    for (const std::string name : {"s06", "s07"}) {
        const double dose_ends_s = 120.0 + 4.0 / rateOf(name) * 60.0;
        const Playback playback = playCure(name);
        const auto told_s = playback.first(AlarmLevel::warning, AlarmKind::accumulation);
        ASSERT_TRUE(told_s) << name;
        EXPECT_GT(*told_s, 120.0) << name;
        EXPECT_LT(*told_s, dose_ends_s) << name;
        for (const Told& told : playback.told) {
            if (told.change.alarm.kind == AlarmKind::accumulation && told.change.kind == AlarmChange::Kind::began) {
                EXPECT_THAT(told.words, testing::HasSubstr("You have added more than has reacted")) << name;
            }
            if (told.time_s > dose_ends_s && told.change.kind != AlarmChange::Kind::ended) {
                EXPECT_THAT(told.words, testing::Not(testing::HasSubstr("dos"))) << name << " at " << told.time_s;
            }
        }
    }
    for (const std::string name : {"s01", "s02", "s03", "s04"}) {
        EXPECT_FALSE(playCure(name).first(AlarmLevel::warning, AlarmKind::accumulation)) << name;
    }
}

// When the warning stands last while it is dosed, and last of all; and what it says first after the dose.
TEST(WatchPlayback, saysAfterTheDoseWhatHasStillToReact) {
    for (const std::string name : {"s06", "s07"}) {
        const double dose_ends_s = 120.0 + 4.0 / rateOf(name) * 60.0;
        std::optional<double> last_s;
        std::optional<Standing> first_after;
        for (const Standing& alarm : playCure(name).standing) {
            if (alarm.kind == AlarmKind::accumulation) {
                last_s = alarm.time_s;
                if (alarm.dose == DosePhase::after && !first_after) {
                    first_after = alarm;
                }
            }
        }
        ASSERT_TRUE(first_after) << name;
        fmt::print("{}: the dose ends at {:.0f} s; from {:.0f} to {:.0f} s after it: {}\n", name, dose_ends_s,
                   first_after->time_s, *last_s, first_after->words);
        EXPECT_LT(first_after->time_s, dose_ends_s + 1.0) << name << ": without a break";
        EXPECT_THAT(first_after->words, testing::HasSubstr("has still to react")) << name;
        EXPECT_GT(*last_s, dose_ends_s + 10.0) << name;
        EXPECT_LT(*last_s, truthOf(name).at("peak_time_s").get<double>()) << name << ": by then most has reacted";
    }
}

TEST(WatchPlayback, whatStandsFitsTheMoment) {
    for (const std::string name : {"s03", "s04", "s05", "s06", "s07"}) {
        bool advised_to_stop = false;
        for (const Standing& alarm : playCure(name).standing) {
            if (alarm.dose == DosePhase::after) {
                ASSERT_THAT(alarm.words, testing::Not(testing::ContainsRegex("[Dd]os")))
                    << name << " at " << alarm.time_s << ", " << nameOf(alarm.kind);
            }
            advised_to_stop = advised_to_stop || alarm.words.find("Stop ") != std::string::npos;
        }
        fmt::print("{}: {}advised to stop while it is dosed\n", name, advised_to_stop ? "" : "not ");
    }
}

// A batch in a hot jacket, with a limit of 110 °C (the jackets are at 92 and 97 °C).
Playback playJacket(const std::string& which) {
    const Table table("runaway-trace-" + which + ".csv");
    Channel reactor{.name = "reactor_c", .unit = "degC", .values = table.numbers("T_K")};
    for (double& value : reactor.values) {
        value -= 273.15;
    }
    watch::Watch watch({.channels = {"reactor_c"}, .limit_c = 110.0});
    return play(watch, table.numbers("t_s"), {reactor});
}

TEST(WatchPlayback, isSilentOnAStableBatchInAHotJacket) {
    EXPECT_TRUE(playJacket("stable").told.empty()) << playJacket("stable").table();
}

// It passes its jacket by 8 K and comes down: it never bends upwards and stays under the limit.
TEST(WatchPlayback, tablesTheMarginalBatch) {
    const Playback playback = playJacket("marginal");
    fmt::print("marginal\n{}", playback.table());
    EXPECT_FALSE(playback.first(AlarmLevel::warning));
}

TEST(WatchPlayback, warnsOfARunawayLongBeforeItsPeak) {
    const Playback playback = playJacket("runaway");
    fmt::print("runaway\n{}", playback.table());
    const auto noticed_s = playback.first(AlarmLevel::notice, AlarmKind::self_heating);
    const auto warned_s = playback.first(AlarmLevel::warning);
    ASSERT_TRUE(noticed_s && warned_s);
    // Hub and Jones's rule is first true at 2284 s; the noiseless bend is then far below any reading's noise.
    EXPECT_LT(*noticed_s, 2900.0);
    EXPECT_LT(*warned_s, 3673.6 - 400.0);
}

} // namespace
} // namespace potwatch::reference
