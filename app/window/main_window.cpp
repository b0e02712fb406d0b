// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/main_window.h"

#include "app/session/book_runs.h"
#include "app/window/analyse/analyse_page.h"
#include "app/window/book/book_panel.h"
#include "app/window/compare/compare_page.h"
#include "app/window/library_link.h"
#include "app/window/look.h"
#include "app/window/notice_bar.h"
#include "app/window/rail.h"
#include "app/window/record/record_page.h"
#include "app/window/start_page.h"

#include <QAction>
#include <QApplication>
#include <QCloseEvent>
#include <QDragEnterEvent>
#include <QFileInfo>
#include <QHBoxLayout>
#include <QLabel>
#include <QMessageBox>
#include <QMimeData>
#include <QProgressBar>
#include <QProgressDialog>
#include <QPushButton>
#include <QScreen>
#include <QSplitter>
#include <QStackedWidget>
#include <QStatusBar>
#include <QTimer>
#include <QUrl>
#include <QVBoxLayout>

#include <algorithm>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr int message_ms = 8000;

QStringList filesOf(const QMimeData& data) {
    QStringList files;
    for (const QUrl& url : data.urls()) {
        if (url.isLocalFile()) {
            files += url.toLocalFile();
        }
    }
    return files;
}

} // namespace

MainWindow::MainWindow(Settings& settings, Books books, QWidget* parent)
    : QMainWindow(parent)
    , settings_(settings)
    , books_(std::move(books))
    , link_(new LibraryLink(this))
    , book_(new OpenBook(*link_, this)) {
    setObjectName(u"mainWindow"_s);
    setAcceptDrops(true);
    buildPanes();
    buildMenus();
    listenToBook();
    listenToWork();
    listenToReport();
    panel_->restore(settings_);
    if (!restoreGeometry(settings_.bytes(u"geometry"_s))) {
        const int line = fontMetrics().height();
        const QSize room = screen()->availableSize() * 0.95;
        resize(QSize(line * 92, line * 58).boundedTo(room));
    }
    if (!splitter_->restoreState(settings_.bytes(u"splitter"_s))) {
        splitter_->setSizes({fontMetrics().height() * 17, fontMetrics().height() * 58});
    }
    panel_->setVisible(settings_.flag(u"book/shown"_s, true));
    showPage();
    showTitle();
    showActions();
}

MainWindow::~MainWindow() {
    // What they tell while they go would find half a window.
    book_->undo().disconnect(this);
    book_->disconnect(this);
    link_->disconnect(this);
}

void MainWindow::buildPanes() {
    auto* const whole = new QWidget(this);
    auto* const row = new QHBoxLayout(whole);
    row->setContentsMargins(0, 0, 0, 0);
    row->setSpacing(0);
    rail_ = new Rail(whole);
    rail_->addPage(Sign::recording, tr("Record"), u"railRecord"_s);
    rail_->addPage(Sign::analyse, tr("Analyse"), u"railAnalyse"_s);
    rail_->addPage(Sign::compare, tr("Compare"), u"railCompare"_s);
    rail_->addPage(Sign::report, tr("Report"), u"railReport"_s);
    rail_->setPage(page_);
    row->addWidget(rail_);
    splitter_ = new QSplitter(Qt::Horizontal, whole);
    splitter_->setObjectName(u"mainSplitter"_s);
    splitter_->setChildrenCollapsible(false);
    splitter_->setHandleWidth(1);
    row->addWidget(splitter_, 1);
    panel_ = new BookPanel(*book_, splitter_);
    auto* const right = new QWidget(splitter_);
    auto* const column = new QVBoxLayout(right);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    notices_ = new NoticeBar(right);
    pages_ = new QStackedWidget(right);
    pages_->setObjectName(u"pages"_s);
    start_ = new StartPage(pages_);
    pages_->addWidget(start_);
    column->addWidget(notices_);
    column->addWidget(pages_, 1);
    splitter_->setStretchFactor(0, 0);
    splitter_->setStretchFactor(1, 1);
    setCentralWidget(whole);

    status_ = new QLabel(this);
    status_->setObjectName(u"statusText"_s);
    status_->setTextFormat(Qt::PlainText);
    status_->setIndent(fontMetrics().height() / 2);
    statusBar()->addWidget(status_, 1);
    statusBar()->setSizeGripEnabled(false);
    work_ = new QWidget(this);
    auto* const work_row = new QHBoxLayout(work_);
    work_row->setContentsMargins(0, 0, fontMetrics().height() / 2, 0);
    work_words_ = new QLabel(work_);
    work_words_->setObjectName(u"workText"_s);
    work_words_->setTextFormat(Qt::PlainText);
    work_progress_ = new QProgressBar(work_);
    work_progress_->setObjectName(u"workProgress"_s);
    work_progress_->setAccessibleName(tr("Progress"));
    work_progress_->setRange(0, 1000);
    work_progress_->setTextVisible(false);
    work_progress_->setFixedSize(fontMetrics().height() * 10, fontMetrics().height() * 2 / 3);
    auto* const stop = new QPushButton(tr("Sto&p"), work_);
    stop->setObjectName(u"workStop"_s);
    stop->setAccessibleName(tr("Stop the import"));
    connect(stop, &QPushButton::clicked, this, [this] { link_->library().stopWork(); });
    work_row->addWidget(work_words_);
    work_row->addWidget(work_progress_);
    work_row->addWidget(stop);
    work_->hide();
    statusBar()->addPermanentWidget(work_);

    connect(start_, &StartPage::importWanted, this, &MainWindow::chooseFiles);
    connect(start_, &StartPage::demoWanted, this, &MainWindow::importDemo);
    connect(start_, &StartPage::openWanted, this, &MainWindow::chooseBook);
    connect(panel_, &BookPanel::selectionChanged, this, &MainWindow::showActions);
    connect(panel_, &BookPanel::pageWanted, this, [this] { stepPane(1); }); // the list is the first
    connect(rail_, &Rail::pageChosen, this, [this](int page) { goTo(static_cast<Page>(page)); });
}

void MainWindow::listenToBook() {
    connect(book_, &OpenBook::opened, this, &MainWindow::bookOpened);
    connect(book_, &OpenBook::refused, this, &MainWindow::bookRefused);
    connect(book_, &OpenBook::viewChanged, this, &MainWindow::showRun);
    connect(book_, &OpenBook::busyChanged, this, &MainWindow::showBusy);
    connect(book_, &OpenBook::shownChanged, this, [this] {
        showPage();
        showTitle();
        showActions();
    });
    connect(book_, &OpenBook::stateChanged, this, [this] {
        showPage();
        showTitle();
        showActions();
    });
    connect(book_, &OpenBook::runsChanged, this, [this] {
        showFitCandidates();
        if (!run_to_show_.empty() && book_->run(run_to_show_) != nullptr) {
            book_->show(std::exchange(run_to_show_, {}));
        } else if (book_->shownId().empty() && !book_->runs().empty() && run_to_show_.empty()) {
            panel_->step(1); // something is always looked at
        }
        showPage();
        showTitle();
        showActions();
    });
    connect(book_, &OpenBook::editRefused, this, [this] {
        if (!book_->isReadOnly()) {
            notices_->say(u"being recorded"_s, tr("this run is being recorded, so the change was not kept"),
                          tr("fill in its form on the page Record, or change it when it has ended"), true);
            return;
        }
        notices_->say(u"read-only"_s, tr("this book can only be read, so the change was not kept"),
                      tr("save a copy where you may write, and work on that"), true,
                      {{.text = tr("Save a copy..."), .act = [this] { saveCopy(); }}});
    });
    connect(book_, &OpenBook::imported, this, &MainWindow::imported);
    connect(book_, &OpenBook::imported, this, [this] {
        if (page_ == record_page && !record_->isRecording()) {
            goTo(analyse_page); // where what was imported is seen
        }
    });
    connect(&book_->undo(), &QUndoStack::indexChanged, this, &MainWindow::showActions);
}

void MainWindow::listenToWork() {
    connect(link_, &LibraryLink::working, this, [this](const session::Working& news) {
        if (!link_->library().working()) {
            return;
        }
        work_words_->setText(QString::fromStdString(news.doing));
        work_progress_->setValue(static_cast<int>(1000.0 * news.fraction));
        work_->show();
    });
    const auto rest = [this] { work_->setVisible(link_->library().working()); };
    connect(link_, &LibraryLink::imported, this, rest);
    connect(link_, &LibraryLink::done, this, [this, rest](const session::Done& news) {
        rest();
        say(QString::fromStdString(news.what));
    });
    connect(link_, &LibraryLink::failed, this, [this, rest](const session::Failed& news) {
        rest();
        if (news.fault.kind == FaultKind::cancelled) {
            say(tr("Stopped"));
            return;
        }
        sayFault(u"failed"_s, QString::fromStdString(news.what), news.fault);
    });
    listenToFits();
    connect(link_, &LibraryLink::refreshing, this, [this](const session::Refreshing& news) {
        panel_->setActivity(news.runs_left == 0 ? QString() : tr("analysing %1").arg(news.runs_left));
    });
    connect(link_, &LibraryLink::repaired, this, [this](const session::Repaired& news) {
        QString report;
        for (const std::string& line : news.report) {
            report += (report.isEmpty() ? QString() : u"; "_s) + QString::fromStdString(line);
        }
        const QString path = QString::fromStdString(news.path);
        notices_->say(u"repaired"_s, tr("a repaired copy was made: %1").arg(report), {}, false,
                      {{.text = tr("Open it"), .act = [this, path] { openBook(path); }}});
    });
    connect(link_, &LibraryLink::batchRead, this, [this](const session::BatchRead& news) {
        const QString name = QFileInfo(QString::fromStdString(news.file)).fileName();
        if (!news.batch) {
            sayFault(u"batch"_s, tr("the batch file was not taken"), news.faults.front());
        } else if (book_->shownId().empty()) {
            notices_->say(u"batch"_s, tr("no run is selected that %1 could belong to").arg(name),
                          tr("select the run first"), true);
        } else {
            book_->applyBatch(book_->shownId(), *news.batch, name);
            say(tr("Batch data taken from %1").arg(name));
        }
    });
    connect(link_, &LibraryLink::photoRead, this, &MainWindow::showPhoto);
}

void MainWindow::start(const QString& book, const QStringList& files) {
    files_to_open_ = files;
    // Whole paths: they are remembered, and the next start may be in another folder.
    QString path = book.isEmpty() ? book : QFileInfo(book).absoluteFilePath();
    for (const QString& file : files) {
        // A book among the files is the one to open.
        if (path.isEmpty() && file.endsWith(QString::fromStdString(std::string(session::book_ending)))) {
            path = QFileInfo(file).absoluteFilePath();
            files_to_open_.removeAll(file);
        }
    }
    const QString last = settings_.text(QString::fromLatin1(last_book));
    if (path.isEmpty()) {
        path = QFileInfo::exists(last) ? last : QFileInfo::exists(books_.standard) ? books_.standard : QString();
    }
    if (!path.isEmpty()) {
        run_to_show_ = path == last ? settings_.text(u"last_run"_s).toStdString() : book::RunId();
        // A book that is named and not there yet is made: naming it was asking for it.
        const bool make = !book.isEmpty() && !QFileInfo::exists(path);
        book_->open(path, make ? book::Access::create : book::Access::write);
    } else if (!files_to_open_.isEmpty()) {
        openFiles(std::exchange(files_to_open_, {}));
    }
}

void MainWindow::showPage() {
    const OpenBook& book = *book_;
    const bool has_runs = std::any_of(book.runs().begin(), book.runs().end(),
                                      [](const session::ListedRun& run) { return !run.row.withdrawn; });
    if (book.state() == OpenBook::State::opening) {
        start_->setState(StartPage::State::reading);
    } else if (book.state() == OpenBook::State::none) {
        start_->setState(StartPage::State::noBook);
    } else {
        start_->setState(has_runs ? StartPage::State::noneSelected : StartPage::State::emptyBook);
    }
    // With nothing in it the book panel is only in the way.
    panel_->setVisible(has_runs && show_panel_->isChecked() && page_ != record_page);
    show_panel_->setEnabled(has_runs && page_ != record_page);
    if (page_ == record_page) {
        showPrevious();
        return;
    }
    if (page_ == compare_page) {
        showCompare();
        return;
    }
    if (page_ == report_page) {
        showReportBook();
        return;
    }
    if (book.shownId().empty()) {
        pages_->setCurrentWidget(start_);
    }
    if (focusWidget() == nullptr || rail_->isAncestorOf(focusWidget())) {
        // The keys begin where the work does.
        if (has_runs) {
            panel_->focusList();
        } else {
            start_->focusFirst();
        }
    }
}

void MainWindow::showRun() {
    if (!book_->view()) {
        if (analyse_ != nullptr && book_->shownId().empty()) {
            analyse_->setRun(nullptr);
        }
        return;
    }
    if (analyse_ == nullptr) {
        analyse_ = new AnalysePage(pages_);
        pages_->addWidget(analyse_);
        connect(analyse_, &AnalysePage::notesEdited, this, [this](const book::Notes& notes, const QString& what) {
            book_->editNotes(book_->shownId(), notes, what);
        });
        connect(analyse_, &AnalysePage::photoAdded, this,
                [this](const QString& file) { book_->addPhoto(book_->shownId(), file); });
        connect(analyse_, &AnalysePage::photoWanted, this, [this](const QString& name) {
            link_->library().readPhoto(book_->shownId(), name.toStdString(), true);
        });
        connect(analyse_, &AnalysePage::photoNeeded, this, [this](const QString& name) {
            link_->library().readPhoto(book_->shownId(), name.toStdString(), false);
        });
        connect(analyse_, &AnalysePage::photoRemoved, this,
                [this](const QString& name) { book_->removePhoto(book_->shownId(), name); });
        offerFits();
        connect(analyse_, &AnalysePage::reportWanted, this, &MainWindow::saveShownReport);
        connect(analyse_, &AnalysePage::printWanted, this, &MainWindow::printPage);
        connect(analyse_, &AnalysePage::message, this, &MainWindow::say);
    }
    showFitCandidates();
    analyse_->setRun(book_->view());
    if (page_ == analyse_page) {
        pages_->setCurrentWidget(analyse_);
    }
}

void MainWindow::showBusy(bool busy, double fraction) {
    if (analyse_ != nullptr) {
        analyse_->setBusy(busy, fraction);
    }
}

void MainWindow::showTitle() {
    const QString book = QFileInfo(book_->path()).completeBaseName();
    const session::ListedRun* const run = book_->run(book_->shownId());
    QString title = u"Potwatch"_s;
    if (!book.isEmpty()) {
        title = book + u" - "_s + title;
    }
    if (book_->isReadOnly()) {
        title = tr("%1 (read only)").arg(title);
    }
    if (run != nullptr) {
        title = QString::fromStdString(run->row.name) + u" - "_s + title;
    }
    setWindowTitle(title);
}

void MainWindow::showActions() {
    const bool open = book_->state() == OpenBook::State::open;
    const bool has_run = !chosenRuns().empty();
    for (QAction* const action : for_a_book_) {
        action->setEnabled(open);
    }
    for (QAction* const action : for_a_run_) {
        action->setEnabled(open && has_run);
    }
    for (QAction* const action : for_edits_) {
        action->setEnabled(open && has_run && !book_->isReadOnly());
        action->setStatusTip(book_->isReadOnly() ? tr("This book can only be read") : QString());
    }
    print_->setEnabled(page_ == report_page || page_ == compare_page ||
                       (page_ == analyse_page && !book_->shownId().empty()));
}

void MainWindow::say(const QString& text) {
    status_->setText(text);
    status_->setAccessibleName(text);
    QTimer::singleShot(message_ms, status_, [label = status_, text] {
        if (label->text() == text) {
            label->clear();
        }
    });
}

void MainWindow::sayFault(const QString& subject, const QString& what, const Fault& fault) {
    notices_->say(subject, what.isEmpty() ? whatText(fault) : what + u": "_s + whatText(fault), remedyText(fault),
                  true);
}

std::vector<book::RunId> MainWindow::chosenRuns() const {
    std::vector<book::RunId> chosen = panel_->selectedRuns();
    if (chosen.empty() && !book_->shownId().empty()) {
        chosen.push_back(book_->shownId());
    }
    return chosen;
}

void MainWindow::closeEvent(QCloseEvent* event) {
    saveSettings();
    if (may_close_) {
        event->accept();
        return;
    }
    event->ignore();
    if (closing_) {
        return;
    }
    if (record_ != nullptr && record_->isRecording()) {
        // Nothing is lost: the run is ended, and then the window.
        closing_ = true;
        record_->stop();
        return;
    }
    if (link_->library().working()) {
        QMessageBox ask(QMessageBox::Question, tr("An import is going on"),
                        tr("Stop the import and close? Runs that are in the book already stay there; the others can be "
                           "imported again."),
                        QMessageBox::NoButton, this);
        ask.setObjectName(u"closeQuestion"_s);
        QPushButton* const stop = ask.addButton(tr("&Stop and close"), QMessageBox::AcceptRole);
        ask.addButton(tr("&Go on"), QMessageBox::RejectRole);
        ask.exec();
        if (ask.clickedButton() != stop) {
            return;
        }
        link_->library().stopWork();
    }
    // What was edited is saved as it was made; only the last of it may still be on its way.
    closing_ = true;
    if (QWidget* const editing = QApplication::focusWidget()) {
        editing->clearFocus(); // what is being typed counts
    }
    auto* const waiting = new QProgressDialog(tr("Saving the last changes..."), QString(), 0, 0, this);
    waiting->setObjectName(u"closeProgress"_s);
    waiting->setMinimumDuration(600);
    waiting->setWindowModality(Qt::WindowModal);
    connect(link_, &LibraryLink::drained, this, [this, waiting] {
        waiting->deleteLater();
        may_close_ = true;
        close();
    });
    link_->library().drain();
}

void MainWindow::saveSettings() {
    settings_.setBytes(u"geometry"_s, saveGeometry());
    if (panel_->isVisible()) {
        settings_.setBytes(u"splitter"_s, splitter_->saveState());
    }
    settings_.setFlag(u"book/shown"_s, show_panel_->isChecked());
    if (!book_->path().isEmpty()) {
        settings_.setText(QString::fromLatin1(last_book), book_->path());
        settings_.setText(u"last_run"_s, QString::fromStdString(book_->shownId()));
    }
    panel_->save(settings_);
    if (compare_ != nullptr) {
        compare_->save(settings_);
    }
}

void MainWindow::dragEnterEvent(QDragEnterEvent* event) {
    if (!filesOf(*event->mimeData()).isEmpty()) {
        event->acceptProposedAction();
    }
}

void MainWindow::dropEvent(QDropEvent* event) {
    const QStringList files = filesOf(*event->mimeData());
    if (!files.isEmpty()) {
        event->acceptProposedAction();
        // After the drop has ended: what follows may be a dialog.
        QTimer::singleShot(0, this, [this, files] { openFiles(files); });
    }
}

bool MainWindow::event(QEvent* event) {
    const bool done = QMainWindow::event(event);
    if (event->type() == QEvent::ApplicationPaletteChange) {
        for (QWidget* const widget : findChildren<QWidget*>()) {
            widget->update();
        }
    }
    return done;
}

void MainWindow::changeEvent(QEvent* event) {
    QMainWindow::changeEvent(event);
    if (event->type() == QEvent::PaletteChange && panel_ != nullptr) {
        panel_->setActivity({}); // its quiet colours are made of the palette
    }
}

} // namespace potwatch::window
