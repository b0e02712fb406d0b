// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/report/report_maker.h"

#include "app/report/drawing.h"
#include "app/window/library_link.h"

#include <QElapsedTimer>

#include <utility>

namespace potwatch::window {
namespace {

// Of the whole work, what the library's part counts as.
constexpr double gathering_share = 0.6;
// At a time; the window answers in between.
constexpr int drawing_ms = 25;

} // namespace

ReportMaker::ReportMaker(LibraryLink& link, QObject* parent)
    : QObject(parent)
    , link_(link) {
    draw_soon_.setSingleShot(true);
    connect(&draw_soon_, &QTimer::timeout, this, &ReportMaker::draw);
    connect(&link_, &LibraryLink::reportGathering, this, [this](const session::ReportGathering& news) {
        if (news.ticket == ticket_ && then_) {
            Q_EMIT working(
                gathering_share * static_cast<double>(news.done) / static_cast<double>(news.of),
                tr("Analysing %1 (%2 of %3)").arg(QString::fromStdString(news.run)).arg(news.done + 1).arg(news.of));
        }
    });
    connect(&link_, &LibraryLink::reportGathered, this, &ReportMaker::gathered);
}

void ReportMaker::make(const std::vector<book::RunId>& ids, session::ReportWish wish, Then then) {
    stop();
    wish_ = std::move(wish);
    then_ = std::move(then);
    link_.library().reportRuns(ids, ticket_);
}

void ReportMaker::stop() {
    ++ticket_; // what is still told of the one before is of no use
    link_.library().stopReport();
    draw_soon_.stop();
    then_ = {};
    making_ = {};
}

void ReportMaker::gathered(const session::ReportGathered& news) {
    if (news.ticket != ticket_ || !then_) {
        return;
    }
    making_.left_out = news.faults;
    if (!news.runs.empty() && report::prepareDrawing()) {
        making_.document = std::make_shared<report::ReportDocument>(news.runs, wish_);
    }
    draw_soon_.start(0);
}

void ReportMaker::draw() {
    QElapsedTimer timer;
    timer.start();
    bool more = making_.document != nullptr;
    while (more && timer.elapsed() < drawing_ms) {
        more = making_.document->make();
    }
    if (more) {
        Q_EMIT working(gathering_share + (1.0 - gathering_share) * making_.document->fractionMade(),
                       tr("Drawing the pages"));
        draw_soon_.start(0);
        return;
    }
    const Then then = std::exchange(then_, {});
    then(std::exchange(making_, {}));
}

} // namespace potwatch::window
