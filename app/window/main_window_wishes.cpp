// SPDX-License-Identifier: GPL-3.0-or-later
// What the person asks the window for, and what the book answers.
#include "app/session/book_runs.h"
#include "app/window/analyse/analyse_page.h"
#include "app/window/book/book_panel.h"
#include "app/window/compare/compare_page.h"
#include "app/window/import/import_dialog.h"
#include "app/window/library_link.h"
#include "app/window/look.h"
#include "app/window/main_window.h"
#include "app/window/notice_bar.h"
#include "app/window/photo_dialog.h"

#include <QAction>
#include <QApplication>
#include <QFileDialog>
#include <QFileInfo>
#include <QInputDialog>
#include <QMenu>
#include <QStackedWidget>

#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

const QString ending = QString::fromStdString(std::string(session::book_ending));

QString bookFilter() {
    return MainWindow::tr("Batch books (*%1);;All files (*)").arg(ending);
}

QString withEnding(const QString& path) {
    return QFileInfo(path).suffix().isEmpty() ? path + ending : path;
}

bool isBatchFile(const QString& file) {
    return file.endsWith(u".toml"_s, Qt::CaseInsensitive);
}

} // namespace

QString MainWindow::lastFolder() const {
    return settings_.text(QString::fromLatin1(last_folder));
}

void MainWindow::rememberFolder(const QString& file) {
    settings_.setText(QString::fromLatin1(last_folder), QFileInfo(file).absolutePath());
}

void MainWindow::newBook() {
    const QString path =
        QFileDialog::getSaveFileName(this, tr("New book"), lastFolder() + u"/batch book"_s + ending, bookFilter());
    if (!path.isEmpty()) {
        rememberFolder(path);
        if (QFileInfo::exists(withEnding(path))) {
            // The file dialog has asked, but a book is somebody's work: it is opened, never written over.
            say(tr("There is a book of that name already: it is opened"));
        }
        book_->open(withEnding(path), book::Access::create);
    }
}

void MainWindow::chooseBook() {
    const QString path = QFileDialog::getOpenFileName(this, tr("Open a book"), lastFolder(), bookFilter());
    if (!path.isEmpty()) {
        rememberFolder(path);
        openBook(path);
    }
}

void MainWindow::openBook(const QString& path) {
    notices_->clear();
    book_->open(path, book::Access::write);
}

void MainWindow::chooseFiles() {
    const QStringList files = QFileDialog::getOpenFileNames(
        this, tr("Import tables"), lastFolder(), tr("Tables (*.csv *.tsv *.txt *.dat *.log *.asc);;All files (*)"));
    if (!files.isEmpty()) {
        rememberFolder(files.front());
        importFiles(files);
    }
}

void MainWindow::wantBook() {
    if (book_->state() == OpenBook::State::none) {
        book_->open(books_.standard, book::Access::create);
    }
}

void MainWindow::importFiles(const QStringList& files) {
    if (book_->isReadOnly()) {
        Q_EMIT book_->editRefused();
        return;
    }
    auto* const dialog = new ImportDialog(*link_, files, this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    connect(dialog, &QDialog::accepted, this, [this, dialog] {
        wantBook();
        book_->import(dialog->wanted());
    });
    dialog->open();
}

void MainWindow::openFiles(const QStringList& files) {
    QStringList tables;
    for (const QString& file : files) {
        if (file.endsWith(ending)) {
            openBook(file);
        } else if (isBatchFile(file)) {
            link_->library().readBatch(file.toStdString());
        } else {
            tables += file;
        }
    }
    if (!tables.isEmpty()) {
        rememberFolder(tables.front());
        importFiles(tables);
    }
}

void MainWindow::importDemo() {
    book_->importDemo(books_.demo);
}

void MainWindow::exportRuns() {
    const std::vector<book::RunId> runs = chosenRuns();
    if (runs.size() == 1) {
        const session::ListedRun* const run = book_->run(runs.front());
        const QString name = run == nullptr ? u"run"_s : QString::fromStdString(run->row.name).replace(u' ', u'-');
        const QString path = QFileDialog::getSaveFileName(
            this, tr("Export run as CSV"), lastFolder() + u'/' + name + u".csv"_s, tr("CSV files (*.csv)"), nullptr,
            QFileDialog::DontConfirmOverwrite); // what is there is never written over
        if (!path.isEmpty()) {
            rememberFolder(path);
            link_->library().exportRun(runs.front(), path.toStdString());
        }
        return;
    }
    const QString folder =
        QFileDialog::getExistingDirectory(this, tr("Export runs as CSV into a folder"), lastFolder());
    if (!folder.isEmpty()) {
        settings_.setText(QString::fromLatin1(last_folder), folder);
        link_->library().exportRuns(runs, folder.toStdString());
    }
}

void MainWindow::exportBatch() {
    const session::ListedRun* const run = book_->run(book_->shownId());
    if (run == nullptr) {
        return;
    }
    const QString name = QString::fromStdString(run->row.name).replace(u' ', u'-');
    const QString path = QFileDialog::getSaveFileName(
        this, tr("Export batch file"), lastFolder() + u'/' + name + u".batch.toml"_s, tr("Batch files (*.batch.toml)"));
    if (!path.isEmpty()) {
        rememberFolder(path);
        link_->library().exportBatch(run->row.id, path.toStdString());
    }
}

void MainWindow::readBatch() {
    const QString path = QFileDialog::getOpenFileName(this, tr("Read a batch file into this run"), lastFolder(),
                                                      tr("Batch files (*.toml);;All files (*)"));
    if (!path.isEmpty()) {
        rememberFolder(path);
        link_->library().readBatch(path.toStdString());
    }
}

void MainWindow::saveCopy() {
    const QString name = QFileInfo(book_->path()).completeBaseName() + tr(" copy") + ending;
    const QString path =
        QFileDialog::getSaveFileName(this, tr("Save a copy of the book"), lastFolder() + u'/' + name, bookFilter());
    if (!path.isEmpty()) {
        rememberFolder(path);
        link_->library().copyBook(withEnding(path).toStdString());
    }
}

void MainWindow::repair(const QString& path) {
    const QFileInfo damaged(path);
    const QString proposed = damaged.absolutePath() + u'/' + damaged.completeBaseName() + tr(" repaired") + ending;
    const QString to = QFileDialog::getSaveFileName(this, tr("Make a repaired copy"), proposed, bookFilter());
    if (!to.isEmpty()) {
        say(tr("Saving what can be read..."));
        link_->library().repair(path.toStdString(), withEnding(to).toStdString());
    }
}

void MainWindow::deleteRuns() {
    const std::vector<book::RunId> runs = chosenRuns();
    if (runs.empty()) {
        return;
    }
    book_->withdraw(runs);
    say(runs.size() == 1 ? tr("Deleted. Undo brings it back (Ctrl+Z)")
                         : tr("%1 runs deleted. Undo brings them back (Ctrl+Z)").arg(runs.size()));
}

void MainWindow::newTag() {
    bool accepted = false;
    const QString tag =
        QInputDialog::getText(this, tr("New tag"), tr("Tag for the selected runs:"), QLineEdit::Normal, {}, &accepted);
    if (accepted) {
        book_->setTag(chosenRuns(), tag, true);
    }
}

void MainWindow::stepPane(int step) {
    std::vector<std::function<void()>> panes;
    std::vector<const QWidget*> areas;
    const auto offer = [&](const QWidget* area, std::function<void()> enter) {
        if (area->isVisible()) {
            areas.push_back(area);
            panes.push_back(std::move(enter));
        }
    };
    offer(panel_, [this] { panel_->focusList(); });
    QWidget* const page = pages_->currentWidget();
    offer(page, [page] {
        if (page->focusPolicy() != Qt::NoFocus) {
            page->setFocus(Qt::ShortcutFocusReason);
        } else if (QWidget* const first = page->nextInFocusChain()) {
            for (QWidget* widget = first; widget != page; widget = widget->nextInFocusChain()) {
                if (page->isAncestorOf(widget) && widget->isVisible() && widget->isEnabled() &&
                    (widget->focusPolicy() & Qt::TabFocus) != 0) {
                    widget->setFocus(Qt::ShortcutFocusReason);
                    break;
                }
            }
        }
    });
    if (panes.empty()) {
        return;
    }
    const QWidget* const focused = QApplication::focusWidget();
    int now = -1;
    for (std::size_t i = 0; i < areas.size(); ++i) {
        now =
            focused != nullptr && (areas[i] == focused || areas[i]->isAncestorOf(focused)) ? static_cast<int>(i) : now;
    }
    const int count = static_cast<int>(panes.size());
    panes[static_cast<std::size_t>(((now + step) % count + count) % count)]();
}

void MainWindow::changeTextSize(int percent) {
    settings_.setTextPercent(percent);
    applyTextPercent(*qApp, settings_.textPercent());
    say(tr("Text size %1 %").arg(settings_.textPercent()));
}

void MainWindow::bookOpened(const session::BookOpened& news) {
    forgetFit();
    forgetCompare();
    const QString path = QString::fromStdString(news.path);
    settings_.addRecent(QString::fromLatin1(recent_books), path);
    settings_.setText(QString::fromLatin1(last_book), path);
    recent_menu_->menuAction()->setEnabled(true);
    notices_->take(u"refused"_s);
    if (news.not_writable) {
        const QString why = QString::fromStdString(news.not_writable->what);
        notices_->say(
            u"read-only"_s,
            tr("%1 %2: it is open for reading, and changes are not kept").arg(QFileInfo(path).fileName(), why), {},
            true, {{.text = tr("Save a copy..."), .act = [this] { saveCopy(); }, .closes = false}});
    }
    for (const std::string& notice : news.notices) {
        const QString text = QString::fromStdString(notice);
        notices_->say(text, text, {}, false);
    }
    if (!files_to_open_.isEmpty()) {
        openFiles(std::exchange(files_to_open_, {}));
    }
}

void MainWindow::bookRefused(const session::BookRefused& news) {
    const QString path = QString::fromStdString(news.path);
    std::vector<NoticeAction> actions;
    if (news.repairable) {
        actions.push_back(
            {.text = tr("Make a repaired copy..."), .act = [this, path] { repair(path); }, .closes = false});
    } else if (news.fault.kind == FaultKind::storage) {
        actions.push_back({.text = tr("Try again"), .act = [this, path] { openBook(path); }});
    }
    actions.push_back({.text = tr("Open another..."), .act = [this] { chooseBook(); }, .closes = false});
    notices_->say(u"refused"_s, whatText(news.fault), remedyText(news.fault), true, std::move(actions));
    settings_.removeRecent(QString::fromLatin1(recent_books), path);
    files_to_open_.clear();
}

void MainWindow::imported(const session::ImportEnded& news) {
    int fresh = 0;
    int known = 0;
    int refused = 0;
    for (const session::ImportedFile& file : news.files) {
        if (file.id.empty()) {
            ++refused;
            const bool stopped = !file.faults.empty() && file.faults.front().kind == FaultKind::cancelled;
            if (!stopped && !file.faults.empty()) {
                Fault fault = file.faults.front();
                fault.remedy = inDialogWords(remedyText(fault)).toStdString();
                sayFault(QString::fromStdString(file.file), {}, fault);
            }
            continue;
        }
        if (file.was_there && !file.was_withdrawn) {
            ++known;
        } else {
            ++fresh;
        }
        if (run_to_show_.empty()) {
            run_to_show_ = file.id;
        }
    }
    QStringList parts;
    if (fresh > 0) {
        parts += fresh == 1 ? tr("1 run imported") : tr("%1 runs imported").arg(fresh);
    }
    if (known > 0) {
        parts += known == 1 ? tr("1 was in the book already") : tr("%1 were in the book already").arg(known);
    }
    if (news.stopped) {
        parts += tr("stopped");
    } else if (refused > 0) {
        parts += refused == 1 ? tr("1 file could not be imported") : tr("%1 files could not be imported").arg(refused);
    }
    say(parts.join(u", "_s));
    if (!run_to_show_.empty() && book_->run(run_to_show_) != nullptr) {
        book_->show(std::exchange(run_to_show_, {}));
    }
}

void MainWindow::showPhoto(const session::PhotoRead& news) {
    if (!news.large) {
        if (analyse_ != nullptr && news.id == book_->shownId()) {
            analyse_->setPhoto(QString::fromStdString(news.photo.name), QByteArray::fromStdString(news.photo.bytes));
        }
        if (compare_ != nullptr) {
            compare_->setPhoto(news.id, QString::fromStdString(news.photo.name),
                               QByteArray::fromStdString(news.photo.bytes));
        }
        return;
    }
    auto* const dialog =
        new PhotoDialog(QString::fromStdString(news.photo.name), QByteArray::fromStdString(news.photo.bytes), this);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->open();
}

} // namespace potwatch::window
