// SPDX-License-Identifier: GPL-3.0-or-later
// What the data can tell: fits of the book's runs, asked for on the page and made by the library.
#include "app/session/fit_candidates.h"
#include "app/window/analyse/analyse_page.h"
#include "app/window/library_link.h"
#include "app/window/main_window.h"

namespace potwatch::window {

void MainWindow::listenToFits() {
    connect(link_, &LibraryLink::fitting, this, [this](const session::Fitting& news) {
        if (analyse_ != nullptr && news.ticket == fit_ticket_) {
            analyse_->setFitProgress(news.fraction, QString::fromStdString(news.doing));
        }
    });
    connect(link_, &LibraryLink::fitEnded, this, [this](const session::FitEnded& news) {
        if (analyse_ == nullptr || news.ticket != fit_ticket_) {
            return;
        }
        if (news.fitted) {
            analyse_->setFitted(news.fitted);
        } else {
            analyse_->setFitFaults(news.faults);
        }
    });
}

void MainWindow::offerFits() {
    connect(analyse_, &AnalysePage::fitWanted, this,
            [this](const std::vector<book::RunId>& ids, const session::FitFilesOptions& options) {
                link_->library().fitRuns(ids, options, ++fit_ticket_);
            });
    connect(analyse_, &AnalysePage::fitStopWanted, this, [this] {
        ++fit_ticket_; // what is still told of it is of no use
        link_->library().stopFit();
    });
}

void MainWindow::showFitCandidates() {
    if (analyse_ != nullptr) {
        analyse_->setFitCandidates(session::fitCandidates(book_->runs(), book_->shownId()));
    }
}

void MainWindow::forgetFit() {
    ++fit_ticket_;
    link_->library().stopFit();
    if (analyse_ != nullptr) {
        analyse_->forgetFit();
    }
}

} // namespace potwatch::window
