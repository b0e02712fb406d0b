// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/book_list.h"
#include "app/session/report_wish.h"
#include "app/window/report/check_list.h"

#include <QString>

#include <cstddef>
#include <string>
#include <vector>

namespace potwatch::window {

// What a report is to be made of, as the person has chosen it: sections and runs, each ticked or not, in an order.
class ReportChoice {
public:
    // "summary,batch,-trace": as it is remembered; a section that is not named is ticked, and stands behind the one
    // that it stands behind by default.
    explicit ReportChoice(const QString& remembered = {});
    [[nodiscard]] QString text() const;

    [[nodiscard]] const std::vector<CheckList::Line>& sections() const { return sections_; }
    void setSections(std::vector<CheckList::Line> sections) { sections_ = std::move(sections); }
    // With the day of today; without what so few runs cannot have.
    [[nodiscard]] session::ReportWish wish() const;

    // The runs of the book. What is there already keeps its place and its tick; what is new comes at the end, unticked.
    void setBook(const std::vector<session::ListedRun>& runs);
    [[nodiscard]] const std::vector<CheckList::Line>& runs() const { return lines_; }
    void setRuns(std::vector<CheckList::Line> lines);
    void chooseOnly(const std::vector<book::RunId>& ids);
    [[nodiscard]] std::vector<book::RunId> chosenRuns() const;
    [[nodiscard]] QString nameOf(const book::RunId& id) const;

    // What of the chosen runs a report hangs on: where it is another, the report is out of date.
    struct RunState {
        book::RunId id;
        std::string name;
        std::size_t samples = 0;
        book::Notes notes;

        bool operator==(const RunState&) const = default;
    };
    [[nodiscard]] std::vector<RunState> state() const;

private:
    void seeWhatCanBe();

    std::vector<CheckList::Line> sections_;
    std::vector<CheckList::Line> lines_;
    std::vector<session::ListedRun> book_;
};

} // namespace potwatch::window
