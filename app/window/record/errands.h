// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/worker.h"
#include "app/window/out_of_memory.h"

#include <QObject>

#include <memory>
#include <utility>

namespace potwatch::window {

// What a page needs of files and devices, fetched beside the window's thread, one after another. Nothing is taken any
// more once this is gone.
class Errands : public QObject {
public:
    explicit Errands(QObject* parent = nullptr)
        : QObject(parent) {
        worker_.tellGivenUp([this] { tellMemoryRanOut(*this); });
    }

    // `fetch` runs on a thread of its own; what it returns is handed to `take` on the window's.
    template<class Fetch, class Take>
    void run(Fetch fetch, Take take) {
        worker_.post([this, fetch = std::move(fetch), take = std::move(take)](const std::stop_token& stop) {
            if (stop.stop_requested()) {
                return;
            }
            auto fetched = std::make_shared<decltype(fetch())>(fetch());
            QMetaObject::invokeMethod(
                this, [take, fetched] { take(std::move(*fetched)); }, Qt::QueuedConnection);
        });
    }

private:
    session::Worker worker_;
};

} // namespace potwatch::window
