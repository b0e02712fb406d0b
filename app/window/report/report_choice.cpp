// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/report/report_choice.h"

#include "app/session/report_run.h"

#include <QStringList>

#include <algorithm>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QString asText(std::string_view words) {
    return QString::fromUtf8(words.data(), static_cast<qsizetype>(words.size()));
}

bool has(const std::vector<CheckList::Line>& lines, const QString& id) {
    return std::any_of(lines.begin(), lines.end(), [&](const CheckList::Line& line) { return line.id == id; });
}

} // namespace

ReportChoice::ReportChoice(const QString& remembered) {
    const auto line = [](session::ReportSection section, bool chosen) {
        return CheckList::Line{
            .id = asText(session::nameOf(section)), .text = asText(session::titleOf(section)), .chosen = chosen};
    };
    for (const QString& word : remembered.split(u',', Qt::SkipEmptyParts)) {
        const bool chosen = !word.startsWith(u'-');
        const std::vector<std::string> name{word.mid(chosen ? 0 : 1).toStdString()};
        const auto known = session::reportSections(name);
        if (known && !has(sections_, asText(name.front()))) {
            sections_.push_back(line(known->front(), chosen));
        }
    }
    auto next = sections_.begin(); // behind the section before it
    for (const session::ReportSection section : session::all_report_sections) {
        const auto found = std::find_if(sections_.begin(), sections_.end(), [&](const CheckList::Line& one) {
            return one.id == asText(session::nameOf(section));
        });
        next = 1 + (found != sections_.end() ? found : sections_.insert(next, line(section, true)));
    }
    seeWhatCanBe();
}

QString ReportChoice::text() const {
    QStringList words;
    for (const CheckList::Line& line : sections_) {
        words += (line.chosen ? QString() : u"-"_s) + line.id;
    }
    return words.join(u',');
}

session::ReportWish ReportChoice::wish() const {
    session::ReportWish wish{.sections = {}, .made_on = session::todayText()};
    for (const CheckList::Line& line : sections_) {
        if (const auto known = session::reportSections(std::vector<std::string>{line.id.toStdString()});
            line.chosen && line.why_not.isEmpty() && known) {
            wish.sections.push_back(known->front());
        }
    }
    return wish;
}

void ReportChoice::setBook(const std::vector<session::ListedRun>& runs) {
    book_ = runs;
    std::vector<CheckList::Line> fresh;
    for (const session::BookLine& line : session::bookLines(book_, {})) {
        const QString id = QString::fromStdString(book_[line.run].row.id);
        const QString name = QString::fromStdString(line.name) + u" \u00b7 "_s + QString::fromStdString(line.date_text);
        fresh.push_back({.id = id, .text = name, .chosen = false});
    }
    std::vector<CheckList::Line> lines;
    for (const CheckList::Line& old : lines_) {
        const auto still =
            std::find_if(fresh.begin(), fresh.end(), [&](const CheckList::Line& line) { return line.id == old.id; });
        if (still != fresh.end()) {
            lines.push_back({.id = old.id, .text = still->text, .chosen = old.chosen});
        }
    }
    for (CheckList::Line& line : fresh) {
        if (!has(lines, line.id)) {
            lines.push_back(std::move(line));
        }
    }
    setRuns(std::move(lines));
}

void ReportChoice::setRuns(std::vector<CheckList::Line> lines) {
    lines_ = std::move(lines);
    seeWhatCanBe();
}

void ReportChoice::seeWhatCanBe() {
    const std::size_t chosen = chosenRuns().size();
    for (CheckList::Line& line : sections_) {
        if (const auto known = session::reportSections(std::vector<std::string>{line.id.toStdString()})) {
            line.why_not = asText(session::whyNot(known->front(), chosen));
        }
    }
}

void ReportChoice::chooseOnly(const std::vector<book::RunId>& ids) {
    for (CheckList::Line& line : lines_) {
        line.chosen = std::find(ids.begin(), ids.end(), line.id.toStdString()) != ids.end();
    }
    seeWhatCanBe();
}

std::vector<book::RunId> ReportChoice::chosenRuns() const {
    std::vector<book::RunId> ids;
    for (const CheckList::Line& line : lines_) {
        if (line.chosen) {
            ids.push_back(line.id.toStdString());
        }
    }
    return ids;
}

QString ReportChoice::nameOf(const book::RunId& id) const {
    const auto found =
        std::find_if(book_.begin(), book_.end(), [&](const session::ListedRun& run) { return run.row.id == id; });
    return found == book_.end() ? QString() : QString::fromStdString(found->row.name);
}

std::vector<ReportChoice::RunState> ReportChoice::state() const {
    std::vector<RunState> states;
    for (const book::RunId& id : chosenRuns()) {
        const auto found =
            std::find_if(book_.begin(), book_.end(), [&](const session::ListedRun& run) { return run.row.id == id; });
        if (found != book_.end()) {
            states.push_back(
                {.id = id, .name = found->row.name, .samples = found->row.samples, .notes = found->row.notes});
        }
    }
    return states;
}

} // namespace potwatch::window
