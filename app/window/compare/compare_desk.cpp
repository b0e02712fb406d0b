// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/compare_desk.h"

#include "app/window/out_of_memory.h"

#include <QMetaObject>

#include <algorithm>
#include <utility>

namespace potwatch::window {

std::optional<std::size_t> ComparedSet::indexOf(const book::RunId& id) const {
    const auto found = std::find(ids.begin(), ids.end(), id);
    return found == ids.end() ? std::nullopt : std::optional(static_cast<std::size_t>(found - ids.begin()));
}

CompareDesk::CompareDesk(QObject* parent)
    : QObject(parent)
    , runs_(std::make_shared<const std::vector<session::RunToCompare>>()) {
    worker_.tellGivenUp([this] { tellMemoryRanOut(*this); });
}

CompareDesk::~CompareDesk() {
    worker_.end();
}

void CompareDesk::setRuns(std::shared_ptr<const std::vector<session::RunToCompare>> runs, std::size_t left) {
    const bool same = runs->size() == runs_->size() &&
                      std::equal(runs->begin(), runs->end(), runs_->begin(), [](const auto& a, const auto& b) {
                          return a.id == b.id && a.run == b.run && a.photos == b.photos;
                      });
    left_ = left;
    runs_ = std::move(runs);
    Q_EMIT runsChanged();
    if (!same) {
        compare();
    }
}

const session::RunToCompare* CompareDesk::run(const book::RunId& id) const {
    const auto found = std::find_if(runs_->begin(), runs_->end(), [&](const auto& run) { return run.id == id; });
    return found == runs_->end() ? nullptr : &*found;
}

void CompareDesk::setTicked(const book::RunId& id, bool ticked) {
    const bool changed = ticked ? unticked_.erase(id) > 0 : unticked_.insert(id).second;
    if (changed) {
        Q_EMIT ticksChanged();
        compare();
    }
}

void CompareDesk::setAllTicked(bool ticked) {
    for (const session::RunToCompare& run : *runs_) {
        if (ticked) {
            unticked_.erase(run.id);
        } else {
            unticked_.insert(run.id);
        }
    }
    Q_EMIT ticksChanged();
    compare();
}

void CompareDesk::setUnticked(std::set<book::RunId> ids) {
    unticked_ = std::move(ids);
    Q_EMIT ticksChanged();
    compare();
}

std::size_t CompareDesk::tickedCount() const {
    return static_cast<std::size_t>(std::count_if(
        runs_->begin(), runs_->end(), [this](const auto& run) { return run.run != nullptr && isTicked(run.id); }));
}

void CompareDesk::setRequest(const session::CompareRequest& request) {
    const bool same = request.x == request_.x && request.y == request_.y && request.limit == request_.limit &&
                      request.align == request_.align && request.form == request_.form;
    if (!same) {
        request_ = request;
        Q_EMIT requestChanged();
        compare();
    }
}

void CompareDesk::setLit(const book::RunId& id) {
    if (id != lit_) {
        lit_ = id;
        Q_EMIT litChanged();
    }
}

void CompareDesk::compare() {
    std::vector<session::RunToCompare> chosen;
    for (const session::RunToCompare& run : *runs_) {
        if (run.run != nullptr && isTicked(run.id)) {
            chosen.push_back(run);
        }
    }
    if (chosen.empty()) {
        worker_.cancel("compare");
        compared_.reset();
        Q_EMIT comparedChanged();
        return;
    }
    worker_.postLatest("compare", [this, chosen = std::move(chosen), request = request_](const std::stop_token& stop) {
        auto made = std::make_shared<ComparedSet>();
        for (const session::RunToCompare& run : chosen) {
            made->ids.push_back(run.id);
            made->runs.push_back(*run.run);
        }
        Result<session::Comparison> comparison = session::compareRuns(made->runs, request);
        if (comparison) {
            made->comparison = std::move(*comparison);
        } else {
            made->fault = std::move(comparison.error());
        }
        if (stop.stop_requested()) {
            return; // something newer was chosen
        }
        QMetaObject::invokeMethod(
            this,
            [this, stop, made = std::shared_ptr<const ComparedSet>(std::move(made))] {
                if (!stop.stop_requested()) {
                    compared_ = made;
                    Q_EMIT comparedChanged();
                }
            },
            Qt::QueuedConnection);
    });
}

} // namespace potwatch::window
