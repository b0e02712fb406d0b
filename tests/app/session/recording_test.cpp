// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/recording.h"
#include "tests/app/session/scripted_source.h"
#include "tests/app/session/temporary_folder.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <atomic>
#include <cmath>
#include <optional>
#include <thread>

namespace potwatch::session {
namespace {

using namespace std::chrono_literals;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

class RecordingTest : public TemporaryFolder {
protected:
    [[nodiscard]] std::string bookPath() const { return path("live.potbook"); }
    [[nodiscard]] RunWanted wanted() const { return {.book = bookPath(), .name = "live", .keep_awake = false}; }
    [[nodiscard]] book::Book book() const {
        Result<book::Opened> opened = book::Book::open(bookPath(), book::Access::write);
        if (!opened) {
            ADD_FAILURE() << describe(opened.error());
            std::abort();
        }
        EXPECT_THAT(opened->notices, IsEmpty());
        EXPECT_THAT(*opened->book.check(), IsEmpty());
        return std::move(opened->book);
    }
    // Waits for something that is true before long.
    template<class Condition>
    static bool soon(const Condition& condition) {
        const auto until = std::chrono::steady_clock::now() + 10s;
        while (!condition() && std::chrono::steady_clock::now() < until) {
            std::this_thread::sleep_for(5ms);
        }
        return condition();
    }

    Script script_;
    Heard heard_;
};

TEST_F(RecordingTest, beginsWithTheFirstLineAndEndsCleanly) {
    const serial::Moment start = serial::now();
    {
        Recording recording(script_.source(), {}, heard_.tell());
        recording.begin(wanted());
        script_.connect();
        for (int i = 0; i < 20; ++i) {
            script_.send(fmt::format("{:.2f},{:.2f}\n", 20.0 + 0.01 * i, 30.0), start + i * 100ms);
        }
        recording.stop();
        ASSERT_THAT(heard_.wait<RecordingEnded>(), SizeIs(1));
    }
    const RecordingEnded ended = heard_.all<RecordingEnded>().front();
    EXPECT_EQ(ended.scans, 20U);
    EXPECT_EQ(ended.scans_lost, 0U);
    EXPECT_FALSE(ended.fault);
    book::Book book = this->book();
    ASSERT_THAT(*book.list(), SizeIs(1));
    EXPECT_EQ(book.list()->front().state, book::RunState::complete);
    const potwatch::Run run = book.read(ended.id)->run;
    EXPECT_EQ(run.name, "live");
    ASSERT_THAT(run.channels, SizeIs(2));
    EXPECT_EQ(run.channels[0].name, "t1");
    EXPECT_EQ(run.channels[0].unit, "degC");
    ASSERT_THAT(run.time_s, SizeIs(20));
    for (std::size_t i = 0; i < 20; ++i) {
        EXPECT_NEAR(run.time_s[i], 0.1 * static_cast<double>(i), 1e-5);
        EXPECT_EQ(run.channels[0].values[i], std::round(2000.0 + static_cast<double>(i)) / 100.0);
    }
    EXPECT_THAT(heard_.scans(), SizeIs(20)) << "each is told once";
}

TEST_F(RecordingTest, keepsNothingBeforeItIsAskedTo) {
    std::optional<Recording> recording;
    recording.emplace(script_.source(), serial::Device(), heard_.tell());
    script_.connect();
    script_.send("1.0\n1.1\n1.2\n");
    ASSERT_THAT(heard_.wait<FormatFound>(), SizeIs(1));
    EXPECT_TRUE(soon([&] { return recording->state().phase == RecordingState::Phase::ready; }));
    recording.reset();
    ASSERT_THAT(heard_.all<RecordingEnded>(), SizeIs(1));
    EXPECT_TRUE(heard_.all<RecordingEnded>().front().id.empty());
    EXPECT_FALSE(std::filesystem::exists(bookPath()));
}

TEST_F(RecordingTest, entersEventsAndTakesThemBack) {
    RunWanted wanted = this->wanted();
    wanted.batch.events = {{.time_s = -60.0, .kind = "heat on"}};
    {
        Recording recording(script_.source(), {}, heard_.tell());
        recording.begin(wanted);
        script_.connect();
        script_.send("20.0\n20.1\n20.2\n");
        ASSERT_THAT(heard_.wait<RunBegan>(), SizeIs(1));
        recording.addEvent("dose start");
        const Event by_mistake = recording.addEvent("gel");
        recording.withdrawEvent(by_mistake);
        ASSERT_THAT(heard_.wait<EventNews>(3), SizeIs(3));
        EXPECT_THAT(recording.state().events, SizeIs(2));
    }
    const book::StoredRun run = *book().read(heard_.all<RecordingEnded>().front().id);
    ASSERT_THAT(run.run.batch.events, SizeIs(2));
    EXPECT_EQ(run.run.batch.events[0].kind, "heat on");
    EXPECT_EQ(run.run.batch.events[1].kind, "dose start");
    EXPECT_GE(run.run.batch.events[1].time_s, 0.0);
    EXPECT_LT(run.run.batch.events[1].time_s, 10.0);
}

TEST_F(RecordingTest, keepsWhatIsStatedMeanwhile) {
    RunWanted wanted = this->wanted();
    wanted.batch.events = {{.time_s = -60.0, .kind = "heat on"}};
    {
        Recording recording(script_.source(), {}, wanted, heard_.tell());
        Batch early = wanted.batch;
        early.events.clear();
        early.charge = Charge{.resin_g = 100.0};
        recording.setBatch(early);
        script_.connect();
        script_.send("20.0\n20.1\n20.2\n");
        ASSERT_THAT(heard_.wait<RunInBook>(), SizeIs(1));
        EXPECT_EQ(book::Book::open(bookPath(), book::Access::read)->book.list()->front().notes.batch.charge.resin_g,
                  100.0);
        recording.addEvent("dose start");
        Batch late = early;
        late.name = "rod 12";
        late.dose = Dose{.steps = {{.time_s = 0.5, .amount = 1.0, .unit = DoseUnit::drop}}};
        recording.setBatch(late);
    }
    book::Book book = this->book();
    const book::StoredRun run = *book.read(heard_.all<RecordingEnded>().front().id);
    EXPECT_EQ(run.run.name, "rod 12");
    EXPECT_THAT(run.run.batch.dose->steps, SizeIs(1));
    ASSERT_THAT(run.run.batch.events, SizeIs(2));
    EXPECT_EQ(run.run.batch.events[1].kind, "dose start");
}

TEST_F(RecordingTest, comparesProbesAtRestOnceAndNoMoreWhenDosing) {
    Recording recording(script_.source(), {}, wanted(), heard_.tell());
    script_.connect();
    const serial::Moment start = serial::now();
    const auto send = [&](int from_s, int to_s) { // as if it were later
        for (int i = 2 * from_s; i < 2 * to_s; ++i) {
            script_.send(fmt::format("core={:.1f} skin={:.1f}\n", 21.8 + 0.1 * (i % 2), 22.4), start + i * 500ms);
        }
    };
    send(0, 20);
    ASSERT_TRUE(soon([&] { return recording.state().scans == 40; }));
    std::this_thread::sleep_for(1100ms); // it is looked at each second
    EXPECT_THAT(recording.state().rest, IsEmpty()) << "too short";
    send(20, 40);
    ASSERT_THAT(heard_.wait<RestNews>(), SizeIs(1));
    EXPECT_EQ(heard_.all<RestNews>().front().text, "Probes at rest: core 21.9 °C, skin 22.4 °C; 0.5 K apart.");
    EXPECT_FALSE(recording.state().rest.empty());
    recording.addEvent("dose start");
    script_.send("core=21.8 skin=22.4\n", start + 41s);
    EXPECT_TRUE(soon([&] { return recording.state().rest.empty(); }));
    EXPECT_THAT(heard_.all<RestNews>(), SizeIs(1));
}

TEST_F(RecordingTest, watchesAnotherChannelFromWhenThatIsThePot) {
    RunWanted wanted = this->wanted();
    Recording recording(script_.source(), {}, wanted, heard_.tell());
    script_.connect();
    script_.send("core=21.5 skin=96.5\ncore=21.5 skin=96.5\n");
    ASSERT_TRUE(soon([&] { return recording.state().watch.reading_c == 21.5; }));
    EXPECT_THAT(recording.state().watch.alarms, IsEmpty());
    Batch batch = wanted.batch;
    batch.pot_channel = "skin";
    recording.setBatch(batch);
    recording.addEvent("dose start");
    for (int i = 0; i < 20; ++i) {
        script_.send("core=21.5 skin=96.5\n");
        std::this_thread::sleep_for(20ms);
    }
    EXPECT_TRUE(soon([&] { return recording.state().watch.reading_c == 96.5; }));
    EXPECT_EQ(recording.state().watch.dose_phase, DosePhase::during) << "what was entered before is known to it";
}

TEST_F(RecordingTest, leavesOutChannelsThatTheDeviceDoesNotHave) {
    RunWanted wanted = this->wanted();
    wanted.batch.pot_channel = "pot_c";
    wanted.batch.surroundings.channel = "AIR";
    wanted.batch.heater.channel = "heater_w";
    wanted.batch.probes = {{.channel = "core", .role = ProbeRole::core, .lag_s = 3.0},
                           {.channel = "rim", .role = ProbeRole::skin}};
    {
        Recording recording(script_.source(), {}, wanted, heard_.tell());
        script_.connect();
        script_.send("air=21.5 core=30.5\nair=21.5 core=30.5\n");
        ASSERT_TRUE(soon([&] { return recording.state().watch.reading_c == 30.5; })) << "the core, not the air";
        Batch later = wanted.batch;
        later.charge.resin_g = 80.0;
        recording.setBatch(later); // as the one who asked for it still has it
        ASSERT_TRUE(soon([&] { return recording.state().scans == 2; }));
    }
    std::vector<std::string> told;
    for (const DeviceNews& news : heard_.all<DeviceNews>()) {
        if (news.what == DeviceChange::channel_missing) {
            told.push_back(news.text);
        }
    }
    EXPECT_THAT(told,
                ElementsAre("This device has no channel \"pot_c\" (the pot), \"heater_w\" (the heater), \"rim\" "
                            "(a probe): that is left out, and \"core\" is taken as the pot; state another channel "
                            "if that is wrong."))
        << "once";
    const Batch batch = book().read(heard_.all<RecordingEnded>().front().id)->run.batch;
    EXPECT_EQ(batch.pot_channel, "");
    EXPECT_EQ(batch.surroundings.channel, "air") << "as the device writes it";
    EXPECT_EQ(batch.heater.channel, "");
    ASSERT_THAT(batch.probes, SizeIs(1));
    EXPECT_EQ(batch.probes[0].channel, "core");
    EXPECT_EQ(batch.charge.resin_g, 80.0);
}

TEST_F(RecordingTest, takesTheChannelAsThePotThatTheAnalysisTakes) {
    Recording recording(script_.source(), {}, wanted(), heard_.tell());
    script_.connect();
    script_.send("air=21.5 pan=30.5\nair=21.5 pan=30.5\n");
    EXPECT_TRUE(soon([&] { return recording.state().watch.reading_c == 30.5; }));
}

TEST_F(RecordingTest, goesOnAfterTheDeviceWasAway) {
    const serial::Moment start = serial::now();
    {
        Recording recording(script_.source(), {}, heard_.tell());
        recording.begin(wanted());
        script_.connect();
        script_.send("20.0\n20.1\n20.2\n", start);
        script_.lose();
        ASSERT_TRUE(soon([&] { return heard_.hasDevice(DeviceChange::lost); }));
        EXPECT_FALSE(recording.state().is_connected);
        script_.connect();
        script_.send("20.3\n20.4\n", serial::now() + 3s);
        ASSERT_TRUE(soon([&] { return recording.state().scans == 5; }));
    }
    const book::StoredRun run = *book().read(heard_.all<RecordingEnded>().front().id);
    EXPECT_THAT(run.run.channels[0].values, ElementsAre(20.0, 20.1, 20.2, 20.3, 20.4));
    EXPECT_TRUE(std::is_sorted(run.run.time_s.begin(), run.run.time_s.end()));
    EXPECT_GT(run.run.time_s[3] - run.run.time_s[2], 2.5) << "the gap keeps its length";
    std::vector<std::string> kinds;
    for (const Event& event : run.run.batch.events) {
        kinds.push_back(event.kind);
    }
    EXPECT_THAT(kinds, ElementsAre("device lost", "device back"));
}

TEST_F(RecordingTest, isNotMovedByTheClockOnTheWall) {
    constexpr std::int64_t hour_us = 3'600'000'000;
    std::atomic<std::int64_t> shift_us = 0;
    const RecordingClock real = systemClock();
    const RecordingClock clock{.now = real.now, .wall = [&] {
                                   WallTime time = real.wall();
                                   time.utc_us += shift_us;
                                   return time;
                               }};
    const serial::Moment start = serial::now();
    WallTime before{};
    {
        Recording recording(script_.source(), {}, heard_.tell(), clock);
        recording.begin(wanted());
        script_.connect();
        before = real.wall();
        script_.send("20.0\n20.1\n20.2\n", start);
        std::this_thread::sleep_for(1200ms); // it looks at the clock once a second
        for (const std::int64_t to_us : {hour_us, std::int64_t{0}}) {
            shift_us = to_us;
            const std::size_t wanted_news = to_us == hour_us ? 1 : 2;
            ASSERT_TRUE(soon([&] {
                const std::vector<DeviceNews> news = heard_.all<DeviceNews>();
                return static_cast<std::size_t>(std::count_if(news.begin(), news.end(), [](const DeviceNews& n) {
                           return n.what == DeviceChange::clock_changed;
                       })) == wanted_news;
            }));
            script_.send("20.3\n", start + (to_us == hour_us ? 2s : 4s));
        }
        ASSERT_TRUE(soon([&] { return recording.state().scans == 5; }));
    }
    const book::StoredRun run = *book().read(heard_.all<RecordingEnded>().front().id);
    ASSERT_THAT(run.run.time_s, SizeIs(5));
    EXPECT_NEAR(run.run.time_s[3] - run.run.time_s[2], 2.0, 1e-3);
    EXPECT_NEAR(run.run.time_s[4] - run.run.time_s[3], 2.0, 1e-3);
    EXPECT_NEAR(static_cast<double>(run.run.started->utc_us - before.utc_us), 0.0, 2e6);
    ASSERT_THAT(run.run.batch.events, SizeIs(2));
    EXPECT_EQ(run.run.batch.events[0].kind, "clock changed");
    EXPECT_THAT(run.run.batch.events[0].text, HasSubstr("forward by 1 h"));
    EXPECT_THAT(run.run.batch.events[1].text, HasSubstr("back by 1 h"));
}

TEST_F(RecordingTest, keepsAndCountsWhatItDoesNotUnderstand) {
    {
        Recording recording(script_.source(), {}, heard_.tell());
        recording.begin(wanted());
        script_.connect();
        script_.send("20.00,21.00\n20.10,21.10\n20.20,21.20\nwhat?\n20.30,21.3\n20.40,21.40\n");
        ASSERT_TRUE(soon([&] { return recording.state().refused == 2; }));
        EXPECT_THAT(recording.state().last_refused, SizeIs(2));
    }
    book::Book book = this->book();
    const book::RunId id = heard_.all<RecordingEnded>().front().id;
    EXPECT_THAT(book.read(id)->run.time_s, SizeIs(4));
    const std::vector<book::RefusedLine> refused = *book.refusedLines(id);
    ASSERT_THAT(refused, SizeIs(2));
    EXPECT_EQ(refused[0].line, "what?");
    EXPECT_EQ(refused[1].line, "20.30,21.3");
    EXPECT_FALSE(refused[1].reason.empty());
}

TEST_F(RecordingTest, marksAnOpenSensor) {
    {
        Recording recording(script_.source(), {}, heard_.tell());
        recording.begin(wanted());
        script_.connect();
        script_.send("20.0,21.0\n20.1,21.1\n20.2,21.2\n20.3,OPEN\n");
        ASSERT_TRUE(soon([&] { return heard_.hasDevice(DeviceChange::sensor_open); }));
        EXPECT_TRUE(soon([&] { return recording.state().channels[1].open == "OPEN"; })) << "told just before";
        EXPECT_TRUE(recording.state().channels[0].open.empty());
    }
    const book::StoredRun run = *book().read(heard_.all<RecordingEnded>().front().id);
    EXPECT_TRUE(std::isnan(run.run.channels[1].values[3]));
    EXPECT_EQ(run.run.channels[0].values[3], 20.3);
}

TEST_F(RecordingTest, saysWhereTheDeviceFallsSilent) {
    Recording recording(script_.source(), {}, heard_.tell());
    recording.begin(wanted());
    script_.connect();
    script_.send("20.0\n20.1\n20.2\n");
    ASSERT_TRUE(soon([&] { return heard_.hasDevice(DeviceChange::silent); }));
    script_.send("20.3\n");
    EXPECT_TRUE(soon([&] { return heard_.hasDevice(DeviceChange::talking); }));
}

TEST_F(RecordingTest, warnsEntersTheWarningAndRunsTheCommand) {
    RunWanted wanted = this->wanted();
    wanted.watch.limit_c = 60.0;
    // A second warning's command may run beside the first one's: the first to make the file keeps it.
    const std::string said = path("said.txt");
    wanted.warning_command = {"/bin/sh", "-c", "printf '%s' \"$2\" > \"$1.$$\" && ln \"$1.$$\" \"$1\"", "sh", said};
    const serial::Moment start = serial::now();
    {
        Recording recording(script_.source(), {}, heard_.tell());
        recording.begin(wanted);
        script_.connect();
        for (int i = 0; i < 120; ++i) {
            script_.send(fmt::format("{:.2f}\n", 20.0 + 0.4 * i), start + i * 500ms);
        }
        ASSERT_TRUE(soon([&] { return std::filesystem::exists(said) && !contentOf("said.txt").empty(); }));
    }
    const std::vector<WatchNews> news = heard_.all<WatchNews>();
    const auto warning = std::find_if(news.begin(), news.end(), [&](const WatchNews& n) {
        return n.change.alarm.level == AlarmLevel::warning && n.what == contentOf("said.txt");
    });
    ASSERT_NE(warning, news.end()) << contentOf("said.txt");
    const book::StoredRun run = *book().read(heard_.all<RecordingEnded>().front().id);
    const auto& events = run.run.batch.events;
    EXPECT_TRUE(std::any_of(events.begin(), events.end(),
                            [&](const Event& e) { return e.kind == "warning" && e.text == warning->what; }));
}

TEST_F(RecordingTest, saysThatACommandCannotBeRun) {
    RunWanted wanted = this->wanted();
    wanted.watch.limit_c = 25.0;
    wanted.warning_command = {path("no such program")};
    Recording recording(script_.source(), {}, heard_.tell());
    recording.begin(wanted);
    script_.connect();
    const serial::Moment start = serial::now();
    for (int i = 0; i < 60; ++i) {
        script_.send(fmt::format("{:.2f}\n", 20.0 + 0.2 * i), start + i * 500ms);
    }
    ASSERT_FALSE(heard_.wait<CommandNews>().empty());
    EXPECT_THAT(heard_.all<CommandNews>().front().text, HasSubstr("cannot be run"));
}

TEST_F(RecordingTest, tellsAtOnceThatTheBookCannotBeMade) {
    RunWanted wanted = this->wanted();
    wanted.book = path("no such folder") + "/\x01/" + std::string(300, 'x');
    Recording recording(script_.source(), {}, heard_.tell());
    recording.begin(wanted);
    ASSERT_THAT(heard_.wait<RecordingEnded>(), SizeIs(1));
    ASSERT_TRUE(heard_.all<RecordingEnded>().front().fault);
    EXPECT_EQ(recording.state().phase, RecordingState::Phase::ended);
}

TEST_F(RecordingTest, endsWithItsSource) {
    Recording recording(script_.source(), {}, heard_.tell());
    recording.begin(wanted());
    script_.connect();
    script_.send("20.0,1.0\n20.1,1.1\n20.2,1.2\n20.3,1"); // the last may be cut off
    script_.end();
    ASSERT_THAT(heard_.wait<RecordingEnded>(), SizeIs(1));
    EXPECT_EQ(heard_.all<RecordingEnded>().front().scans, 3U);
    EXPECT_EQ(recording.state().refused, 1U);
}

} // namespace
} // namespace potwatch::session
