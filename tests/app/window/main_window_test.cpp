// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/about_dialogs.h"
#include "tests/app/window/window_fixture.h"

#include <QAccessible>
#include <QLabel>
#include <QLineEdit>
#include <QMenu>
#include <QPushButton>
#include <QUndoStack>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;
using testing::HasSubstr;

class MainWindowTest : public Window {
protected:
    QListView* list() { return named<QListView>("bookList"); }
    void openAgain() {
        ASSERT_TRUE(close());
        open();
        ASSERT_TRUE(waitFor([&] { return analysed(); }));
    }
};

TEST_F(MainWindowTest, renamesInTheListAndUndoes) {
    import({csv("rod-01.csv")});
    list()->setFocus();
    QTest::keyClick(window.get(), Qt::Key_F2);
    auto* const editor = list()->findChild<QLineEdit*>();
    ASSERT_NE(editor, nullptr);
    QTest::keyClicks(editor, u"rod 1"_s);
    QTest::keyClick(editor, Qt::Key_Return);
    EXPECT_TRUE(waitFor([&] { return lines() == QStringList{u"rod 1"_s}; }));
    EXPECT_EQ(named<QAction>("undo")->text(), u"&Undo name rod 1"_s);
    trigger("undo");
    EXPECT_EQ(lines(), QStringList{u"rod-01"_s});
    trigger("redo");
    openAgain();
    EXPECT_EQ(lines(), QStringList{u"rod 1"_s}) << "it was saved as it was made";
}

TEST_F(MainWindowTest, keepsTheNameThatIsBeingTypedWhenTheRunChanges) {
    import({csv("rod-01.csv")});
    list()->setFocus();
    QTest::keyClick(window.get(), Qt::Key_F2);
    auto* const editor = list()->findChild<QLineEdit*>();
    ASSERT_NE(editor, nullptr);
    QTest::keyClicks(editor, u"rod"_s);
    book::Notes notes = book().runs()[0].row.notes;
    notes.tags = {"casting"};
    book().editNotes(book().runs()[0].row.id, notes, u"tags"_s);
    EXPECT_EQ(editor->text(), u"rod"_s);
    QTest::keyClicks(editor, u" 1"_s);
    QTest::keyClick(editor, Qt::Key_Return);
    EXPECT_TRUE(waitFor([&] { return lines() == QStringList{u"rod 1"_s}; }));
}

TEST_F(MainWindowTest, keepsTheLineageWhenARunIsRenamed) {
    import({csv("a.csv"), csv("b.csv", 320.0)});
    const book::RunId a = book().runs()[0].row.id;
    const book::RunId b = book().runs()[1].row.id;
    book::Notes notes = book().run(b)->row.notes;
    notes.batch.based_on = book().run(a)->row.name;
    book().editNotes(b, notes, u"based on"_s);
    book().rename(a, u"first"_s);
    EXPECT_EQ(book().run(b)->row.notes.batch.based_on, "first");
    trigger("undo");
    EXPECT_EQ(book().run(b)->row.notes.batch.based_on, book().run(a)->row.name);
}

TEST_F(MainWindowTest, deletesByKeyAndBringsBackByUndo) {
    import({csv("a.csv"), csv("b.csv", 320.0)});
    list()->setFocus();
    list()->selectAll();
    QTest::keyClick(list(), Qt::Key_Delete);
    EXPECT_TRUE(lines().isEmpty());
    EXPECT_THAT(named<QAction>("undo")->text().toStdString(), HasSubstr("delete 2 runs"));
    trigger("undo");
    EXPECT_EQ(lines().size(), 2);
    openAgain();
    EXPECT_EQ(lines().size(), 2);
}

TEST_F(MainWindowTest, showsTheNextRunWhenTheShownOneIsDeleted) {
    import({csv("a.csv"), csv("b.csv", 320.0), csv("c.csv", 340.0)});
    book().show(book().runs()[1].row.id);
    list()->setFocus();
    QTest::keyClick(list(), Qt::Key_Delete);
    EXPECT_EQ(book().shownId(), book().runs()[2].row.id);
}

TEST_F(MainWindowTest, undoesAnImportByDeletingWhatItBrought) {
    import({csv("a.csv")});
    import({csv("b.csv", 320.0)});
    EXPECT_THAT(named<QAction>("undo")->text().toStdString(), HasSubstr("import"));
    trigger("undo");
    EXPECT_EQ(lines(), QStringList{u"a"_s});
    trigger("redo");
    EXPECT_EQ(lines().size(), 2);
}

TEST_F(MainWindowTest, showsTheRunWhoseChangeIsUndone) {
    import({csv("a.csv"), csv("b.csv", 320.0)});
    const book::RunId a = book().runs()[0].row.id;
    const book::RunId b = book().runs()[1].row.id;
    book().rename(a, u"first"_s);
    book().show(b);
    trigger("undo");
    EXPECT_EQ(book().shownId(), a);
}

TEST_F(MainWindowTest, tagsSeveralRunsInOneStepAndFiltersBySearch) {
    import({csv("a.csv"), csv("b.csv", 320.0), csv("c.csv", 340.0)});
    book().setTag({book().runs()[0].row.id, book().runs()[2].row.id}, u"keep"_s, true);
    auto* const search = named<QLineEdit>("bookSearch");
    QTest::keyClick(window.get(), Qt::Key_F, Qt::ControlModifier);
    QTest::keyClicks(search, u"keep"_s);
    EXPECT_EQ(lines(), (QStringList{u"a"_s, u"c"_s}));
    QTest::keyClick(search, Qt::Key_Escape);
    EXPECT_EQ(lines().size(), 3);
    trigger("undo");
    EXPECT_TRUE(book().runs()[0].row.notes.tags.empty() && book().runs()[2].row.notes.tags.empty());
}

TEST_F(MainWindowTest, analysesAgainWhatIsEditedAndKeepsEverything) {
    import({csv("a.csv")});
    book::Notes notes = book().view()->notes;
    notes.overrides = {{.landmark = LandmarkKind::onset, .time_s = 222.0}};
    book().editNotes(book().shownId(), notes, u"onset by hand"_s);
    EXPECT_TRUE(book().isBusy());
    EXPECT_EQ(book().view()->notes, notes) << "it is seen at once";
    ASSERT_TRUE(waitFor([&] { return analysed(); }));
    EXPECT_EQ(book().view()->analysis->findings.landmarks.onset->time_s.value, 222.0);
    openAgain();
    EXPECT_EQ(book().view()->notes, notes);
}

TEST_F(MainWindowTest, remembersRunTextSizeAndPanel) {
    import({csv("a.csv"), csv("b.csv", 320.0)});
    const book::RunId second = book().runs()[1].row.id;
    book().show(second);
    trigger("textLarger");
    EXPECT_EQ(settings->textPercent(), 110);
    trigger("showBook");
    EXPECT_FALSE(named("bookPanel")->isVisible());
    openAgain();
    EXPECT_EQ(book().shownId(), second);
    EXPECT_FALSE(named("bookPanel")->isVisible());
    trigger("textUsual");
}

TEST_F(MainWindowTest, goesThroughThePanesByKey) {
    import({csv("a.csv")});
    named("bookSearch")->setFocus();
    QTest::keyClick(window.get(), Qt::Key_F6);
    const QWidget* const page = QApplication::focusWidget();
    ASSERT_NE(page, nullptr);
    EXPECT_TRUE(named("pages")->isAncestorOf(page));
    QTest::keyClick(window.get(), Qt::Key_F6);
    EXPECT_EQ(QApplication::focusWidget(), list());
}

TEST_F(MainWindowTest, namesEveryControlForAScreenReader) {
    import({csv("a.csv")});
    for (const QWidget* const widget : window->findChildren<QWidget*>()) {
        const bool own = !widget->objectName().isEmpty() && !widget->objectName().startsWith(u"qt_"_s);
        if (own && widget->focusPolicy() != Qt::NoFocus && widget->isVisible()) {
            QAccessibleInterface* const face = QAccessible::queryAccessibleInterface(const_cast<QWidget*>(widget));
            ASSERT_NE(face, nullptr);
            EXPECT_FALSE(face->text(QAccessible::Name).isEmpty()) << widget->objectName().toStdString();
        }
    }
}

TEST_F(MainWindowTest, listsItsShortcuts) {
    trigger("shortcuts");
    auto* const dialog = window->findChild<ShortcutsDialog*>();
    ASSERT_NE(dialog, nullptr);
    QString words;
    for (const QLabel* const label : dialog->findChildren<QLabel*>()) {
        words += label->text() + u'\n';
    }
    EXPECT_THAT(words.toStdString(), HasSubstr("Import CSV\nCtrl+I"));
    dialog->reject();
}

} // namespace
} // namespace potwatch::window
