// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/open_book.h"

#include <QUndoCommand>

#include <vector>

namespace potwatch::window {

// Each redo or undo asks the book for the state that it had; the first redo is the edit itself.

class EditNotes : public QUndoCommand {
public:
    EditNotes(OpenBook& book, std::vector<OpenBook::Change> changes, const QString& what);
    void redo() override;
    void undo() override;

private:
    OpenBook& book_;
    std::vector<OpenBook::Change> changes_;
    bool done_before_ = false;
};

// Deleting runs, or (deletes = false) an import, whose undoing deletes what it brought.
class WithdrawRuns : public QUndoCommand {
public:
    WithdrawRuns(OpenBook& book, std::vector<book::RunId> ids, const QString& what, bool deletes);
    void redo() override;
    void undo() override;

private:
    OpenBook& book_;
    std::vector<book::RunId> ids_;
    bool deletes_;
    bool done_before_;
};

// A photo that was added or removed already.
class EditPhoto : public QUndoCommand {
public:
    EditPhoto(OpenBook& book, book::RunId id, QString name, bool adds);
    void redo() override;
    void undo() override;

private:
    OpenBook& book_;
    book::RunId id_;
    QString name_;
    bool adds_;
    bool done_before_ = false;
};

} // namespace potwatch::window
