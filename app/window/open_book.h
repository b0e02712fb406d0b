// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/library.h"

#include <QObject>
#include <QString>
#include <QUndoStack>

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

namespace potwatch::window {

class LibraryLink;

// The open book as the window shows and edits it: its runs, the run that is shown, and what can be undone. An edit is
// seen at once, saved to the book, and analysed in the background. One stack of undo for the book; undoing a change of
// a run that is not shown shows it first.
class OpenBook : public QObject {
    Q_OBJECT

public:
    explicit OpenBook(LibraryLink& link, QObject* parent = nullptr);

    enum class State { none, opening, open };
    [[nodiscard]] State state() const { return state_; }
    [[nodiscard]] const QString& path() const { return path_; }
    [[nodiscard]] bool isReadOnly() const { return read_only_; }

    void open(const QString& path, book::Access access);

    [[nodiscard]] const std::vector<session::ListedRun>& runs() const { return runs_; }
    [[nodiscard]] const session::ListedRun* run(const book::RunId& id) const;

    [[nodiscard]] const book::RunId& shownId() const { return shown_; }
    [[nodiscard]] std::shared_ptr<const session::RunView> view() const { return view_; }
    [[nodiscard]] bool isBusy() const { return busy_; }
    void show(const book::RunId& id); // empty = none

    [[nodiscard]] QUndoStack& undo() { return undo_; }

    // Edits, each one step of undo. In a book that can only be read they are refused (editRefused).
    void editNotes(const book::RunId& id, const book::Notes& notes, const QString& what);
    void rename(const book::RunId& id, const QString& name);
    void setTag(const std::vector<book::RunId>& ids, const QString& tag, bool on);
    void withdraw(const std::vector<book::RunId>& ids);
    void applyBatch(const book::RunId& id, const Batch& batch, const QString& file);
    void addPhoto(const book::RunId& id, const QString& file);
    void removePhoto(const book::RunId& id, const QString& name);

    // Imports as one step of undo.
    void import(const std::vector<session::FileToOpen>& files);
    void importDemo(const QString& book);

    // For the commands of the stack.
    struct Change {
        book::RunId id;
        book::Notes before;
        book::Notes after;
        std::string name_before; // which may come from its file
    };
    void apply(const std::vector<Change>& changes, bool forward, bool show_it);
    void setWithdrawn(const std::vector<book::RunId>& ids, bool withdrawn, bool show_it);
    void setPhoto(const book::RunId& id, const QString& name, bool there);

Q_SIGNALS:
    void stateChanged();
    void opened(const potwatch::session::BookOpened& news);
    void refused(const potwatch::session::BookRefused& news);
    void runsChanged();
    void viewChanged();  // the shown run, its notes or its findings
    void shownChanged(); // another run
    void busyChanged(bool busy, double fraction);
    void editRefused();
    void imported(const potwatch::session::ImportEnded& news);

private:
    [[nodiscard]] bool mayEdit();
    void listed(const session::BookListed& news);
    void runShown(const session::RunShown& news);
    void importEnded(const session::ImportEnded& news);
    [[nodiscard]] session::ListedRun* find(const book::RunId& id);

    LibraryLink& link_;
    QUndoStack undo_;
    State state_ = State::none;
    QString path_;
    bool read_only_ = false;
    std::vector<session::ListedRun> runs_;
    book::RunId shown_;
    std::shared_ptr<const session::RunView> view_;
    bool busy_ = false;
    int undoable_imports_ = 0;
};

} // namespace potwatch::window
