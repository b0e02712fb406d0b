// SPDX-License-Identifier: GPL-3.0-or-later
// Whole recordings through the window, by keyboard and mouse, from a port; and what stays from run to run.
#include "app/session/pretend_terminal.h"
#include "app/window/calibrate/know_pot_dialog.h"
#include "app/window/record/alarm_sound.h"
#include "tests/app/session/scripted_source.h"
#include "tests/app/window/record/record_fixture.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFile>
#include <QFrame>
#include <QPlainTextEdit>

#include <algorithm>
#include <thread>

namespace potwatch::window {
namespace {

using namespace std::chrono_literals;

// A pretend device on a pseudo-terminal, which the page opens as it opens any port.
class PlayedPort {
public:
    PlayedPort(const std::string& link, const session::PretendWanted& wanted)
        : terminal_(session::PretendTerminal::open(link).value())
        , device_(session::PretendDevice::make(wanted).value())
        , thread_([this](const std::stop_token& stop) { play(stop); }) {}

private:
    void play(const std::stop_token& stop) {
        const auto begun = std::chrono::steady_clock::now();
        while (!stop.stop_requested()) {
            const session::PretendDevice::Step step = device_.next();
            std::this_thread::sleep_until(begun + std::chrono::duration<double>(step.at_s));
            terminal_.write(step.bytes);
        }
    }

    session::PretendTerminal terminal_;
    session::PretendDevice device_;
    std::jthread thread_; // last: it uses the others
};

class WholeRecording : public RecordInWindow {
protected:
    void TearDown() override {
        RecordInWindow::TearDown();
        port.reset();
    }
    void plugIn(const session::PretendWanted& wanted) {
        port = std::make_unique<PlayedPort>(path("pot-port").toStdString(), wanted);
    }
    static void key(Qt::Key key) { QTest::keyClick(QApplication::focusWidget(), key); }
    static void typeInto(QLineEdit* line, const QString& words) {
        line->setFocus();
        line->selectAll();
        QTest::keyClicks(line, words);
        QTest::keyClick(line, Qt::Key_Return);
    }
    void connectByKeyboard() const { typeInto(named<QComboBox>("recordPorts")->lineEdit(), path("pot-port")); }
    void write(const char* name, const char* text) const {
        std::ofstream stream(path(name).toStdString());
        stream << text;
    }

    std::unique_ptr<PlayedPort> port;
};

TEST_F(WholeRecording, ofTheHotWaterThatAPotIsKnownFrom) {
    import({csv("rod.csv")});
    trigger("knowPot");
    auto* const dialog = window->findChild<KnowPotDialog*>();
    ASSERT_NE(dialog, nullptr);
    const auto field = [&](const char* name) { return dialog->findChild<QLineEdit*>(QString::fromUtf8(name)); };
    const auto begin = [&] {
        QTest::mouseClick(dialog->findChild<QPushButton*>(QStringLiteral("knowPotRecord")), Qt::LeftButton);
    };
    begin();
    EXPECT_FALSE(page->isVisible()) << "how much water it is must be known";
    field("knowPotWater")->setText(QStringLiteral("200"));
    field("knowPotVessel")->setText(QStringLiteral("beaker 250"));
    field("knowPotRoom")->setText(QStringLiteral("21"));
    begin();
    ASSERT_TRUE(waitFor([&] { return page->isVisible(); }));
    ASSERT_TRUE(QTest::qWaitForWindowActive(window.get()));
    EXPECT_TRUE(named<QPushButton>("recordUndoForm")->isEnabled());
    plugIn({.rate_hz = 20.0, .csv = table("water.csv", 70.0, -0.2)});
    connectByKeyboard();
    ASSERT_TRUE(waitFor([&] { return isReady(); }));
    press(Qt::Key_R);
    ASSERT_TRUE(waitFor([&] { return page->isRecording() && isRising(); }));
    begin(); // once more, while it is recorded
    EXPECT_TRUE(page->isRecording());
    ASSERT_TRUE(QTest::qWaitForWindowActive(window.get()));
    QTest::qWait(1500);
    press(Qt::Key_Q);
    const session::ListedRun* const run = recorded();
    ASSERT_NE(run, nullptr);
    EXPECT_TRUE(run->row.notes.batch.blank);
    EXPECT_EQ(run->row.notes.batch.charge.water_g, 200.0);
    EXPECT_EQ(run->row.notes.batch.vessel.name, "beaker 250");
    EXPECT_TRUE(dialog->isVisible());
    const auto* const chosen = dialog->findChild<QComboBox*>(QStringLiteral("knowPotRun"));
    const book::RunId id = run->row.id;
    EXPECT_TRUE(waitFor([&] { return chosen->currentData().toString().toStdString() == id; }));
    EXPECT_EQ(field("knowPotWater")->text(), QStringLiteral("200"));
}

TEST_F(WholeRecording, byKeyboardAndMouseFromAPortToItsFindings) {
    plugIn({.rate_hz = 10.0, .channels = 2, .speed = 4.0, .csv = table("cooks.csv", 40.0, 1.0)});
    connectByKeyboard();
    ASSERT_TRUE(waitFor([&] { return isReady(); })) << words("recordTrouble").toStdString();
    EXPECT_TRUE(waitFor([&] { return words("recordFound").contains(QStringLiteral("2 values")); }));
    typeInto(named<QLineEdit>("recordName"), QStringLiteral("rod 08"));
    typeInto(named<QWidget>("recordSetup")->findChild<QLineEdit*>(QStringLiteral("field.charge.resin_g")),
             QStringLiteral("80"));
    click("recordStart");
    ASSERT_TRUE(waitFor([&] { return page->isRecording() && isRising(); }));
    key(Qt::Key_D);
    key(Qt::Key_O);
    key(Qt::Key_O);
    key(Qt::Key_U);
    key(Qt::Key_G);
    key(Qt::Key_F);
    key(Qt::Key_U);
    EXPECT_TRUE(waitFor([&] { return isLogged("taken back: foam") && isLogged("taken back: one drop"); }));
    auto* const band = named<QFrame>("warningBand");
    auto* const sound = page->findChild<AlarmSound*>();
    ASSERT_TRUE(waitFor([&] { return band->isVisible() && sound->isRinging(); }));
    click("warningSeen");
    EXPECT_FALSE(sound->isRinging());
    key(Qt::Key_E);
    EXPECT_TRUE(waitFor([&] { return isLogged("dose end"); }));
    key(Qt::Key_Q);
    const session::ListedRun* const run = recorded();
    ASSERT_NE(run, nullptr);
    EXPECT_FALSE(page->isVisible()) << "the findings are shown";
    EXPECT_EQ(run->row.name, "rod 08");
    EXPECT_EQ(run->row.state, book::RunState::complete);
    EXPECT_THAT(kindsOf(*run), testing::IsSupersetOf({"dose start", "gel", "warning", "dose end"}));
    EXPECT_THAT(kindsOf(*run), testing::Not(testing::Contains("foam")));
    ASSERT_TRUE(run->row.notes.batch.dose);
    EXPECT_EQ(run->row.notes.batch.dose->steps.size(), 1U);
    EXPECT_EQ(run->row.notes.batch.charge.resin_g, 80.0);
    ASSERT_NE(book().view()->analysis, nullptr);
    EXPECT_GT(book().view()->analysis->findings.samples.kept, 20U);
}

TEST_F(WholeRecording, tellsOfAWarningOnWhateverPageIsSeen) {
    plugIn({.rate_hz = 10.0, .channels = 2, .csv = table("hot.csv", 97.0, 0.0)});
    connectByKeyboard();
    ASSERT_TRUE(waitFor([&] { return isReady(); }));
    key(Qt::Key_Tab); // out of the field
    click("recordStart");
    named<QAbstractButton>("railAnalyse")->click();
    EXPECT_FALSE(page->isVisible());
    ASSERT_TRUE(waitFor([&] { return !notices().filter(QStringLiteral("limit of 95 °C")).isEmpty(); }));
    named<QPushButton>("noticeAction")->click();
    EXPECT_TRUE(page->isVisible());
    EXPECT_TRUE(named<QFrame>("warningBand")->isVisible());
    EXPECT_TRUE(waitFor([&] { return notices().filter(QStringLiteral("limit of 95 °C")).isEmpty(); }));
    page->stop();
    EXPECT_NE(recorded(), nullptr);
}

TEST_F(WholeRecording, readsLinesAsTheDeviceFileSaysAndSaysWhatIsWrongWithOne) {
    plugIn({.rate_hz = 10.0, .channels = 2, .csv = table("pot.csv", 30.0, 0.0)});
    write("two.device.toml", "format = 1\n[lines]\nstyle = \"fields\"\nseparator = \",\"\nfields = 2\n"
                             "[[column]]\nfield = 1\nname = \"rod_c\"\nunit = \"degC\"\n"
                             "[[column]]\nfield = 2\nname = \"room_c\"\nunit = \"degC\"\n");
    write("bad.device.toml", "format = 1\n[port]\nbaut = 9600\n");
    auto* const file = named<QLineEdit>("recordDeviceFile");
    file->setText(path("bad.device.toml"));
    connectByKeyboard();
    ASSERT_TRUE(waitFor([&] { return words("recordTrouble").contains(QStringLiteral("baud")); }))
        << words("recordTrouble").toStdString();
    file->setText(path("two.device.toml"));
    click("recordConnect");
    ASSERT_TRUE(waitFor([&] { return isReady(); })) << words("recordTrouble").toStdString();
    EXPECT_THAT(words("recordFound").toStdString(), testing::HasSubstr("As the device file says"));
    EXPECT_TRUE(waitFor([&] { return words("recordSetupReadings").contains(QStringLiteral("rod_c 30.")); }))
        << words("recordSetupReadings").toStdString();

    named<QLineEdit>("recordKinetics")->setText(path("none.toml"));
    press(Qt::Key_R);
    ASSERT_TRUE(waitFor([&] { return words("recordTrouble").contains(QStringLiteral("none.toml")); }));
    EXPECT_FALSE(page->isRecording()) << "nothing is left out in silence";
    write("rods.toml", "format = 1\n[model]\nkind = \"nth-order\"\nheat_of_reaction_j_per_g = 270.0\n"
                       "a1_per_s = 1.4e7\ne1_kj_per_mol = 60.0\nn = 1.4\n");
    named<QLineEdit>("recordKinetics")->setText(path("rods.toml"));
    press(Qt::Key_R);
    ASSERT_TRUE(waitFor([&] { return page->isRecording() && isRising(); })) << words("recordTrouble").toStdString();
    page->stop();
    EXPECT_NE(recorded(), nullptr);
}

TEST_F(WholeRecording, takesValuesWithoutAUnitAsStated) {
    plugIn({.rate_hz = 10.0, .channels = 2, .csv = table("pot.csv", 86.0, 0.0)});
    auto* const unit = named<QComboBox>("recordUnit");
    unit->setCurrentIndex(1);
    connectByKeyboard();
    ASSERT_TRUE(waitFor([&] { return isReady() && words("recordSetupReadings").contains(QStringLiteral("°C")); }));
    EXPECT_THAT(words("recordSetupReadings").toStdString(), testing::HasSubstr(" 30.")) << "86 °F";
}

TEST_F(WholeRecording, runsTheCommandOfAWarningAndTriesItBefore) {
    plugIn({.rate_hz = 10.0, .channels = 2, .csv = table("hot.csv", 97.0, 0.0)});
    auto* const command = named<QPlainTextEdit>("recordCommand");
    click("recordBench"); // unfolds it
    command->setPlainText(QStringLiteral("no-such-program-here"));
    click("recordTryCommand");
    EXPECT_TRUE(waitFor([&] { return words("recordOfCommand").contains(QStringLiteral("no-such-program-here")); }));
    // Lines are arguments, not words of a shell: the path has a blank in it.
    command->setPlainText(QStringLiteral("sh\n-c\nprintf '%s' \"$1\" > \"$0\"\n") + path("what was said"));
    click("recordTryCommand");
    const auto said = [&] {
        QFile file(path("what was said"));
        return file.open(QIODevice::ReadOnly) ? QString::fromUtf8(file.readAll()) : QString();
    };
    EXPECT_TRUE(waitFor([&] { return said().contains(QStringLiteral("test")); }));
    connectByKeyboard();
    ASSERT_TRUE(waitFor([&] { return isReady(); }));
    click("recordStart");
    EXPECT_TRUE(waitFor([&] { return said().contains(QStringLiteral("limit of 95 °C")); })) << said().toStdString();
    page->stop();
    EXPECT_NE(recorded(), nullptr);
}

TEST_F(WholeRecording, remembersTheBenchFromOneStartToTheNext) {
    plugIn({.rate_hz = 10.0, .channels = 2, .csv = table("pot.csv", 30.0, 0.0)});
    named<QPlainTextEdit>("recordCommand")->setPlainText(QStringLiteral("true"));
    named<QDoubleSpinBox>("recordLimit")->setValue(88.0);
    connectByKeyboard();
    ASSERT_TRUE(waitFor([&] { return isReady(); }));
    ASSERT_TRUE(close());
    open();
    goToPage();
    EXPECT_EQ(named<QPlainTextEdit>("recordCommand")->toPlainText(), QStringLiteral("true"));
    EXPECT_EQ(named<QDoubleSpinBox>("recordLimit")->value(), 88.0);
    EXPECT_EQ(named<QComboBox>("recordPorts")->currentText(), path("pot-port"));
    EXPECT_TRUE(named<QPlainTextEdit>("recordCommand")->isVisible()) << "what acts is seen to act";
}

TEST_F(WholeRecording, saysThatThisComputerMayFallAsleep) {
    const QByteArray before = qgetenv("PATH");
    qputenv("PATH", path("").toUtf8()); // where nothing can be asked to keep it awake
    plugIn({.rate_hz = 10.0, .channels = 2, .csv = table("pot.csv", 30.0, 0.0)});
    connectByKeyboard();
    ASSERT_TRUE(waitFor([&] { return isReady(); }));
    click("recordStart");
    EXPECT_TRUE(waitFor([&] { return isLogged("could not be kept awake"); }));
    qputenv("PATH", before);
    EXPECT_TRUE(waitFor([&] { return words("recordReadings").contains(QStringLiteral("may fall asleep")); }));
    page->stop();
    EXPECT_NE(recorded(), nullptr);
}

TEST_F(WholeRecording, keepsARunThatIsRecordedFromBeingEditedElsewhere) {
    import({csv("before.csv")}); // so that the book is open
    goToPage();
    plugIn({.rate_hz = 10.0, .channels = 2, .csv = table("pot.csv", 30.0, 0.0)});
    connectByKeyboard();
    ASSERT_TRUE(waitFor([&] { return isReady(); }));
    click("recordStart");
    ASSERT_TRUE(waitFor([&] { return book().runs().size() == 2; }));
    const std::vector<session::ListedRun>& runs = book().runs();
    const auto live = std::find_if(runs.begin(), runs.end(), [](const session::ListedRun& run) {
        return run.row.state == book::RunState::recording;
    });
    ASSERT_NE(live, runs.end());
    const book::RunId id = live->row.id;
    book::Notes notes = live->row.notes; // which know nothing of the event
    notes.batch.charge.resin_g = 1.0;
    key(Qt::Key_G);
    EXPECT_TRUE(waitFor([&] { return isLogged("gel"); }));
    book().editNotes(id, notes, QStringLiteral("resin"));
    EXPECT_FALSE(notices().filter(QStringLiteral("being recorded")).isEmpty());
    page->stop();
    ASSERT_TRUE(waitFor([&] { return book().run(id)->row.state == book::RunState::complete; }));
    EXPECT_THAT(kindsOf(*book().run(id)), testing::Contains("gel"));
    EXPECT_FALSE(book().run(id)->row.notes.batch.charge.resin_g);
}

TEST_F(WholeRecording, comparesTheProbesAtRestBeforeDosing) {
    session::Script script;
    page->connectTo(script.source(), {});
    script.connect();
    const auto begun = serial::now();
    for (int i = 0; i < 80; ++i) {
        script.send("pot=21.8 air=24.1\n", begun + i * 500ms); // two a second, as if it were later
    }
    ASSERT_TRUE(waitFor([&] { return words("recordSetupReadings").contains(QStringLiteral("Probes at rest")); }))
        << words("recordSetupReadings").toStdString();
    EXPECT_THAT(words("recordSetupReadings").toStdString(),
                testing::HasSubstr("pot 21.8 °C, air 24.1 °C; 2.3 K apart. If pot and air stand at the same place"));
    press(Qt::Key_R);
    script.send("pot=21.8 air=24.1\n", begun + 41s);
    EXPECT_TRUE(waitFor([&] { return isLogged("2.3 K apart"); }));
    page->stop();
    EXPECT_TRUE(waitFor([&] { return !page->isRecording(); }));
}

} // namespace
} // namespace potwatch::window
