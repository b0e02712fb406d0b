// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/open_book.h"

#include "app/window/edit_commands.h"
#include "app/window/library_link.h"

#include <algorithm>
#include <utility>

namespace potwatch::window {
namespace {

// Notes are written as a whole: what the recorder enters meanwhile would be lost.
bool isBeingRecorded(const session::ListedRun& run) {
    return run.row.state == book::RunState::recording;
}

} // namespace

OpenBook::OpenBook(LibraryLink& link, QObject* parent)
    : QObject(parent)
    , link_(link) {
    connect(&link_, &LibraryLink::bookOpened, this, [this](const session::BookOpened& news) {
        undo_.clear();
        runs_.clear();
        shown_.clear();
        view_.reset();
        path_ = QString::fromStdString(news.path);
        read_only_ = news.read_only;
        state_ = State::open;
        busy_ = false;
        Q_EMIT shownChanged();
        Q_EMIT viewChanged();
        Q_EMIT runsChanged();
        Q_EMIT stateChanged();
        Q_EMIT opened(news);
    });
    connect(&link_, &LibraryLink::bookRefused, this, [this](const session::BookRefused& news) {
        state_ = path_.isEmpty() ? State::none : State::open; // the book that was open stays open
        Q_EMIT stateChanged();
        Q_EMIT refused(news);
    });
    connect(&link_, &LibraryLink::bookListed, this, &OpenBook::listed);
    connect(&link_, &LibraryLink::runShown, this, &OpenBook::runShown);
    connect(&link_, &LibraryLink::analysing, this, [this](const session::Analysing& news) {
        if (news.id == shown_ && busy_) {
            Q_EMIT busyChanged(true, news.fraction);
        }
    });
    connect(&link_, &LibraryLink::imported, this, &OpenBook::importEnded);
    connect(&link_, &LibraryLink::photoAdded, this, [this](const session::PhotoAdded& news) {
        undo_.push(new EditPhoto(*this, news.id, QString::fromStdString(news.name), true));
    });
}

void OpenBook::open(const QString& path, book::Access access) {
    state_ = path_.isEmpty() ? State::opening : state_;
    Q_EMIT stateChanged();
    link_.library().openBook(path.toStdString(), access);
}

const session::ListedRun* OpenBook::run(const book::RunId& id) const {
    const auto found = std::find_if(runs_.begin(), runs_.end(), [&](const auto& run) { return run.row.id == id; });
    return found == runs_.end() ? nullptr : &*found;
}

session::ListedRun* OpenBook::find(const book::RunId& id) {
    const auto found = std::find_if(runs_.begin(), runs_.end(), [&](const auto& run) { return run.row.id == id; });
    return found == runs_.end() ? nullptr : &*found;
}

void OpenBook::show(const book::RunId& id) {
    if (id == shown_) {
        return;
    }
    shown_ = id;
    view_.reset();
    busy_ = !id.empty();
    if (id.empty()) {
        link_.library().showNone();
        Q_EMIT viewChanged();
    } else {
        link_.library().showRun(id);
    }
    Q_EMIT shownChanged();
    Q_EMIT busyChanged(busy_, 0.0);
}

void OpenBook::listed(const session::BookListed& news) {
    if (news.edits != link_.library().editsAsked()) {
        return; // it lacks an edit that is seen already: another list follows
    }
    runs_ = *news.runs;
    const session::ListedRun* const shown = run(shown_);
    if (!shown_.empty() && (shown == nullptr || shown->row.withdrawn)) {
        show({});
    } else if (shown != nullptr && view_ && view_->notes != shown->row.notes) {
        // Somebody else changed it, or a change could not be saved.
        auto view = std::make_shared<session::RunView>(*view_);
        view->notes = shown->row.notes;
        view_ = std::move(view);
        Q_EMIT viewChanged();
    }
    Q_EMIT runsChanged();
}

void OpenBook::runShown(const session::RunShown& news) {
    if (news.view->id != shown_) {
        return;
    }
    const session::ListedRun* const row = run(shown_);
    const bool notes_hold = row == nullptr || row->row.notes == news.view->notes;
    if (!notes_hold && view_) {
        return; // of notes that have been edited since: another one follows
    }
    if (!news.complete && view_) {
        // Read again: what was found stays until there is something newer.
        auto view = std::make_shared<session::RunView>(*news.view);
        view->analysis = view_->analysis;
        view_ = std::move(view);
    } else {
        view_ = news.view;
    }
    busy_ = !news.complete;
    Q_EMIT viewChanged();
    Q_EMIT busyChanged(busy_, 0.0);
}

bool OpenBook::mayEdit() {
    if (read_only_) {
        Q_EMIT viewChanged(); // what was typed is taken back
        Q_EMIT editRefused();
    }
    return !read_only_ && state_ == State::open;
}

void OpenBook::editNotes(const book::RunId& id, const book::Notes& notes, const QString& what) {
    const session::ListedRun* const row = run(id);
    if (row != nullptr && isBeingRecorded(*row)) {
        Q_EMIT viewChanged(); // what was typed is taken back
        Q_EMIT editRefused();
    } else if (row != nullptr && row->row.notes != notes && mayEdit()) {
        undo_.push(new EditNotes(
            *this, {{.id = id, .before = row->row.notes, .after = notes, .name_before = row->row.name}}, what));
    }
}

void OpenBook::rename(const book::RunId& id, const QString& name) {
    const std::string wanted = name.trimmed().toStdString();
    const session::ListedRun* const row = run(id);
    if (row != nullptr && isBeingRecorded(*row)) {
        Q_EMIT editRefused();
        return;
    }
    if (row == nullptr || wanted.empty() || wanted == row->row.name || !mayEdit()) {
        return;
    }
    std::vector<Change> changes;
    const auto at = static_cast<std::size_t>(row - runs_.data());
    Change own{.id = id, .before = row->row.notes, .after = row->row.notes, .name_before = row->row.name};
    own.after.batch.name = wanted;
    changes.push_back(std::move(own));
    // Runs that name this one go on naming it.
    for (std::size_t i = 0; i < runs_.size(); ++i) {
        const book::Notes& notes = runs_[i].row.notes;
        const bool based = session::parentOf(runs_, i) == at;
        const bool heated = i != at && notes.batch.second_heating_of == row->row.name;
        if ((based || heated) && !isBeingRecorded(runs_[i])) {
            Change change{.id = runs_[i].row.id, .before = notes, .after = notes, .name_before = runs_[i].row.name};
            change.after.batch.based_on = based ? wanted : change.after.batch.based_on;
            change.after.batch.second_heating_of = heated ? wanted : change.after.batch.second_heating_of;
            changes.push_back(std::move(change));
        }
    }
    undo_.push(new EditNotes(*this, std::move(changes), tr("name %1").arg(name.trimmed())));
}

void OpenBook::setTag(const std::vector<book::RunId>& ids, const QString& tag, bool on) {
    const std::string word = tag.trimmed().toStdString();
    std::vector<Change> changes;
    for (const book::RunId& id : ids) {
        const session::ListedRun* const row = run(id);
        if (row == nullptr || word.empty() || isBeingRecorded(*row)) {
            continue;
        }
        Change change{.id = id, .before = row->row.notes, .after = row->row.notes, .name_before = row->row.name};
        std::vector<std::string>& tags = change.after.tags;
        const auto there = std::find(tags.begin(), tags.end(), word);
        if (on && there == tags.end()) {
            tags.push_back(word);
            std::sort(tags.begin(), tags.end());
        } else if (!on && there != tags.end()) {
            tags.erase(there);
        } else {
            continue;
        }
        changes.push_back(std::move(change));
    }
    if (!changes.empty() && mayEdit()) {
        undo_.push(
            new EditNotes(*this, std::move(changes), on ? tr("tag %1").arg(tag) : tr("take tag %1 away").arg(tag)));
    }
}

void OpenBook::withdraw(const std::vector<book::RunId>& ids) {
    if (!ids.empty() && mayEdit()) {
        const session::ListedRun* const only = ids.size() == 1 ? run(ids.front()) : nullptr;
        const QString what = only != nullptr ? tr("delete %1").arg(QString::fromStdString(only->row.name))
                                             : tr("delete %1 runs").arg(ids.size());
        undo_.push(new WithdrawRuns(*this, ids, what, true));
    }
}

void OpenBook::applyBatch(const book::RunId& id, const Batch& batch, const QString& file) {
    const session::ListedRun* const row = run(id);
    if (row == nullptr) {
        return;
    }
    book::Notes notes = row->row.notes;
    notes.batch = batch;
    editNotes(id, notes, tr("batch data from %1").arg(file));
}

void OpenBook::addPhoto(const book::RunId& id, const QString& file) {
    if (mayEdit()) {
        link_.library().addPhoto(id, file.toStdString()); // the step of undo follows once it is in
    }
}

void OpenBook::removePhoto(const book::RunId& id, const QString& name) {
    if (mayEdit()) {
        link_.library().removePhoto(id, name.toStdString());
        undo_.push(new EditPhoto(*this, id, name, false));
    }
}

void OpenBook::import(const std::vector<session::FileToOpen>& files) {
    if (mayEdit() || state_ != State::open) { // a book that is being opened is waited for
        ++undoable_imports_;
        link_.library().importFiles(files);
    }
}

void OpenBook::importDemo(const QString& book) {
    link_.library().importDemo(book.toStdString());
}

void OpenBook::importEnded(const session::ImportEnded& news) {
    if (undoable_imports_ > 0) {
        --undoable_imports_;
        std::vector<book::RunId> ids;
        for (const session::ImportedFile& file : news.files) {
            if (!file.id.empty() && (!file.was_there || file.was_withdrawn)) {
                ids.push_back(file.id);
            }
        }
        if (!ids.empty()) {
            undo_.push(new WithdrawRuns(
                *this, ids, ids.size() == 1 ? tr("import") : tr("import of %1 runs").arg(ids.size()), false));
        }
    }
    Q_EMIT imported(news);
}

void OpenBook::apply(const std::vector<Change>& changes, bool forward, bool show_it) {
    const bool shown_is_among =
        std::any_of(changes.begin(), changes.end(), [&](const Change& change) { return change.id == shown_; });
    if (show_it && !shown_is_among && !changes.empty()) {
        show(changes.front().id);
    }
    for (const Change& change : changes) {
        const book::Notes& notes = forward ? change.after : change.before;
        if (session::ListedRun* const row = find(change.id)) {
            row->row.notes = notes;
            if (!notes.batch.name.empty()) {
                row->row.name = notes.batch.name;
            } else if (!forward) {
                row->row.name = change.name_before;
            }
        }
        link_.library().setNotes(change.id, notes);
        if (change.id == shown_ && view_) {
            auto view = std::make_shared<session::RunView>(*view_);
            const bool analysis_changes = view->notes.batch != notes.batch || view->notes.overrides != notes.overrides;
            view->notes = notes;
            view_ = std::move(view);
            busy_ = busy_ || analysis_changes;
            Q_EMIT viewChanged();
            Q_EMIT busyChanged(busy_, 0.0);
        }
    }
    Q_EMIT runsChanged();
}

void OpenBook::setWithdrawn(const std::vector<book::RunId>& ids, bool withdrawn, bool show_it) {
    for (const book::RunId& id : ids) {
        if (session::ListedRun* const row = find(id)) {
            row->row.withdrawn = withdrawn;
        }
    }
    link_.library().setWithdrawn(ids, withdrawn);
    Q_EMIT runsChanged();
    if (withdrawn && std::find(ids.begin(), ids.end(), shown_) != ids.end()) {
        show({});
    }
    if (!withdrawn && show_it && !ids.empty()) {
        show(ids.front());
    }
}

void OpenBook::setPhoto(const book::RunId& id, const QString& name, bool there) {
    show(id);
    if (there) {
        link_.library().putPhotoBack(id, name.toStdString());
    } else {
        link_.library().removePhoto(id, name.toStdString());
    }
}

} // namespace potwatch::window
