// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/library_link.h"

#include <QMetaObject>

#include <utility>
#include <variant>

namespace potwatch::window {
namespace {

template<class... Handlers>
struct Overloaded : Handlers... {
    using Handlers::operator()...;
};
template<class... Handlers>
Overloaded(Handlers...) -> Overloaded<Handlers...>;

} // namespace

LibraryLink::LibraryLink(QObject* parent)
    : QObject(parent)
    , library_(std::make_unique<session::Library>([this](session::News news) {
        QMetaObject::invokeMethod(
            this, [this, news = std::move(news)] { tell(news); }, Qt::QueuedConnection);
    })) {}

LibraryLink::~LibraryLink() {
    library_.reset(); // it may still tell something: to this object, while it is whole
}

void LibraryLink::tell(const session::News& news) {
    std::visit(Overloaded{[this](const session::BookOpened& it) { Q_EMIT bookOpened(it); },
                          [this](const session::BookRefused& it) { Q_EMIT bookRefused(it); },
                          [this](const session::BookListed& it) { Q_EMIT bookListed(it); },
                          [this](const session::RunShown& it) { Q_EMIT runShown(it); },
                          [this](const session::Analysing& it) { Q_EMIT analysing(it); },
                          [this](const session::Refreshing& it) { Q_EMIT refreshing(it); },
                          [this](const session::PreviewReady& it) { Q_EMIT previewReady(it); },
                          [this](const session::Working& it) { Q_EMIT working(it); },
                          [this](const session::ImportEnded& it) { Q_EMIT imported(it); },
                          [this](const session::Fitting& it) { Q_EMIT fitting(it); },
                          [this](const session::FitEnded& it) { Q_EMIT fitEnded(it); },
                          [this](const session::RunsToCompareReady& it) { Q_EMIT toCompareReady(it); },
                          [this](const session::ReportGathering& it) { Q_EMIT reportGathering(it); },
                          [this](const session::ReportGathered& it) { Q_EMIT reportGathered(it); },
                          [this](const session::BatchRead& it) { Q_EMIT batchRead(it); },
                          [this](const session::PhotoAdded& it) { Q_EMIT photoAdded(it); },
                          [this](const session::PhotoRead& it) { Q_EMIT photoRead(it); },
                          [this](const session::Done& it) { Q_EMIT done(it); },
                          [this](const session::Failed& it) { Q_EMIT failed(it); },
                          [this](const session::Repaired& it) { Q_EMIT repaired(it); },
                          [this](const session::Drained&) { Q_EMIT drained(); }},
               news);
}

} // namespace potwatch::window
