// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/fit_picture.h"
#include "io/kinetics/kinetics_file.h"
#include "tests/app/window/print_into.h"
#include "tests/app/window/window_fixture.h"

#include <QAbstractButton>
#include <QCheckBox>
#include <QClipboard>
#include <QFile>
#include <QFileDialog>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QTextBrowser>
#include <QTimer>

#include <fstream>
#include <iterator>

namespace potwatch::window {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::Not;

// Source: tests/reference/truth/README.md (invented runs).
QString truth(const char* run) {
    return QString::fromUtf8(POTWATCH_SOURCE_DIR "/tests/reference/truth/") + QString::fromUtf8(run) +
           QStringLiteral(".csv");
}

// "What the data can tell", as a person uses it on runs of the book.
class WhatTheDataTell : public Window {
protected:
    void show(const QStringList& files) {
        import(files);
        press("data shown");
    }
    void press(const char* button) const {
        auto* const found = named<QAbstractButton>(button);
        ASSERT_TRUE(found->isVisible() && found->isEnabled()) << button;
        QTest::mouseClick(found, Qt::LeftButton);
    }
    [[nodiscard]] std::string told() const {
        return named<QTextBrowser>("fit text")->toPlainText().replace(QChar::Nbsp, QLatin1Char(' ')).toStdString();
    }
    [[nodiscard]] QListWidget& runs() const { return *named<QListWidget>("fit runs"); }
    [[nodiscard]] bool fitted() const { return named<QAbstractButton>("fit save")->isEnabled(); }
    void fit() {
        press("fit start");
        ASSERT_TRUE(waitFor([&] { return !named<>("fit working")->isVisible(); }));
    }
    // The file dialog that the button opens is given that file.
    void save(const char* button, const QString& file) {
        QTimer::singleShot(100, window.get(), [file] {
            auto* const dialog = qobject_cast<QFileDialog*>(QApplication::activeModalWidget());
            ASSERT_NE(dialog, nullptr);
            dialog->findChild<QLineEdit*>(QStringLiteral("fileNameEdit"))->setText(file);
            QMetaObject::invokeMethod(dialog, "accept");
        });
        press(button);
        ASSERT_TRUE(waitFor([&] { return QFile::exists(file); }));
    }
};

TEST_F(WhatTheDataTell, isTheFitOfTheChosenRunsWithAllItSays) {
    show({truth("s01"), truth("s02"), truth("s03"), truth("s04"), csv("other.csv")});
    EXPECT_THAT(told(), HasSubstr("Choose the runs"));
    EXPECT_FALSE(fitted());
    fit();
    ASSERT_TRUE(fitted()) << told();
    EXPECT_THAT(told(), AllOf(HasSubstr("Autocatalytic law from 4 runs"), HasSubstr("Twice the catalyst"),
                              HasSubstr("95 % interval"), HasSubstr("AIC above the best"), HasSubstr("nth-order"),
                              HasSubstr("Friedman, without a law"), HasSubstr("MTSR"), HasSubstr("phi"),
                              HasSubstr("As much cure as, at 60.0 °C"),
                              HasSubstr("Kissinger, Ozawa, ASTM E698, KAS: not given")));
    auto* const picture = window->findChild<FitPictureView*>();
    ASSERT_TRUE(picture->isVisible());
    const QImage drawn = picture->grab().toImage();
    int inked = 0;
    for (int y = 0; y < drawn.height(); ++y) {
        for (int x = 0; x < drawn.width(); ++x) {
            inked += drawn.pixelColor(x, y) == picture->palette().color(QPalette::Base) ? 0 : 1;
        }
    }
    EXPECT_GT(inked, 2000);
}

TEST_F(WhatTheDataTell, takesRunsOfOneResinAlongAndSaysWhyOthersAreOut) {
    show({truth("s03"), truth("s04"), csv("other.csv")});
    ASSERT_EQ(runs().count(), 3);
    EXPECT_EQ(runs().item(0)->checkState(), Qt::Checked);
    EXPECT_EQ(runs().item(1)->checkState(), Qt::Checked);
    EXPECT_EQ(runs().item(2)->checkState(), Qt::Unchecked);
    EXPECT_EQ(runs().item(2)->text().toStdString(), "other: no mass of resin stated");
    EXPECT_FALSE(runs().item(2)->flags().testFlag(Qt::ItemIsEnabled));
    // One run does not tell the catalyst's order; none tells nothing.
    EXPECT_TRUE(named<QCheckBox>("fit order")->isEnabled());
    runs().item(0)->setCheckState(Qt::Unchecked);
    EXPECT_FALSE(named<QCheckBox>("fit order")->isEnabled());
    runs().item(1)->setCheckState(Qt::Unchecked);
    EXPECT_FALSE(named<QAbstractButton>("fit start")->isEnabled());
}

TEST_F(WhatTheDataTell, isReachedAndDoneByKeyboard) {
    import({truth("s03"), truth("s04")});
    auto* const shown = named<QAbstractButton>("data shown");
    shown->setFocus();
    QTest::keyClick(shown, Qt::Key_Space);
    auto* const start = named<QAbstractButton>("fit start");
    ASSERT_TRUE(start->hasFocus());
    QTest::keyClick(start, Qt::Key_Backtab, Qt::ShiftModifier);
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_Backtab, Qt::ShiftModifier);
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_Backtab, Qt::ShiftModifier);
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_Backtab, Qt::ShiftModifier);
    ASSERT_TRUE(runs().hasFocus());
    runs().setCurrentRow(1);
    QTest::keyClick(&runs(), Qt::Key_Space);
    EXPECT_EQ(runs().item(1)->checkState(), Qt::Unchecked);
    start->setFocus();
    QTest::keyClick(start, Qt::Key_Space);
    ASSERT_TRUE(waitFor([&] { return fitted(); }));
    EXPECT_TRUE(named<QTextBrowser>("fit text")->hasFocus());
    EXPECT_THAT(told(), HasSubstr("law from 1 run"));
    // And back.
    shown->setFocus();
    QTest::keyClick(shown, Qt::Key_Space);
    EXPECT_TRUE(named<>("chart")->isVisible());
    EXPECT_FALSE(named<>("data view")->isVisible());
    trigger("dataView");
    EXPECT_TRUE(named<>("data view")->isVisible());
    trigger("dataView");
    EXPECT_FALSE(named<>("data view")->isVisible());
}

TEST_F(WhatTheDataTell, canBeStoppedAndLeavesNothingBehind) {
    show({truth("s03"), truth("s04")});
    press("fit start");
    EXPECT_TRUE(named<>("fit working")->isVisible());
    EXPECT_FALSE(runs().isEnabled());
    press("fit stop");
    EXPECT_FALSE(named<>("fit working")->isVisible());
    EXPECT_THAT(told(), HasSubstr("Choose the runs"));
    QTest::qWait(1500); // an answer that comes all the same is not shown
    EXPECT_FALSE(fitted());
    fit();
    EXPECT_TRUE(fitted());
}

TEST_F(WhatTheDataTell, saysWhyThereIsNoAnswer) {
    show({truth("s03")});
    book::Notes notes = book().view()->notes;
    notes.batch.cure.heat_of_reaction_j_per_g = 27.0;
    book().editNotes(book().shownId(), notes, QStringLiteral("heat of reaction"));
    ASSERT_TRUE(waitFor([&] { return analysed(); }));
    fit();
    EXPECT_THAT(told(), AllOf(HasSubstr("There is no answer from these runs"), HasSubstr("times the heat"),
                              HasSubstr("check [cure] heat_of_reaction_j_per_g")));
    EXPECT_FALSE(fitted());
}

TEST_F(WhatTheDataTell, isSeenToBeOldOnceARunHasChanged) {
    show({truth("s03"), truth("s04")});
    fit();
    EXPECT_FALSE(named<QLabel>("fit old")->isVisible());
    book::Notes notes = book().view()->notes;
    notes.tags = {"keep"};
    book().editNotes(book().shownId(), notes, QStringLiteral("tag"));
    ASSERT_TRUE(waitFor([&] { return analysed(); }));
    EXPECT_FALSE(named<QLabel>("fit old")->isVisible());
    notes.batch.charge.resin_g = 81.0;
    book().editNotes(book().shownId(), notes, QStringLiteral("resin"));
    ASSERT_TRUE(waitFor([&] { return named<QLabel>("fit old")->isVisible(); }));
}

TEST_F(WhatTheDataTell, isTakenAlongAsKineticsFilePictureAndText) {
    show({truth("s03"), truth("s04")});
    fit();
    save("fit save", path("kinetics.toml"));
    ASSERT_TRUE(waitFor([&] { return kinetics_file::readFile(path("kinetics.toml").toStdString()).has_value(); }));
    EXPECT_EQ(kinetics_file::readFile(path("kinetics.toml").toStdString())->kind, RateModel::autocatalytic);
    save("fit picture file", path("fit.svg"));
    press("fit copy");
    EXPECT_THAT(QApplication::clipboard()->text().toStdString(),
                AllOf(HasSubstr("E2\t"), HasSubstr("AIC above the best"), Not(HasSubstr("<"))));
}

TEST_F(WhatTheDataTell, isPrintedWithItsPictureAsVectors) {
    show({truth("s02"), truth("s04")});
    int print_jobs = 0;
    printInto(*window, path("data.pdf"), print_jobs);
    trigger("printPage");
    EXPECT_EQ(print_jobs, 0) << "there is no fit yet";
    fit();
    trigger("printPage");
    EXPECT_EQ(print_jobs, 1);
    std::ifstream stream(path("data.pdf").toStdString(), std::ios::binary);
    const std::string pdf{std::istreambuf_iterator<char>(stream), {}};
    EXPECT_THAT(pdf, testing::StartsWith("%PDF"));
    EXPECT_THAT(pdf, Not(HasSubstr("/Subtype /Image")));
    EXPECT_GT(pdf.size(), 20'000U);
}

TEST_F(WhatTheDataTell, saysWhatToStateWhereNoRunCanTakePart) {
    show({csv("other.csv")});
    EXPECT_THAT(told(), HasSubstr("State the mass of the resin and its heat of reaction"));
    EXPECT_FALSE(named<QAbstractButton>("fit start")->isEnabled());
}

} // namespace
} // namespace potwatch::window
