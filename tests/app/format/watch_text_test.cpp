// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/watch_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::format {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr AlarmKind all_kinds[]{AlarmKind::limit_reached, AlarmKind::limit_near,    AlarmKind::rising_fast,
                                AlarmKind::self_heating,  AlarmKind::accumulation,  AlarmKind::slow_to_start,
                                AlarmKind::sensor_open,   AlarmKind::sensor_frozen, AlarmKind::readings_stopped};

WatchState rising() {
    return {.time_s = 600.0,
            .temperature_c = 64.23,
            .reading_c = 64.25,
            .rate_k_per_min = 3.14,
            .rate_u_k_per_min = 0.1,
            .limit_c = 95.0,
            .seconds_to_limit = 555.0};
}

TEST(WatchSentence, saysAllThatMatters) {
    EXPECT_EQ(watchSentence(rising()), "64.2 °C, rising 3.1 K/min. 95 °C not before 9 min.");
}

TEST(WatchSentence, tellsSecondsOnlyToFive) {
    WatchState state = rising();
    state.rate_k_per_min = 41.6;
    state.seconds_to_limit = 43.0;
    EXPECT_EQ(watchSentence(state), "64.2 °C, rising 42 K/min. 95 °C not before 40 s.");
}

TEST(WatchSentence, saysWhenItStandsOrFalls) {
    WatchState state = rising();
    state.seconds_to_limit.reset();
    state.rate_k_per_min = 0.15;
    EXPECT_EQ(watchSentence(state), "64.2 °C, steady.");
    state.rate_k_per_min = -2.0;
    EXPECT_EQ(watchSentence(state), "64.2 °C, falling 2.0 K/min.");
}

TEST(WatchSentence, saysThatItIsOver) {
    WatchState state = rising();
    state.temperature_c = 96.0;
    state.seconds_to_limit = 0.0;
    EXPECT_EQ(watchSentence(state), "96.0 °C, rising 3.1 K/min. Over the limit of 95 °C.");
}

TEST(WatchSentence, claimsNothingThatIsNotKnown) {
    EXPECT_EQ(watchSentence({}), "No reading of the pot.");
    EXPECT_EQ(watchSentence({.reading_c = 22.25}), "22.2 °C.");
    WatchState state = rising();
    state.alarms.push_back({.kind = AlarmKind::readings_stopped});
    EXPECT_EQ(watchSentence(state), "No readings are coming.");
}

TEST(AlarmText, speaksOfDosingOnlyWhileThereIsADose) {
    WatchState state = rising();
    for (const AlarmKind kind : all_kinds) {
        for (const DosePhase phase : {DosePhase::none, DosePhase::before, DosePhase::after}) {
            if (kind == AlarmKind::slow_to_start) {
                continue; // it stands only while dosing, as the tests of the watch prove
            }
            state.dose_phase = phase;
            for (const AlarmLevel level : {AlarmLevel::notice, AlarmLevel::warning}) {
                const AlarmText text = alarmText({.kind = kind, .level = level, .channel = "pot_c"}, state);
                EXPECT_THAT(text.what + text.advice, Not(HasSubstr("dos"))) << nameOf(kind);
                EXPECT_THAT(text.what + text.advice, Not(HasSubstr("Dos"))) << nameOf(kind);
            }
        }
    }
    state.dose_phase = DosePhase::during;
    EXPECT_THAT(alarmText({.kind = AlarmKind::limit_near}, state).advice, HasSubstr("Stop the dose."));
}

TEST(AlarmText, saysThatTheLimitIsReachedOnlyWhereTheFigureShowsIt) {
    WatchState state = rising();
    const auto what = [&] { return alarmText({.kind = AlarmKind::limit_reached}, state).what; };
    state.temperature_c = 95.2;
    state.reading_c = 95.1;
    EXPECT_EQ(what(), "The limit of 95 °C is reached: 95.2 °C.");
    state.reading_c = 92.1;
    EXPECT_EQ(what(), "The limit of 95 °C is reached: 95.2 °C, by the trend; the probe lags behind and reads 92.1 °C.");
    state.temperature_c = 94.1; // it stands on for a while
    EXPECT_EQ(what(), "The limit of 95 °C was reached; it is at 94.1 °C now.");
    state.temperature_c.reset();
    state.reading_c.reset();
    EXPECT_EQ(what(), "The limit of 95 °C was reached when the pot was last seen.");
}

TEST(AlarmText, saysWhatToDoInEveryCase) {
    const WatchState state = rising();
    for (const AlarmKind kind : all_kinds) {
        const AlarmText text = alarmText({.kind = kind, .channel = "pot_c"}, state);
        EXPECT_FALSE(text.what.empty()) << nameOf(kind);
        EXPECT_EQ(text.what.back(), '.') << nameOf(kind);
        EXPECT_TRUE(text.advice.empty() || text.advice.back() == '.') << nameOf(kind);
    }
}

TEST(AlarmText, neverAdvisesAStopThatIsTooLate) {
    WatchState state = rising();
    state.dose_phase = DosePhase::during;
    state.stop_no_longer_helps = true;
    const std::string advice = alarmText({.kind = AlarmKind::limit_near}, state).advice;
    EXPECT_EQ(advice, "Stopping the dose no longer helps: cool, spread or quench.");
    EXPECT_EQ(alarmText({.kind = AlarmKind::accumulation}, state).advice, advice);
}

TEST(AlarmText, tellsWhatIsAddedAndWhatHasReacted) {
    WatchState state = rising();
    state.dose_phase = DosePhase::during;
    state.dosed_share = 0.56;
    state.reacted_share_high = 0.031;
    state.mtsr_c = 127.7;
    state.mtsr_high_c = 133.2;
    EXPECT_EQ(alarmText({.kind = AlarmKind::accumulation}, state).what,
              "You have added more than has reacted: 56 % of the dose is in, 3 % has reacted at the most. What is in "
              "the pot could take it to 128 to 133 °C.");
    state.latest_useful_stop_s = 690.0;
    EXPECT_THAT(alarmText({.kind = AlarmKind::accumulation}, state).advice, HasSubstr("helps for 90 s more"));
}

TEST(AlarmText, tellsAfterTheDoseWhatHasStillToReact) {
    WatchState state = rising();
    state.dose_phase = DosePhase::after;
    state.dosed_share = 1.0;
    state.reacted_share_high = 0.22;
    state.unreacted_share_low = 0.78;
    state.mtsr_c = 142.6;
    state.mtsr_high_c = 142.9; // the loss is stated
    const AlarmText text = alarmText({.kind = AlarmKind::accumulation}, state);
    EXPECT_EQ(text.what, "At least 78 % has still to react. That could take the pot to 143 °C.");
    EXPECT_EQ(text.advice, "Cool the pot now; if it climbs on, spread it in a shallow tray or quench it.");
    state.rate_k_per_min = -3.0;
    EXPECT_EQ(alarmText({.kind = AlarmKind::accumulation}, state).advice, "It is coming down: go on cooling.");
    state.rate_k_per_min = 0.4; // all was poured in, and it has not begun
    EXPECT_EQ(alarmText({.kind = AlarmKind::accumulation}, state).advice,
              "Have the cooling at hand, or spread it in a shallow tray while it is slow.");
}

TEST(AlarmTitle, namesTheChannel) {
    EXPECT_EQ(alarmTitle({.kind = AlarmKind::sensor_open, .channel = "core_c"}), "sensor open: core_c");
    EXPECT_EQ(alarmTitle({.kind = AlarmKind::limit_near}), "limit near");
}

} // namespace
} // namespace potwatch::format
