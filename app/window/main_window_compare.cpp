// SPDX-License-Identifier: GPL-3.0-or-later
// The window around the page Compare: the runs that stand in the book's list, analysed by the library as they are
// needed, and the one that is chosen there lit up.
#include "app/window/book/book_panel.h"
#include "app/window/compare/compare_page.h"
#include "app/window/library_link.h"
#include "app/window/main_window.h"

#include <QStackedWidget>

#include <algorithm>

namespace potwatch::window {

void MainWindow::listenToCompare() {
    if (compare_ != nullptr) {
        return;
    }
    compare_ = new ComparePage(pages_);
    compare_->restore(settings_);
    pages_->addWidget(compare_);
    connect(link_, &LibraryLink::toCompareReady, this, [this](const session::RunsToCompareReady& news) {
        if (news.ticket == compare_ticket_) {
            compare_->setRuns(news.runs, news.left);
        }
    });
    connect(panel_, &BookPanel::listedChanged, this, [this] {
        if (page_ == compare_page) {
            showCompare();
        }
    });
    connect(book_, &OpenBook::shownChanged, compare_, [this] { compare_->setLit(book_->shownId()); });
    connect(compare_, &ComparePage::runWanted, this, [this](const book::RunId& id) {
        book_->show(id);
        goTo(analyse_page);
    });
    connect(compare_, &ComparePage::stopWanted, this, [this] {
        ++compare_ticket_; // what is still told of it is of no use
        link_->library().stopGathering();
    });
    connect(compare_, &ComparePage::photoNeeded, this, [this](const book::RunId& id, const QString& name) {
        link_->library().readPhoto(id, name.toStdString(), false);
    });
    connect(compare_, &ComparePage::photoWanted, this, [this](const book::RunId& id, const QString& name) {
        link_->library().readPhoto(id, name.toStdString(), true);
    });
    connect(compare_, &ComparePage::printWanted, this, &MainWindow::printPage);
    connect(compare_, &ComparePage::message, this, &MainWindow::say);
}

void MainWindow::showCompare() {
    std::vector<book::RunId> ids;
    for (const book::RunId& id : panel_->listedRuns()) {
        const session::ListedRun* const run = book_->run(id);
        if (run != nullptr && !run->row.notes.batch.blank && run->row.state != book::RunState::recording) {
            ids.push_back(id);
        }
    }
    compare_->setBook(book_->runs(), ids.size());
    // The list is told anew with every finding; only what is stated of the runs, or other runs, ask for an analysis.
    const auto same_notes = [](const session::ListedRun& a, const session::ListedRun& b) {
        return a.row.id == b.row.id && a.row.samples == b.row.samples && a.row.withdrawn == b.row.withdrawn &&
               a.row.notes == b.row.notes;
    };
    if (ids == compared_ids_ && std::equal(compared_book_.begin(), compared_book_.end(), book_->runs().begin(),
                                           book_->runs().end(), same_notes)) {
        return;
    }
    const bool is_first = compared_ids_.empty();
    compared_ids_ = ids;
    compared_book_ = book_->runs();
    link_->library().gatherToCompare(ids, ++compare_ticket_);
    if (is_first) {
        compare_->setLit(book_->shownId());
    }
}

void MainWindow::forgetCompare() {
    ++compare_ticket_;
    compared_ids_.clear();
    compared_book_.clear();
    if (compare_ != nullptr) {
        compare_->forget();
    }
}

} // namespace potwatch::window
