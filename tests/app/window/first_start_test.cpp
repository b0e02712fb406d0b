// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/import/import_dialog.h"
#include "tests/app/window/window_fixture.h"

#include <QComboBox>
#include <QDragEnterEvent>
#include <QDropEvent>
#include <QFile>
#include <QLabel>
#include <QLineEdit>
#include <QMimeData>
#include <QPushButton>
#include <QStackedWidget>
#include <QTableWidget>
#include <QUrl>

namespace potwatch::window {
namespace {

using testing::HasSubstr;

class FirstStart : public Window {
protected:
    void drop(const QStringList& files) {
        QMimeData data;
        QList<QUrl> urls;
        for (const QString& file : files) {
            urls += QUrl::fromLocalFile(file);
        }
        data.setUrls(urls);
        QDragEnterEvent enter(QPoint(50, 50), Qt::CopyAction, &data, Qt::LeftButton, Qt::NoModifier);
        QApplication::sendEvent(window.get(), &enter);
        EXPECT_TRUE(enter.isAccepted());
        QDropEvent event(QPointF(50, 50), Qt::CopyAction, &data, Qt::LeftButton, Qt::NoModifier);
        QApplication::sendEvent(window.get(), &event);
    }
    ImportDialog* dialog() {
        ImportDialog* found = nullptr;
        waitFor([&] {
            found = window->findChild<ImportDialog*>();
            return found != nullptr;
        });
        return found;
    }
    static bool canImport(const ImportDialog& shown) {
        return shown.findChild<QPushButton*>(QStringLiteral("importAccept"))->isEnabled();
    }
};

TEST_F(FirstStart, saysWhatToDoFirstAndMakesNoFile) {
    EXPECT_EQ(named<QStackedWidget>("pages")->currentWidget()->objectName(), QStringLiteral("startPage"));
    EXPECT_TRUE(named<QPushButton>("startImport")->isVisible());
    EXPECT_TRUE(named<QPushButton>("startDemo")->isVisible());
    EXPECT_EQ(window->focusWidget(), named("startImport")) << "Return begins";
    EXPECT_FALSE(named("bookPanel")->isVisible()) << "an empty list is only in the way";
    EXPECT_FALSE(QFile::exists(path(standard_book)));
}

TEST_F(FirstStart, importsADroppedTableByTheDialogAndShowsIt) {
    drop({csv("rod-01.csv")});
    ImportDialog* const shown = dialog();
    ASSERT_NE(shown, nullptr);
    ASSERT_TRUE(waitFor([&] { return canImport(*shown); }));
    EXPECT_THAT(shown->findChild<QLabel*>(QStringLiteral("importSummary"))->text().toStdString(),
                HasSubstr("600 rows over 9 min 59 s, one every 1 s"));
    EXPECT_EQ(shown->findChild<QTableWidget*>(QStringLiteral("importColumns"))->item(0, 0)->text(),
              QStringLiteral("pot_c"));
    QTest::keyClick(shown, Qt::Key_Return);
    ASSERT_TRUE(waitFor([&] { return analysed(); }));
    EXPECT_EQ(lines(), QStringList{QStringLiteral("rod-01")});
    EXPECT_TRUE(QFile::exists(path(standard_book)));
    EXPECT_EQ(named<QListView>("bookList")->currentIndex().row(), 0);
}

TEST_F(FirstStart, keepsNothingWhereTheDialogIsCancelled) {
    drop({csv("rod-01.csv")});
    ImportDialog* const shown = dialog();
    ASSERT_NE(shown, nullptr);
    QTest::keyClick(shown, Qt::Key_Escape);
    QApplication::processEvents();
    EXPECT_FALSE(QFile::exists(path(standard_book)));
}

TEST_F(FirstStart, saysInTheDialogWhatKeepsAFileOutAndReadsItAgainOnceTold) {
    std::ofstream stream(path("counter.csv").toStdString());
    stream << "n,pot_c\n";
    for (int i = 0; i < 50; ++i) {
        stream << i << ',' << 20 + i << '\n';
    }
    stream.close();
    drop({path("counter.csv")});
    ImportDialog* const shown = dialog();
    ASSERT_NE(shown, nullptr);
    auto* const faults = shown->findChild<QLabel*>(QStringLiteral("importFaults"));
    ASSERT_TRUE(waitFor([&] { return faults->isVisible(); }));
    EXPECT_FALSE(canImport(*shown));
    EXPECT_THAT(faults->text().toStdString(), HasSubstr("Row interval"));
    EXPECT_THAT(faults->text().toStdString(), Not(HasSubstr("--"))) << "no option of the command line";
    auto* const interval = shown->findChild<QLineEdit*>(QStringLiteral("importInterval"));
    interval->setFocus();
    QTest::keyClicks(interval, QStringLiteral("0.5"));
    QTest::keyClick(interval, Qt::Key_Tab);
    EXPECT_TRUE(waitFor([&] { return canImport(*shown); }));
}

TEST_F(FirstStart, offersTheDemoWithItsRunsInTheirLineage) {
    QTest::mouseClick(named<QPushButton>("startDemo"), Qt::LeftButton);
    ASSERT_TRUE(waitFor([&] { return lines().size() == 8 && analysed(); }));
    EXPECT_TRUE(lines().contains(QStringLiteral("rod 04: 0.18 to 0.28 g/min"))) << lines().join(u'\n').toStdString();
    const QModelIndex last = named<QListView>("bookList")->model()->index(7, 0);
    EXPECT_TRUE(
        waitFor([&] { return last.data(BookModel::detailRole).toString().contains(QStringLiteral("boiled")); }));
    EXPECT_EQ(last.data(BookModel::depthRole).toInt(), 1);
    EXPECT_FALSE(named("workStop")->isVisible()) << "nothing goes on any more";
}

TEST_F(FirstStart, refusesATableThatDoesNotFitIntoMemoryBeforeItIsRead) {
    QFile large(path("large.csv"));
    ASSERT_TRUE(large.open(QIODevice::WriteOnly));
    ASSERT_TRUE(large.resize(2'000'000'000'000LL)) << "sparse: takes no room";
    large.close();
    drop({path("large.csv")});
    ImportDialog* const shown = dialog();
    ASSERT_NE(shown, nullptr);
    auto* const faults = shown->findChild<QLabel*>(QStringLiteral("importFaults"));
    ASSERT_TRUE(waitFor([&] { return faults->isVisible(); }));
    EXPECT_THAT(faults->text().toStdString(), HasSubstr("too large for this machine"));
}

} // namespace
} // namespace potwatch::window
