// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/pretend.h"
#include "app/window/record/alarm_sound.h"
#include "app/window/record/heat_bar.h"
#include "app/window/record/live_chart.h"
#include "tests/app/window/record/record_fixture.h"

#include <QTextBrowser>

namespace potwatch::window {
namespace {

TEST_F(RecordInWindow, practisesAndShowsTheFindingsAsSoonAsItStops) {
    named<QPushButton>("recordPractise")->click();
    EXPECT_FALSE(page->isRecording()) << "the pot is prepared beside the window's thread";
    EXPECT_TRUE(words("recordTrouble").contains(QStringLiteral("Preparing")));
    ASSERT_TRUE(waitFor([&] { return page->isRecording(); }));
    ASSERT_TRUE(waitFor([&] { return isRising(); })) << words("recordSentence").toStdString();
    EXPECT_TRUE(isLogged("nothing is measured"));
    EXPECT_TRUE(waitFor([&] { return named<LiveChart>("liveChart")->traces().size() == 2; }));
    EXPECT_THAT(named<HeatBar>("heatBar")->marks().join(u' ').toStdString(), testing::HasSubstr("limit 95 °C"));

    press(Qt::Key_D);
    EXPECT_TRUE(waitFor([&] { return isLogged("dose start"); }));
    press(Qt::Key_O);
    EXPECT_TRUE(waitFor([&] { return isLogged("one drop (1 so far)"); }));
    press(Qt::Key_U);
    EXPECT_TRUE(waitFor([&] { return isLogged("taken back: one drop"); }));
    press(Qt::Key_U);
    EXPECT_TRUE(waitFor([&] { return isLogged("taken back: dose start"); }));
    press(Qt::Key_P);

    press(Qt::Key_N); // and now letters are letters
    auto* const note = named<QLineEdit>("recordNote");
    ASSERT_TRUE(waitFor([&] { return note->hasFocus(); }));
    QTest::keyClicks(note, QStringLiteral("quads"));
    EXPECT_EQ(note->text(), QStringLiteral("quads"));
    EXPECT_TRUE(page->isRecording());
    QTest::keyClick(note, Qt::Key_Return);
    EXPECT_TRUE(waitFor([&] { return isLogged("note: quads"); }));
    ASSERT_TRUE(waitFor([&] { return words("recordReadings").contains(QStringLiteral("samples")); }));
    QTest::qWait(2500); // some samples to analyse

    press(Qt::Key_Q);
    ASSERT_TRUE(waitFor([&] { return !page->isRecording(); }));
    ASSERT_TRUE(waitFor([&] { return book().view() != nullptr && !book().isBusy(); }));
    EXPECT_FALSE(page->isVisible()) << "the findings are shown";
    const session::ListedRun* const run = book().run(book().shownId());
    ASSERT_NE(run, nullptr);
    EXPECT_EQ(run->row.notes.tags, std::vector<std::string>{"practice"});
    std::vector<std::string> kinds;
    for (const Event& event : run->row.notes.batch.events) {
        kinds.push_back(event.kind);
    }
    EXPECT_THAT(kinds, testing::IsSupersetOf({"pour", "note"}));
    EXPECT_THAT(kinds, testing::Not(testing::Contains("dose start")));
    EXPECT_TRUE(!run->row.notes.batch.dose || run->row.notes.batch.dose->steps.empty());
}

TEST_F(RecordInWindow, showsHowLinesAreReadBeforeAnythingIsRecorded) {
    page->connectTo(session::pretendSource({.rate_hz = 10.0, .style = session::PretendStyle::units}), {});
    EXPECT_FALSE(named<QPushButton>("recordStart")->isEnabled());
    ASSERT_TRUE(waitFor([&] { return named<QPushButton>("recordStart")->isEnabled(); }));
    EXPECT_THAT(words("recordFound").toStdString(), testing::HasSubstr("2 values"));
    EXPECT_THAT(words("recordSetupReadings").toStdString(), testing::HasSubstr("°C"));
    EXPECT_FALSE(page->isRecording());
    named<QLineEdit>("recordName")->setText(QStringLiteral("rod 99"));
    press(Qt::Key_R);
    ASSERT_TRUE(waitFor([&] { return page->isRecording() && isRising(); }));
    named<QPushButton>("recordStop")->click();
    ASSERT_TRUE(waitFor([&] { return !page->isRecording() && book().view() != nullptr; }));
    EXPECT_EQ(book().run(book().shownId())->row.name, "rod 99");
    EXPECT_TRUE(named<QLineEdit>("recordName")->text().isEmpty());
}

TEST_F(RecordInWindow, warnsUntilItIsSeenAndKeepsTheBandWhileItStands) {
    auto* const sound = page->findChild<AlarmSound*>();
    ASSERT_NE(sound, nullptr);
    int rung = 0;
    QObject::connect(sound, &AlarmSound::rang, page, [&] { ++rung; });
    // A pot over its limit from the start.
    const QString table = csv("hot.csv");
    {
        std::ofstream stream(table.toStdString());
        stream << "time_s,pot_c\n";
        for (int i = 0; i < 600; ++i) {
            stream << i << ',' << 97.0 + 0.05 * (i % 3) << '\n';
        }
    }
    page->connectTo(session::pretendSource({.rate_hz = 10.0, .channels = 1, .csv = table.toStdString()}), {});
    ASSERT_TRUE(waitFor([&] { return named<QPushButton>("recordStart")->isEnabled(); }));
    press(Qt::Key_R);
    auto* const band = named<QFrame>("warningBand");
    ASSERT_TRUE(waitFor([&] { return band->isVisible(); }));
    EXPECT_THAT(words("warningWords").toStdString(), testing::HasSubstr("limit of 95 °C"));
    EXPECT_THAT(words("warningAdvice").toStdString(), testing::HasSubstr("Cool the pot"));
    EXPECT_TRUE(waitFor([&] { return words("warningSentence").contains(QStringLiteral("97")); }));
    EXPECT_FALSE(named<QLabel>("recordSentence")->isVisible()) << "the band stands in its place";
    EXPECT_TRUE(isLogged("WARNING"));
    EXPECT_TRUE(waitFor([&] { return rung >= 2; })) << "it is repeated";
    press(Qt::Key_A);
    EXPECT_FALSE(sound->isRinging());
    EXPECT_TRUE(band->isVisible()) << "it stands as long as the pot is too hot";
    EXPECT_FALSE(named<QPushButton>("warningSeen")->isVisible());
    page->stop();
    ASSERT_TRUE(waitFor([&] { return !page->isRecording() && book().view() != nullptr; }));
    bool is_written = false;
    for (const Event& event : book().run(book().shownId())->row.notes.batch.events) {
        is_written = is_written || event.kind == "warning";
    }
    EXPECT_TRUE(is_written);
}

TEST_F(RecordInWindow, advisesNothingOfTheDoseOnceThatHasEnded) {
    // 78 °C rising 24 K/min: far under 90 s to the limit from the start.
    std::ofstream stream(path("rising.csv").toStdString());
    stream << "time_s,pot_c\n";
    for (int i = 0; i < 600; ++i) {
        stream << 0.1 * i << ',' << 78.0 + 0.04 * i + 0.01 * (i % 3) << '\n';
    }
    stream.close();
    page->connectTo(session::pretendSource({.rate_hz = 10.0, .channels = 1, .csv = path("rising.csv").toStdString()}),
                    {});
    ASSERT_TRUE(waitFor([&] { return isReady(); }));
    press(Qt::Key_R);
    ASSERT_TRUE(waitFor([&] { return page->isRecording() && isRising(); }));
    press(Qt::Key_D);
    ASSERT_TRUE(waitFor([&] { return words("warningAdvice").contains(QStringLiteral("Stop the dose.")); }))
        << words("warningAdvice").toStdString();
    EXPECT_THAT(words("warningWords").toStdString(), testing::HasSubstr("95 °C not before"));
    press(Qt::Key_E);
    EXPECT_TRUE(waitFor([&] { return words("warningAdvice").startsWith(QStringLiteral("Cool the pot now")); }))
        << words("warningAdvice").toStdString();
    EXPECT_THAT(words("warningWords").toStdString(), testing::HasSubstr("95 °C not before")) << "the same warning";
    EXPECT_FALSE(words("warningAdvice").contains(QStringLiteral("dos")));
    page->stop();
    EXPECT_NE(recorded(), nullptr);
}

TEST_F(RecordInWindow, saysWhyThereAreNoFindingsOfAShortRun) {
    page->connectTo(session::pretendSource({.rate_hz = 2.0, .channels = 1, .csv = table("short.csv", 25.0, 0.01)}), {});
    ASSERT_TRUE(waitFor([&] { return isReady(); }));
    press(Qt::Key_R);
    ASSERT_TRUE(waitFor([&] { return page->isRecording() && isRising(); }));
    page->stop();
    ASSERT_NE(recorded(), nullptr);
    auto* const words = named<QTextBrowser>("explanation");
    ASSERT_TRUE(waitFor([&] { return words->toPlainText().contains(QStringLiteral("findings need")); }))
        << words->toPlainText().toStdString();
    EXPECT_THAT(
        words->toPlainText().toStdString(),
        testing::ContainsRegex("^Channel t1: only [0-9]+ usable readings?, and findings need 16 or more. Record "
                               "for longer, or choose another channel.$"));
    EXPECT_TRUE(words->isVisible());
}

TEST_F(RecordInWindow, marksWhereThePotStartedAndHowFarItCouldCome) {
    HeatBar bar;
    WatchState state{.temperature_c = 25.0, .start_c = 21.8, .boiling_c = 100.0, .mtsr_c = 90.0, .mtsr_high_c = 110.0};
    bar.setState(state);
    EXPECT_EQ(bar.marks().join(u'|').toStdString(), "could reach 90 to 110 °C|boils 100 °C|limit 95 °C|start 22 °C");
    state.mtsr_high_c.reset();
    bar.setState(state);
    EXPECT_EQ(bar.marks().join(u'|').toStdString(), "boils 100 °C|limit 95 °C|could reach at least 90 °C|start 22 °C");
}

TEST_F(RecordInWindow, saysWhyTheSentenceIsAheadOfTheProbe) {
    page->practise(200.0);
    EXPECT_TRUE(waitFor([&] { return words("recordReadings").contains(QStringLiteral("freed of the probe's lag")); }));
    page->stop();
    ASSERT_TRUE(waitFor([&] { return !page->isRecording(); }));
}

TEST_F(RecordInWindow, ringsOnceForATest) {
    auto* const sound = page->findChild<AlarmSound*>();
    int rung = 0;
    QObject::connect(sound, &AlarmSound::rang, page, [&] { ++rung; });
    named<QPushButton>("recordTestSound")->click();
    EXPECT_EQ(rung, 1);
    EXPECT_FALSE(sound->isRinging());
}

TEST_F(RecordInWindow, losesNothingWhereTheWindowIsClosedMeanwhile) {
    named<QPushButton>("recordPractise")->click();
    ASSERT_TRUE(waitFor([&] { return isRising(); }));
    ASSERT_TRUE(close());
    auto opened = book::Book::open(path(standard_book).toStdString(), book::Access::read);
    ASSERT_TRUE(opened);
    const auto runs = opened->book.list();
    ASSERT_TRUE(runs);
    ASSERT_EQ(runs->size(), 1U);
    EXPECT_EQ(runs->front().state, book::RunState::complete);
}

} // namespace
} // namespace potwatch::window
