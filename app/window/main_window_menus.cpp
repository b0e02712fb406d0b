// SPDX-License-Identifier: GPL-3.0-or-later
// The menus: every wish with its words and its keys, in one place.
#include "app/window/about_dialogs.h"
#include "app/window/analyse/analyse_page.h"
#include "app/window/book/book_panel.h"
#include "app/window/library_link.h"
#include "app/window/look.h"
#include "app/window/main_window.h"

#include <QAction>
#include <QActionGroup>
#include <QApplication>
#include <QFileInfo>
#include <QMenu>
#include <QMenuBar>

#include <algorithm>
#include <set>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr int text_step_percent = 10;

} // namespace

QAction* MainWindow::add(QMenu& menu, const QString& name, const QString& words, const QKeySequence& keys,
                         const std::function<void()>& act) {
    QAction* const action = menu.addAction(words);
    action->setObjectName(name);
    action->setShortcut(keys);
    connect(action, &QAction::triggered, this, act);
    return action;
}

void MainWindow::buildMenus() {
    buildFileMenu();
    buildEditMenu();
    buildViewMenu();
    buildRunMenu();
    buildHelpMenu();
}

void MainWindow::buildFileMenu() {
    QMenu& menu = *menuBar()->addMenu(tr("&File"));
    add(menu, u"newBook"_s, tr("&New book..."), QKeySequence::New, [this] { newBook(); });
    add(menu, u"openBook"_s, tr("&Open book..."), QKeySequence::Open, [this] { chooseBook(); });
    recent_menu_ = menu.addMenu(tr("Open &recent"));
    connect(recent_menu_, &QMenu::aboutToShow, this, &MainWindow::fillRecentMenu);
    recent_menu_->menuAction()->setEnabled(!settings_.recent(QString::fromLatin1(recent_books)).isEmpty());
    add(menu, u"openDemo"_s, tr("Try the &demo"), {}, [this] { importDemo(); });
    menu.addSeparator();
    add(menu, u"importCsv"_s, tr("&Import CSV..."), QKeySequence(Qt::CTRL | Qt::Key_I), [this] { chooseFiles(); });
    menu.addSeparator();
    for_a_run_.push_back(add(menu, u"exportCsv"_s, tr("&Export as CSV..."), QKeySequence(Qt::CTRL | Qt::Key_E),
                             [this] { exportRuns(); }));
    for_a_run_.push_back(add(menu, u"exportBatch"_s, tr("Export &batch file..."), {}, [this] { exportBatch(); }));
    for_a_book_.push_back(
        add(menu, u"saveCopy"_s, tr("Save a &copy of the book..."), QKeySequence::SaveAs, [this] { saveCopy(); }));
    menu.addSeparator();
    print_ = add(menu, u"printPage"_s, tr("&Print..."), QKeySequence::Print, [this] { printPage(); });
    menu.addSeparator();
    add(menu, u"quit"_s, tr("&Quit"), QKeySequence::Quit, [this] { close(); })->setMenuRole(QAction::QuitRole);
}

void MainWindow::buildEditMenu() {
    QMenu& menu = *menuBar()->addMenu(tr("&Edit"));
    QAction* const undo = book_->undo().createUndoAction(this, tr("&Undo"));
    undo->setObjectName(u"undo"_s);
    undo->setShortcut(QKeySequence::Undo);
    QAction* const redo = book_->undo().createRedoAction(this, tr("&Redo"));
    redo->setObjectName(u"redo"_s);
    redo->setShortcuts({QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_Z), QKeySequence(Qt::CTRL | Qt::Key_Y)});
    menu.addActions({undo, redo});
    menu.addSeparator();
    QAction* const remove = add(menu, u"deleteRuns"_s, tr("&Delete run"), {}, [this] { deleteRuns(); });
    remove->setShortcut(QKeySequence(Qt::Key_Delete));
    remove->setShortcutContext(Qt::WidgetShortcut); // of the list: in a text field the key is the text's
    menu.addSeparator();
    add(menu, u"find"_s, tr("&Find a run"), QKeySequence::Find, [this] {
        show_panel_->setChecked(true);
        panel_->focusSearch();
    });
}

void MainWindow::buildViewMenu() {
    QMenu& menu = *menuBar()->addMenu(tr("&View"));
    show_panel_ = menu.addAction(tr("&Batch book"));
    show_panel_->setObjectName(u"showBook"_s);
    show_panel_->setShortcut(QKeySequence(Qt::Key_F9));
    show_panel_->setCheckable(true);
    show_panel_->setChecked(settings_.flag(u"book/shown"_s, true));
    connect(show_panel_, &QAction::toggled, this, [this] { showPage(); });
    for_a_run_.push_back(
        add(menu, u"dataView"_s, tr("&What the data can tell"), QKeySequence(Qt::CTRL | Qt::Key_D), [this] {
            if (analyse_ != nullptr) {
                analyse_->turnData();
            }
        }));
    menu.addSeparator();
    QAction* const larger = add(menu, u"textLarger"_s, tr("Text &larger"), {},
                                [this] { changeTextSize(settings_.textPercent() + text_step_percent); });
    larger->setShortcuts({QKeySequence(Qt::CTRL | Qt::Key_Plus), QKeySequence(Qt::CTRL | Qt::Key_Equal)});
    add(menu, u"textSmaller"_s, tr("Text &smaller"), QKeySequence(Qt::CTRL | Qt::Key_Minus),
        [this] { changeTextSize(settings_.textPercent() - text_step_percent); });
    add(menu, u"textUsual"_s, tr("&Usual text size"), QKeySequence(Qt::CTRL | Qt::Key_0),
        [this] { changeTextSize(100); });
    menu.addSeparator();
    QMenu& colours = *menu.addMenu(tr("&Colours"));
    auto* const group = new QActionGroup(this);
    for (const auto& [appearance, words, name] :
         {std::tuple(Appearance::desktop, tr("As the &desktop"), u"coloursDesktop"_s),
          std::tuple(Appearance::light, tr("&Light"), u"coloursLight"_s),
          std::tuple(Appearance::dark, tr("D&ark"), u"coloursDark"_s)}) {
        const Appearance chosen = appearance;
        QAction* const action = add(colours, name, words, {}, [this, chosen] {
            settings_.setAppearance(chosen);
            applyAppearance(*qApp, chosen);
        });
        action->setCheckable(true);
        action->setChecked(settings_.appearance() == chosen);
        group->addAction(action);
    }
    menu.addSeparator();
    add(menu, u"nextPane"_s, tr("&Next pane"), QKeySequence(Qt::Key_F6), [this] { stepPane(1); });
    add(menu, u"previousPane"_s, tr("&Previous pane"), QKeySequence(Qt::SHIFT | Qt::Key_F6), [this] { stepPane(-1); });
    QAction* const full = add(menu, u"fullScreen"_s, tr("&Full screen"), QKeySequence(Qt::Key_F11),
                              [this] { setWindowState(windowState() ^ Qt::WindowFullScreen); });
    full->setShortcutContext(Qt::ApplicationShortcut);
}

void MainWindow::buildRunMenu() {
    QMenu& menu = *menuBar()->addMenu(tr("&Run"));
    QAction* const rename = add(menu, u"renameRun"_s, tr("&Rename"), QKeySequence(Qt::Key_F2), [this] {
        show_panel_->setChecked(true);
        panel_->rename();
    });
    tag_menu_ = menu.addMenu(tr("&Tags"));
    tag_menu_->setObjectName(u"tagMenu"_s);
    connect(tag_menu_, &QMenu::aboutToShow, this, &MainWindow::fillTagMenu);
    QAction* const read = add(menu, u"readBatch"_s, tr("Read a &batch file into it..."), {}, [this] { readBatch(); });
    menu.addSeparator();
    add(menu, u"previousRun"_s, tr("&Previous run"), QKeySequence(Qt::ALT | Qt::Key_Up), [this] { panel_->step(-1); });
    add(menu, u"nextRun"_s, tr("&Next run"), QKeySequence(Qt::ALT | Qt::Key_Down), [this] { panel_->step(1); });
    QAction* const separator = new QAction(this);
    separator->setSeparator(true);
    QAction* const export_csv = findChild<QAction*>(u"exportCsv"_s);
    QAction* const remove = findChild<QAction*>(u"deleteRuns"_s);
    for_edits_ = {rename, tag_menu_->menuAction(), read, remove};
    panel_->setContextActions({rename, tag_menu_->menuAction(), export_csv, separator, remove});
}

void MainWindow::buildHelpMenu() {
    QMenu& menu = *menuBar()->addMenu(tr("&Help"));
    add(menu, u"shortcuts"_s, tr("&Keyboard shortcuts"), QKeySequence(Qt::Key_F1), [this] {
        auto* const dialog = new ShortcutsDialog(*menuBar(), this);
        dialog->setAttribute(Qt::WA_DeleteOnClose);
        dialog->open();
    });
    add(menu, u"safety"_s, tr("&Safety"), {}, [this] {
        auto* const dialog = new SafetyDialog(this);
        dialog->setAttribute(Qt::WA_DeleteOnClose);
        dialog->open();
    });
    menu.addSeparator();
    add(menu, u"about"_s, tr("&About Potwatch"), {}, [this] {
        auto* const dialog = new AboutDialog(this);
        dialog->setAttribute(Qt::WA_DeleteOnClose);
        dialog->open();
    })->setMenuRole(QAction::AboutRole);
}

void MainWindow::fillRecentMenu() {
    recent_menu_->clear();
    for (const QString& path : settings_.recent(QString::fromLatin1(recent_books))) {
        QString shown = QFileInfo(path).completeBaseName() + u"  ("_s + QFileInfo(path).absolutePath() + u')';
        QAction* const action = recent_menu_->addAction(shown.replace(u'&', u"&&"_s));
        connect(action, &QAction::triggered, this, [this, path] { openBook(path); });
    }
}

void MainWindow::fillTagMenu() {
    tag_menu_->clear();
    const std::vector<book::RunId> chosen = chosenRuns();
    for (const std::string& tag : session::tagsOf(book_->runs())) {
        const QString word = QString::fromStdString(tag);
        QAction* const action = tag_menu_->addAction(QString(word).replace(u'&', u"&&"_s));
        action->setCheckable(true);
        action->setChecked(std::all_of(chosen.begin(), chosen.end(), [&](const book::RunId& id) {
            const session::ListedRun* const run = book_->run(id);
            return run != nullptr &&
                   std::find(run->row.notes.tags.begin(), run->row.notes.tags.end(), tag) != run->row.notes.tags.end();
        }));
        connect(action, &QAction::triggered, this, [this, word](bool on) { book_->setTag(chosenRuns(), word, on); });
    }
    if (!tag_menu_->isEmpty()) {
        tag_menu_->addSeparator();
    }
    add(*tag_menu_, u"newTag"_s, tr("&New tag..."), {}, [this] { newTag(); });
}

} // namespace potwatch::window
