// SPDX-License-Identifier: GPL-3.0-or-later
// The form of the pot on the Record page, before a run and while it is recorded.
#include "app/session/pretend.h"
#include "tests/app/window/record/record_fixture.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QPlainTextEdit>

namespace potwatch::window {
namespace {

class RecordForm : public RecordInWindow {
protected:
    // The form has two faces, one before the run and one beside the chart: that which is seen.
    template<class Entry = QLineEdit>
    [[nodiscard]] Entry* field(const char* place) const {
        for (Entry* const entry : page->findChildren<Entry*>(QStringLiteral("field.") + QString::fromUtf8(place))) {
            if (entry->isVisibleTo(page)) {
                return entry;
            }
        }
        ADD_FAILURE() << place << " is not seen";
        return nullptr;
    }
    void type(const char* place, const char* typed) const {
        auto* const entry = field(place);
        entry->setFocus();
        QTest::keyClicks(entry, QString::fromUtf8(typed));
        QTest::keyClick(entry, Qt::Key_Return);
    }
    void connectToPot() const {
        page->connectTo(session::pretendSource({.rate_hz = 10.0, .channels = 2, .csv = table("pot.csv", 30.0, 0.01)}),
                        {});
        ASSERT_TRUE(waitFor([&] { return isReady(); }));
    }
    void record() const {
        press(Qt::Key_R);
        ASSERT_TRUE(waitFor([&] { return page->isRecording() && isRising(); }));
    }
    // To whatever has the cursor, as a keyboard does.
    static void key(Qt::Key key) { QTest::keyClick(QApplication::focusWidget(), key); }
    [[nodiscard]] std::size_t samplesInBook() const {
        return words("recordReadings").section(QStringLiteral("samples, "), 1).section(u' ', 0, 0).toULong();
    }
};

TEST_F(RecordForm, takesWhatTheLastRunStatedButNotWhatItsHandsDid) {
    type("charge.resin_g", "80");
    type("dose.total_g", "4");
    connectToPot();
    named<QLineEdit>("recordName")->setText(QStringLiteral("rod 01"));
    record();
    key(Qt::Key_O);
    ASSERT_TRUE(waitFor([&] { return isLogged("one drop (1 so far)") && samplesInBook() > 20; }));
    key(Qt::Key_Q);
    const session::ListedRun* const first = recorded();
    ASSERT_NE(first, nullptr);
    EXPECT_EQ(first->row.notes.batch.charge.resin_g, 80.0);
    ASSERT_TRUE(first->row.notes.batch.dose);
    EXPECT_EQ(first->row.notes.batch.dose->steps.size(), 1U);

    goToPage();
    EXPECT_TRUE(field("charge.resin_g")->text().isEmpty()) << "a new run is a new pot";
    auto* const setup = named<QWidget>("recordSetup");
    auto* const same = setup->findChild<QPushButton*>(QStringLiteral("same as last run"));
    ASSERT_TRUE(waitFor([&] { return same->isEnabled(); }));
    QTest::mouseClick(same, Qt::LeftButton);
    EXPECT_EQ(field("charge.resin_g")->text(), QStringLiteral("80"));
    connectToPot();
    named<QLineEdit>("recordName")->setText(QStringLiteral("rod 02"));
    record();
    key(Qt::Key_O);
    EXPECT_TRUE(waitFor([&] { return isLogged("one drop (1 so far)") && samplesInBook() > 20; }));
    key(Qt::Key_Q);
    const session::ListedRun* const second = recorded();
    ASSERT_NE(second, nullptr);
    EXPECT_EQ(second->row.name, "rod 02");
    EXPECT_EQ(second->row.notes.batch.charge.resin_g, 80.0);
    EXPECT_EQ(second->row.notes.batch.based_on, "rod 01");
    ASSERT_TRUE(second->row.notes.batch.dose);
    EXPECT_EQ(second->row.notes.batch.dose->total_g, 4.0);
    EXPECT_EQ(second->row.notes.batch.dose->steps.size(), 1U);
}

TEST_F(RecordForm, leavesOutAChannelOfTheLastRunThatThisDeviceDoesNotHave) {
    connectToPot();
    auto* const pot = field<QComboBox>("channels.pot");
    ASSERT_EQ(pot->count(), 3);
    const QString second = pot->itemText(2);
    pot->setCurrentIndex(2);
    Q_EMIT pot->activated(2);
    type("charge.resin_g", "80");
    record();
    ASSERT_TRUE(waitFor([&] { return samplesInBook() > 20; }));
    key(Qt::Key_Q);
    ASSERT_NE(recorded(), nullptr);
    EXPECT_EQ(recorded()->row.notes.batch.pot_channel, second.toStdString());

    goToPage();
    auto* const same = named<QWidget>("recordSetup")->findChild<QPushButton*>(QStringLiteral("same as last run"));
    ASSERT_TRUE(waitFor([&] { return same->isEnabled(); }));
    QTest::mouseClick(same, Qt::LeftButton);
    EXPECT_EQ(field<QComboBox>("channels.pot")->currentText(), second) << "no device is there to know better";
    EXPECT_TRUE(words("recordTrouble").isEmpty()) << words("recordTrouble").toStdString();
    std::ofstream stream(path("one.csv").toStdString()); // a device with one probe
    stream << "time_s,pot_c\n";
    for (int i = 0; i < 600; ++i) {
        stream << i << ',' << 30.0 + 0.01 * i << '\n';
    }
    stream.close();
    page->connectTo(session::pretendSource({.rate_hz = 10.0, .csv = path("one.csv").toStdString()}), {});
    ASSERT_TRUE(waitFor([&] { return isReady(); }));
    EXPECT_THAT(words("recordTrouble").toStdString(),
                testing::HasSubstr("This device has no channel \"" + second.toStdString() + "\" (the pot)"));
    EXPECT_TRUE(named<QLabel>("recordTrouble")->isVisible());
    EXPECT_NE(field<QComboBox>("channels.pot")->currentText(), second);
    EXPECT_EQ(field("charge.resin_g")->text(), QStringLiteral("80")) << "all else is kept";
    record();
    ASSERT_TRUE(waitFor([&] { return samplesInBook() > 20; }));
    key(Qt::Key_Q);
    const session::ListedRun* const run = recorded();
    ASSERT_NE(run, nullptr);
    EXPECT_EQ(run->row.notes.batch.pot_channel, "");
    EXPECT_EQ(run->row.notes.batch.charge.resin_g, 80.0);
    ASSERT_TRUE(book().view() != nullptr && book().view()->analysis) << "it has findings";
}

TEST_F(RecordForm, putsIntoTheBookWhatIsTypedWhileItRecords) {
    connectToPot();
    record();
    key(Qt::Key_O);
    ASSERT_TRUE(waitFor([&] { return isLogged("one drop (1 so far)"); }));
    key(Qt::Key_B);
    type("charge.resin_g", "85");
    key(Qt::Key_Escape); // letters are keys again
    key(Qt::Key_O);
    key(Qt::Key_G);
    key(Qt::Key_B);
    EXPECT_TRUE(waitFor([&] { return isLogged("one drop (2 so far)") && isLogged("gel") && samplesInBook() > 20; }));
    key(Qt::Key_U);
    key(Qt::Key_U);
    EXPECT_TRUE(waitFor([&] { return isLogged("taken back: gel") && isLogged("taken back: one drop"); }));
    key(Qt::Key_Q);
    const session::ListedRun* const run = recorded();
    ASSERT_NE(run, nullptr);
    EXPECT_EQ(run->row.notes.batch.charge.resin_g, 85.0);
    ASSERT_TRUE(run->row.notes.batch.dose);
    EXPECT_EQ(run->row.notes.batch.dose->steps.size(), 1U);
    EXPECT_THAT(kindsOf(*run), testing::Not(testing::Contains("gel")));
}

TEST_F(RecordForm, takesBackWhatWasTyped) {
    type("charge.resin_g", "80");
    type("charge.resin_g", "5");
    EXPECT_EQ(field("charge.resin_g")->text(), QStringLiteral("805"));
    field("dose.total_g")->setFocus();
    auto* const undo = named<QWidget>("recordSetup")->findChild<QPushButton*>(QStringLiteral("recordUndoForm"));
    QTest::mouseClick(undo, Qt::LeftButton);
    EXPECT_EQ(field("charge.resin_g")->text(), QStringLiteral("80"));
    QTest::mouseClick(undo, Qt::LeftButton);
    EXPECT_TRUE(field("charge.resin_g")->text().isEmpty());
    EXPECT_FALSE(undo->isEnabled());
}

TEST_F(RecordForm, offersTheChannelsThatTheDeviceSends) {
    EXPECT_EQ(field<QComboBox>("surroundings.channel")->count(), 1);
    connectToPot();
    auto* const air = field<QComboBox>("surroundings.channel");
    ASSERT_EQ(air->count(), 3);
    const QString second = air->itemText(2);
    air->setCurrentIndex(2);
    Q_EMIT air->activated(2);
    record();
    ASSERT_TRUE(waitFor([&] { return samplesInBook() > 20; }));
    key(Qt::Key_Q);
    const session::ListedRun* const run = recorded();
    ASSERT_NE(run, nullptr);
    EXPECT_EQ(run->row.notes.batch.surroundings.channel, second.toStdString());
}

TEST_F(RecordForm, watchesAnotherChannelAsSoonAsThatIsThePot) {
    connectToPot();
    record();
    ASSERT_TRUE(waitFor([&] { return words("recordSentence").startsWith(QStringLiteral("30.")); }))
        << words("recordSentence").toStdString();
    key(Qt::Key_B);
    auto* const pot = field<QComboBox>("channels.pot");
    ASSERT_EQ(pot->count(), 3);
    pot->setCurrentIndex(2);
    Q_EMIT pot->activated(2);
    EXPECT_TRUE(waitFor([&] { return words("recordSentence").startsWith(QStringLiteral("21.")); }))
        << words("recordSentence").toStdString();
    page->stop();
    EXPECT_NE(recorded(), nullptr);
}

TEST_F(RecordForm, leavesLettersToTheFieldThatHasTheCursor) {
    connectToPot();
    auto* const name = named<QLineEdit>("recordName");
    name->setFocus();
    QTest::keyClicks(name, QStringLiteral("rr"));
    EXPECT_EQ(name->text(), QStringLiteral("rr"));
    auto* const limit = named<QDoubleSpinBox>("recordLimit");
    limit->setFocus();
    QTest::keyClicks(limit, QStringLiteral("r"));
    auto* const command = named<QPlainTextEdit>("recordCommand");
    named<QAbstractButton>("recordBench")->click();
    command->setFocus();
    QTest::keyClicks(command, QStringLiteral("r"));
    EXPECT_EQ(command->toPlainText(), QStringLiteral("r"));
    command->clear();
    EXPECT_FALSE(page->isRecording());

    record();
    const std::size_t logged = static_cast<std::size_t>(log().size());
    key(Qt::Key_B);
    QLineEdit* const substance = field("dose.substance");
    substance->setFocus();
    QTest::keyClicks(substance, QStringLiteral("dgouqpbna"));
    EXPECT_EQ(substance->text(), QStringLiteral("dgouqpbna"));
    auto* const notes = field<QPlainTextEdit>("batch.notes");
    notes->setFocus();
    QTest::keyClicks(notes, QStringLiteral("dgouqpbna"));
    EXPECT_EQ(notes->toPlainText(), QStringLiteral("dgouqpbna"));
    EXPECT_TRUE(page->isRecording());
    const QStringList now = log();
    for (qsizetype i = 0; i + static_cast<qsizetype>(logged) < now.size(); ++i) {
        EXPECT_TRUE(now[i].contains(QStringLiteral("awake"))) << now[i].toStdString();
    }
    page->stop();
    EXPECT_NE(recorded(), nullptr);
}

} // namespace
} // namespace potwatch::window
