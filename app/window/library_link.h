// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/library.h"

#include <QObject>

#include <memory>

namespace potwatch::window {

// Brings the library's news onto the window's thread, each as one queued call with a value.
class LibraryLink : public QObject {
    Q_OBJECT

public:
    explicit LibraryLink(QObject* parent = nullptr);
    ~LibraryLink() override;

    [[nodiscard]] session::Library& library() { return *library_; }

Q_SIGNALS:
    void bookOpened(const potwatch::session::BookOpened& news);
    void bookRefused(const potwatch::session::BookRefused& news);
    void bookListed(const potwatch::session::BookListed& news);
    void runShown(const potwatch::session::RunShown& news);
    void analysing(const potwatch::session::Analysing& news);
    void refreshing(const potwatch::session::Refreshing& news);
    void previewReady(const potwatch::session::PreviewReady& news);
    void working(const potwatch::session::Working& news);
    void imported(const potwatch::session::ImportEnded& news);
    void fitting(const potwatch::session::Fitting& news);
    void fitEnded(const potwatch::session::FitEnded& news);
    void toCompareReady(const potwatch::session::RunsToCompareReady& news);
    void reportGathering(const potwatch::session::ReportGathering& news);
    void reportGathered(const potwatch::session::ReportGathered& news);
    void batchRead(const potwatch::session::BatchRead& news);
    void photoAdded(const potwatch::session::PhotoAdded& news);
    void photoRead(const potwatch::session::PhotoRead& news);
    void done(const potwatch::session::Done& news);
    void failed(const potwatch::session::Failed& news);
    void repaired(const potwatch::session::Repaired& news);
    void drained();

private:
    void tell(const session::News& news);

    std::unique_ptr<session::Library> library_;
};

} // namespace potwatch::window
