// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/report_document.h"
#include "app/session/news.h"

#include <QObject>
#include <QString>
#include <QTimer>

#include <cstdint>
#include <functional>
#include <memory>
#include <vector>

namespace potwatch::window {

class LibraryLink;

struct MadeReport {
    std::shared_ptr<report::ReportDocument> document; // null where none of the runs can be reported on
    std::vector<session::LeftOutRun> left_out;
};

// Makes reports of runs of the book: the library reads and analyses them, then they are drawn here, a little at a time
// (Qt draws scenes on the window's thread alone). One at a time: the latest wins.
class ReportMaker : public QObject {
    Q_OBJECT

public:
    using Then = std::function<void(const MadeReport& made)>;

    explicit ReportMaker(LibraryLink& link, QObject* parent = nullptr);

    // `then` is called once it is made, never within this call, and not at all where another was wanted first.
    void make(const std::vector<book::RunId>& ids, session::ReportWish wish, Then then);
    void stop();

Q_SIGNALS:
    void working(double fraction, const QString& words);

private:
    void gathered(const session::ReportGathered& news);
    void draw();

    LibraryLink& link_;
    std::uint64_t ticket_ = 0;
    session::ReportWish wish_;
    Then then_;
    MadeReport making_;
    QTimer draw_soon_;
};

} // namespace potwatch::window
