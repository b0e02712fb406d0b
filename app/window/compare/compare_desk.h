// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/book_list.h"
#include "app/session/compare.h"
#include "app/session/news.h"
#include "app/session/worker.h"

#include <QObject>
#include <QString>

#include <cstddef>
#include <memory>
#include <optional>
#include <set>
#include <vector>

namespace potwatch::window {

// A comparison with the runs it is of, in its order.
struct ComparedSet {
    std::vector<book::RunId> ids;
    std::vector<compare::ComparedRun> runs;
    session::Comparison comparison;
    std::optional<Fault> fault; // then there is no comparison

    [[nodiscard]] std::optional<std::size_t> indexOf(const book::RunId& id) const;
};

// What the page Compare is about: the runs that there are, which of them are ticked, what the person chose, what came
// of it, and the one run that is lit up. It compares on a thread of its own; the latest choice wins.
class CompareDesk : public QObject {
    Q_OBJECT

public:
    explicit CompareDesk(QObject* parent = nullptr);
    ~CompareDesk() override;

    // As the library tells them; `left` are still being analysed.
    void setRuns(std::shared_ptr<const std::vector<session::RunToCompare>> runs, std::size_t left);
    [[nodiscard]] const std::vector<session::RunToCompare>& runs() const { return *runs_; }
    [[nodiscard]] std::size_t left() const { return left_; }
    [[nodiscard]] const session::RunToCompare* run(const book::RunId& id) const;

    // Every run is ticked at first; what was unticked stays so, also when it goes away and comes back.
    [[nodiscard]] bool isTicked(const book::RunId& id) const { return !unticked_.contains(id); }
    void setTicked(const book::RunId& id, bool ticked);
    void setAllTicked(bool ticked); // of the runs that there are
    [[nodiscard]] const std::set<book::RunId>& unticked() const { return unticked_; }
    void setUnticked(std::set<book::RunId> ids);
    [[nodiscard]] std::size_t tickedCount() const; // that could be analysed

    [[nodiscard]] const session::CompareRequest& request() const { return request_; }
    void setRequest(const session::CompareRequest& request);

    [[nodiscard]] const std::shared_ptr<const ComparedSet>& compared() const { return compared_; } // null: none yet

    [[nodiscard]] const book::RunId& lit() const { return lit_; } // empty = none
    void setLit(const book::RunId& id);

Q_SIGNALS:
    void runsChanged();
    void ticksChanged();
    void requestChanged();
    void comparedChanged();
    void litChanged();

private:
    void compare();

    std::shared_ptr<const std::vector<session::RunToCompare>> runs_;
    std::size_t left_ = 0;
    std::set<book::RunId> unticked_;
    session::CompareRequest request_;
    std::shared_ptr<const ComparedSet> compared_;
    book::RunId lit_;
    session::Worker worker_; // last: it is ended before the rest goes
};

} // namespace potwatch::window
