// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/edit_commands.h"

#include <utility>

namespace potwatch::window {

EditNotes::EditNotes(OpenBook& book, std::vector<OpenBook::Change> changes, const QString& what)
    : QUndoCommand(what)
    , book_(book)
    , changes_(std::move(changes)) {}

void EditNotes::redo() {
    book_.apply(changes_, true, done_before_);
    done_before_ = true;
}

void EditNotes::undo() {
    book_.apply(changes_, false, true);
}

WithdrawRuns::WithdrawRuns(OpenBook& book, std::vector<book::RunId> ids, const QString& what, bool deletes)
    : QUndoCommand(what)
    , book_(book)
    , ids_(std::move(ids))
    , deletes_(deletes)
    , done_before_(!deletes) {}

void WithdrawRuns::redo() {
    if (deletes_) {
        book_.setWithdrawn(ids_, true, true);
    } else if (!std::exchange(done_before_, false)) {
        book_.setWithdrawn(ids_, false, true);
    }
}

void WithdrawRuns::undo() {
    book_.setWithdrawn(ids_, !deletes_, true);
}

EditPhoto::EditPhoto(OpenBook& book, book::RunId id, QString name, bool adds)
    : QUndoCommand(adds ? OpenBook::tr("add photo %1").arg(name) : OpenBook::tr("remove photo %1").arg(name))
    , book_(book)
    , id_(std::move(id))
    , name_(std::move(name))
    , adds_(adds) {}

void EditPhoto::redo() {
    if (std::exchange(done_before_, true)) {
        book_.setPhoto(id_, name_, adds_);
    }
}

void EditPhoto::undo() {
    book_.setPhoto(id_, name_, !adds_);
}

} // namespace potwatch::window
