// SPDX-License-Identifier: GPL-3.0-or-later
// The window around a recording: the page, the book it goes into, and its findings as soon as it stops.
#include "app/session/book_list.h"
#include "app/window/compare/compare_page.h"
#include "app/window/library_link.h"
#include "app/window/main_window.h"
#include "app/window/notice_bar.h"
#include "app/window/rail.h"
#include "app/window/record/record_page.h"

#include <QStackedWidget>

#include <utility>

namespace potwatch::window {

using namespace Qt::StringLiterals;

namespace {

QString warningNotice() {
    return u"recording"_s;
}

} // namespace

void MainWindow::goTo(Page page) {
    if (page_ == compare_page && page != compare_page) {
        link_->library().stopGathering();
    }
    page_ = page;
    rail_->setPage(page);
    if (page == record_page) {
        listenToRecording();
        notices_->take(warningNotice()); // it is seen there
        pages_->setCurrentWidget(record_);
        showPage();
        showActions();
        return;
    }
    showActions();
    if (page == report_page) {
        showReport();
        return;
    }
    if (page == compare_page) {
        listenToCompare();
        compared_ids_.clear(); // asked for anew: a photo may have been added
        pages_->setCurrentWidget(compare_);
        showPage();
        compare_->setFocus();
        return;
    }
    showPage();
    showRun();
}

void MainWindow::listenToRecording() {
    if (record_ != nullptr) {
        return;
    }
    const auto book = [this] {
        const bool is_usable = book_->state() == OpenBook::State::open && !book_->isReadOnly();
        return is_usable ? book_->path() : books_.standard;
    };
    record_ = new RecordPage(settings_, book, pages_);
    pages_->addWidget(record_);
    record_->lookForPorts();
    connect(record_, &RecordPage::ended, this, &MainWindow::recordingEnded);
    connect(record_, &RecordPage::warned, this, [this](const QString& what, const QString& advice) {
        if (page_ != record_page) {
            notices_->say(warningNotice(), tr("the pot that is recorded: %1").arg(what), advice, true,
                          {{.text = tr("Show it"), .act = [this] { goTo(record_page); }}});
        }
    });
    connect(record_, &RecordPage::began, this, [this, book] {
        say(tr("Recording into %1").arg(book()));
        recorded_into_ = book();
    });
}

void MainWindow::showPrevious() {
    const session::ListedRun* last = nullptr;
    for (const session::ListedRun& run : book_->runs()) {
        if (!run.row.withdrawn && (last == nullptr || session::momentOf(run.row) > session::momentOf(last->row))) {
            last = &run;
        }
    }
    if (!record_->isRecording()) {
        record_->setPrevious(last == nullptr ? std::nullopt : std::optional(last->row.notes.batch),
                             last == nullptr ? std::string() : last->row.name);
    }
}

void MainWindow::recordingEnded(const session::RecordingEnded& news) {
    notices_->take(warningNotice());
    if (std::exchange(closing_, false)) {
        close();
        return;
    }
    if (news.id.empty()) {
        return;
    }
    say(tr("Recorded: %1 samples are in the book").arg(news.scans));
    recorded_into_ = QString::fromStdString(news.book);
    tellKnowPot(news.id);
    run_to_show_ = news.id;
    goTo(analyse_page);
    if (book_->path() != recorded_into_) {
        openBook(recorded_into_);
    } else if (book_->run(run_to_show_) != nullptr) {
        book_->show(std::exchange(run_to_show_, {}));
    }
}

} // namespace potwatch::window
