// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/watch.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <vector>

namespace potwatch::watch {
namespace {

constexpr double no_reading = std::numeric_limits<double>::quiet_NaN();
constexpr double s_per_min = 60.0;

// A pot and the air beside it, read twice a second with noise.
class Bench {
public:
    explicit Bench(Plan plan = {})
        : watch(withChannels(std::move(plan))) {}

    // Lets the pot follow a course [°C against s] up to that time; the changes on the way.
    std::vector<AlarmChange> run(double until_s, const std::function<double(double)>& course) {
        std::vector<AlarmChange> changes;
        for (; now_s < until_s; now_s += 0.5) {
            const std::vector<double> values{noisy(course(now_s)), noisy(22.0)};
            const auto more = watch.scan(now_s, values);
            changes.insert(changes.end(), more.begin(), more.end());
        }
        return changes;
    }

    [[nodiscard]] const Alarm* standing(AlarmKind kind) const {
        const auto& alarms = watch.state().alarms;
        const auto found = std::find_if(alarms.begin(), alarms.end(), [&](const Alarm& a) { return a.kind == kind; });
        return found == alarms.end() ? nullptr : &*found;
    }

    double noisy(double value) { return std::isnan(value) ? value : value + 0.1 * normal_(random_); }

    Watch watch;
    double now_s = 0.0;

private:
    static Plan withChannels(Plan plan) {
        plan.channels = {"pot_c", "air_c"};
        return plan;
    }

    std::mt19937_64 random_{11};
    std::normal_distribution<double> normal_;
};

double warming(double t, double k_per_min) {
    return 22.0 + k_per_min * t / s_per_min;
}

int warnings(const std::vector<AlarmChange>& changes) {
    return static_cast<int>(std::count_if(changes.begin(), changes.end(), [](const AlarmChange& c) {
        return c.kind != AlarmChange::Kind::ended && c.alarm.level == AlarmLevel::warning;
    }));
}

TEST(Watch, standsAtNinetyFiveOrFiveUnderTheBoilingPoint) {
    Watch watch({.channels = {"pot_c"}});
    EXPECT_DOUBLE_EQ(watch.state().limit_c, 95.0);
    Batch batch;
    batch.surroundings.pressure_kpa = 84.5; // about 1500 m up: water boils at 95 °C
    watch.setBatch(batch);
    EXPECT_DOUBLE_EQ(watch.state().limit_c, 90.0);
    batch.charge.boiling_c = 92.0;
    watch.setBatch(batch);
    EXPECT_DOUBLE_EQ(watch.state().limit_c, 87.0);
    Watch own({.channels = {"pot_c"}, .limit_c = 70.0});
    own.setBatch(batch);
    EXPECT_DOUBLE_EQ(own.state().limit_c, 70.0);
}

TEST(Watch, tellsTimeToTheLimitAtTheTrend) {
    Bench bench;
    bench.run(600.0, [](double t) { return warming(t, 3.0); });
    const WatchState& state = bench.watch.state();
    EXPECT_NEAR(*state.temperature_c, 52.0, 0.2);
    EXPECT_NEAR(*state.rate_k_per_min, 3.0, 0.4);
    // A bound: the rate may double with every ten degrees on the way.
    EXPECT_LT(*state.seconds_to_limit, 43.0 / 3.0 * s_per_min);
    EXPECT_GT(*state.seconds_to_limit, 10.0 / 3.0 * s_per_min * 0.6 / std::log(2.0));
    EXPECT_TRUE(state.alarms.empty());
}

TEST(Watch, warnsUnderNinetySecondsAndAtTheLimitOnce) {
    Bench bench;
    const auto changes = bench.run(480.0, [](double t) { return warming(t, 10.0); });
    EXPECT_EQ(warnings(changes), 2) << "near once, reached once";
    ASSERT_GE(changes.size(), 2U);
    EXPECT_EQ(changes[0].alarm.kind, AlarmKind::limit_near);
    EXPECT_NEAR(warming(changes[0].alarm.since_s, 10.0), 95.0 - 15.0, 2.0); // 90 s at 10 K/min
    EXPECT_TRUE(bench.standing(AlarmKind::limit_reached));
}

TEST(Watch, takesALimitBackOnlyWellBelowIt) {
    Bench bench;
    bench.run(480.0, [](double t) { return warming(t, 10.0); });
    const auto about_the_limit = bench.run(1000.0, [](double t) { return 94.6 + 0.8 * std::sin(t / 9.0); });
    EXPECT_EQ(warnings(about_the_limit), 0) << "no chatter";
    EXPECT_TRUE(bench.standing(AlarmKind::limit_reached));
    bench.run(1100.0, [](double) { return 90.0; });
    EXPECT_FALSE(bench.standing(AlarmKind::limit_reached));
}

TEST(Watch, warnsOfAFastRiseFarBelowTheLimit) {
    Bench bench({.limit_c = 200.0, .rate_limit_k_per_min = 12.0});
    bench.run(120.0, [](double t) { return warming(t, 9.0); });
    EXPECT_FALSE(bench.standing(AlarmKind::rising_fast));
    bench.run(240.0, [](double t) { return warming(120.0, 9.0) + 15.0 * (t - 120.0) / s_per_min; });
    ASSERT_TRUE(bench.standing(AlarmKind::rising_fast));
    EXPECT_EQ(bench.standing(AlarmKind::rising_fast)->level, AlarmLevel::warning);
}

TEST(Watch, noticesSelfHeatingAndWarnsOnlyTogetherWithANearLimit) {
    const auto takeOff = [](double t) { return 22.0 + 0.5 * std::exp(t / 120.0); };
    Bench far({.limit_c = 300.0, .rate_limit_k_per_min = {}});
    far.run(520.0, takeOff);
    ASSERT_TRUE(far.standing(AlarmKind::self_heating));
    EXPECT_EQ(far.standing(AlarmKind::self_heating)->level, AlarmLevel::notice);
    Bench near({.limit_c = 70.0, .rate_limit_k_per_min = {}});
    const auto changes = near.run(520.0, takeOff);
    ASSERT_TRUE(near.standing(AlarmKind::self_heating));
    EXPECT_EQ(near.standing(AlarmKind::self_heating)->level, AlarmLevel::warning);
    EXPECT_TRUE(std::any_of(changes.begin(), changes.end(),
                            [](const AlarmChange& c) { return c.kind == AlarmChange::Kind::raised; }));
}

TEST(Watch, aPotThatOnlyFollowsItsSurroundingsHeatsNotItself) {
    // Warmed by a bath: T = 80 - 58 exp(-t / 400 s), never bending upwards.
    Bench bench;
    const auto changes = bench.run(3000.0, [](double t) { return 80.0 - 58.0 * std::exp(-t / 400.0); });
    EXPECT_TRUE(changes.empty());
}

TEST(Watch, aBlankMayBeAsHotAsItLikes) {
    Bench bench;
    Batch batch;
    batch.blank = true;
    bench.watch.setBatch(batch);
    const auto changes = bench.run(900.0, [](double t) { return t < 60.0 ? 22.0 : 97.0 - 0.01 * t; });
    EXPECT_TRUE(changes.empty());
}

TEST(Watch, saysThatThePotsSensorIsOpenAndGoesOnWarningMeanwhile) {
    Bench bench;
    bench.run(480.0, [](double t) { return warming(t, 10.0); });
    ASSERT_TRUE(bench.standing(AlarmKind::limit_reached));
    bench.run(520.0, [](double) { return no_reading; });
    ASSERT_TRUE(bench.standing(AlarmKind::sensor_open));
    EXPECT_EQ(bench.standing(AlarmKind::sensor_open)->channel, "pot_c");
    EXPECT_EQ(bench.standing(AlarmKind::sensor_open)->level, AlarmLevel::warning);
    EXPECT_FALSE(bench.watch.state().temperature_c) << "what is not known is empty";
    EXPECT_TRUE(bench.standing(AlarmKind::limit_reached)) << "the pot was over it when last seen";
    bench.run(560.0, [](double) { return 60.0; });
    EXPECT_FALSE(bench.standing(AlarmKind::sensor_open));
    EXPECT_NEAR(*bench.watch.state().temperature_c, 60.0, 0.3);
}

TEST(Watch, warnsOfAPotThatNeverGaveAReading) {
    Bench bench;
    bench.run(10.0, [](double) { return no_reading; });
    EXPECT_TRUE(bench.standing(AlarmKind::sensor_open));
}

TEST(Watch, anotherChannelsOpenSensorIsANotice) {
    Watch watch({.channels = {"pot_c", "skin_c", "unused_c"}});
    for (double t = 0.0; t < 20.0; t += 0.5) {
        watch.scan(t, std::vector<double>{22.0, t < 10.0 ? 22.0 : no_reading, no_reading});
    }
    ASSERT_EQ(watch.state().alarms.size(), 1U);
    EXPECT_EQ(watch.state().alarms[0].channel, "skin_c");
    EXPECT_EQ(watch.state().alarms[0].level, AlarmLevel::notice);
}

TEST(Watch, saysThatReadingsHaveStoppedAndAreBack) {
    Bench bench;
    bench.run(60.0, [](double) { return 30.0; });
    EXPECT_TRUE(bench.watch.tick(62.0).empty());
    const auto stopped = bench.watch.tick(66.0);
    ASSERT_EQ(stopped.size(), 1U);
    EXPECT_EQ(stopped[0].alarm.kind, AlarmKind::readings_stopped);
    EXPECT_FALSE(bench.watch.state().temperature_c);
    bench.now_s = 70.0;
    const auto back = bench.run(70.5, [](double) { return 30.0; });
    ASSERT_EQ(back.size(), 1U);
    EXPECT_EQ(back[0].kind, AlarmChange::Kind::ended);
}

TEST(Watch, aSlowDeviceHasNotStopped) {
    Watch watch({.channels = {"pot_c"}});
    for (double t = 0.0; t <= 600.0; t += 30.0) {
        watch.scan(t, std::vector<double>{22.0});
        EXPECT_TRUE(watch.tick(t + 29.0).empty()) << t;
    }
    EXPECT_FALSE(watch.tick(800.0).empty());
}

TEST(Watch, knowsNothingOfTheShareReactedButThatThePotStaysCold) {
    Bench bench;
    Batch batch;
    batch.dose = Dose{.total_g = 4.0, .rate_g_per_min = 1.0, .start_s = 60.0};
    bench.watch.setBatch(batch);
    bench.run(150.0, [](double) { return 22.0; });
    EXPECT_FALSE(bench.standing(AlarmKind::slow_to_start));
    bench.run(200.0, [](double) { return 22.0; });
    EXPECT_TRUE(bench.standing(AlarmKind::slow_to_start));
    bench.run(310.0, [](double) { return 22.0; });
    EXPECT_EQ(bench.watch.state().dose_phase, DosePhase::after);
    EXPECT_FALSE(bench.standing(AlarmKind::slow_to_start)) << "nothing speaks of dosing after the dose";
}

// 4 g of catalyst in a minute from 60 s on, for a pot that has hardly reacted when the dose ends.
Batch quicklyDosed() {
    Batch batch;
    batch.charge = {.resin_g = 80.0, .specific_heat_j_per_g_k = 2.0};
    batch.vessel.heat_capacity_j_per_k = 25.0;
    batch.cure.heat_of_reaction_j_per_g = 270.0;
    batch.dose = Dose{.total_g = 4.0, .rate_g_per_min = 4.0, .start_s = 60.0};
    return batch;
}

// It only begins to warm.
double beginning(double t) {
    return 22.0 + 3.0 * std::max(0.0, t - 60.0) / s_per_min;
}

TEST(Watch, goesOnToWarnAfterTheDoseOfWhatHasStillToReact) {
    Bench bench;
    bench.watch.setBatch(quicklyDosed());
    bench.run(125.0, beginning);
    ASSERT_TRUE(bench.standing(AlarmKind::accumulation));
    const double since_s = bench.standing(AlarmKind::accumulation)->since_s;
    const std::vector<AlarmChange> changes = bench.run(150.0, beginning);
    EXPECT_EQ(bench.watch.state().dose_phase, DosePhase::after);
    ASSERT_TRUE(bench.standing(AlarmKind::accumulation));
    EXPECT_EQ(bench.standing(AlarmKind::accumulation)->since_s, since_s) << "it is the same warning";
    EXPECT_TRUE(changes.empty());
    EXPECT_GT(*bench.watch.state().unreacted_share_low, 0.9);
    EXPECT_NEAR(*bench.watch.state().mtsr_c, 22.0 + 21600.0 / 197.0, 3.0);
    // As much heat as two thirds of the cure: what is left is no longer much.
    bench.run(180.0, [](double t) { return 26.5 + 70.5 * (t - 150.0) / 30.0; });
    bench.run(195.0, [](double) { return 97.0; });
    EXPECT_LT(*bench.watch.state().unreacted_share_low, 0.35);
    EXPECT_GT(*bench.watch.state().mtsr_c, bench.watch.state().limit_c);
    EXPECT_FALSE(bench.standing(AlarmKind::accumulation));
    bench.run(1200.0, [](double t) { return 22.0 + 75.0 * std::exp(-(t - 195.0) / 150.0); });
    EXPECT_FALSE(bench.standing(AlarmKind::accumulation)) << "cooling takes nothing back of what has reacted";
}

TEST(Watch, endsThatWarningWhereThePotCouldNotPassTheLimitOrIsEmptied) {
    Bench bench;
    bench.watch.setBatch(quicklyDosed());
    bench.run(150.0, beginning);
    ASSERT_TRUE(bench.standing(AlarmKind::accumulation));
    const std::vector<Event> events{{.time_s = 150.0, .kind = "pour"}};
    bench.watch.setEvents(events);
    bench.run(151.0, beginning);
    EXPECT_FALSE(bench.standing(AlarmKind::accumulation));

    Bench other;
    Batch batch = quicklyDosed();
    other.watch.setBatch(batch);
    other.run(150.0, beginning);
    ASSERT_TRUE(other.standing(AlarmKind::accumulation));
    batch.charge.specific_heat_j_per_g_k = 4.2; // it is stated now, and the rest could only warm it by 60 K
    other.watch.setBatch(batch);
    other.run(165.0, beginning);
    EXPECT_LT(*other.watch.state().mtsr_c, other.watch.state().limit_c);
    EXPECT_FALSE(other.standing(AlarmKind::accumulation));
}

TEST(Watch, aPotThatFallsCannotPassTheLimitByWhatHasGathered) {
    Bench bench;
    bench.watch.setBatch(quicklyDosed());
    bench.run(150.0, beginning);
    ASSERT_TRUE(bench.standing(AlarmKind::accumulation));
    bench.run(240.0, [](double t) { return 26.5 - 1.5 * (t - 150.0) / s_per_min; });
    EXPECT_GT(*bench.watch.state().mtsr_c, bench.watch.state().limit_c);
    EXPECT_FALSE(bench.standing(AlarmKind::accumulation));
}

TEST(Watch, saysHowFarThePotCouldComeAtTheMost) {
    Bench bench;
    bench.watch.setBatch(quicklyDosed());
    bench.run(150.0, [](double t) { return 22.0 + 0.01 * t; });
    EXPECT_NEAR(*bench.watch.state().start_c, 22.0, 0.1);
    EXPECT_NEAR(*bench.watch.state().mtsr_high_c, 22.0 + 21600.0 / 197.0, 2.0);
    EXPECT_GE(*bench.watch.state().mtsr_high_c, *bench.watch.state().mtsr_c);
    std::vector<Event> events{{.time_s = 150.0, .kind = "heat on"}};
    bench.watch.setEvents(events);
    bench.run(155.0, [](double) { return 23.5; });
    EXPECT_FALSE(bench.watch.state().mtsr_high_c) << "a heater of unknown power may have warmed it";
    EXPECT_TRUE(bench.watch.state().mtsr_c);
    events.push_back({.time_s = 155.0, .kind = "quench"});
    bench.watch.setEvents(events);
    bench.run(160.0, [](double) { return 23.5; });
    EXPECT_FALSE(bench.watch.state().mtsr_c) << "nobody knows what is in it now";
}

TEST(Watch, warnsWhereAllIsPouredInAtOnce) {
    Bench bench;
    Batch batch = quicklyDosed();
    batch.dose->rate_g_per_min.reset();
    batch.dose->start_s.reset();
    batch.dose->steps = {{.time_s = 60.0, .amount = 4.0, .unit = DoseUnit::gram, .over_s = 0.0}};
    bench.watch.setBatch(batch);
    bench.run(60.0, [](double) { return 22.0; });
    EXPECT_FALSE(bench.standing(AlarmKind::accumulation));
    bench.run(100.0, beginning);
    EXPECT_EQ(bench.watch.state().dose_phase, DosePhase::after);
    EXPECT_TRUE(bench.standing(AlarmKind::accumulation));
}

TEST(Watch, saysNothingOfAccumulationWhereADiluentIsDosed) {
    Bench bench;
    Batch batch = quicklyDosed();
    batch.dose->role = DoseRole::diluent;
    bench.watch.setBatch(batch);
    bench.run(300.0, [](double) { return 22.0; });
    EXPECT_GT(*bench.watch.state().mtsr_c, bench.watch.state().limit_c);
    EXPECT_FALSE(bench.standing(AlarmKind::accumulation));
}

TEST(Watch, aTimeThatStepsBackChangesNothing) {
    Bench bench;
    bench.run(60.0, [](double) { return 30.0; });
    const WatchState before = bench.watch.state();
    EXPECT_TRUE(bench.watch.scan(20.0, std::vector<double>{99.0, 22.0}).empty());
    EXPECT_EQ(bench.watch.state(), before);
}

} // namespace
} // namespace potwatch::watch
