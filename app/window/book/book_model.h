// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/book_list.h"

#include <QAbstractListModel>

#include <vector>

namespace potwatch::window {

class OpenBook;

// The lines of the batch book, in display text.
class BookModel : public QAbstractListModel {
    Q_OBJECT

public:
    explicit BookModel(OpenBook& book, QObject* parent = nullptr);

    enum Role {
        nameRole = Qt::UserRole + 1, // "rod 04"
        changeRole,                  // "0.50 to 0.30 g/min"
        detailRole,                  // "14 Mar 2026 · 96.6 °C · no foam"
        tagsRole,                    // QStringList
        depthRole,
        stateRole, // int of book::RunState
        idRole
    };

    [[nodiscard]] const session::ListWish& wish() const { return wish_; }
    void setWish(const session::ListWish& wish);

    [[nodiscard]] book::RunId idAt(int row) const;
    [[nodiscard]] int rowOf(const book::RunId& id) const; // -1 = not shown

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;
    bool setData(const QModelIndex& index, const QVariant& value, int role) override; // renames

Q_SIGNALS:
    void aboutToReplace(); // the lines are other ones: whoever holds a selection keeps it by id
    void replaced();

private:
    void rebuild();

    OpenBook& book_;
    session::ListWish wish_;
    std::vector<session::ListedRun> runs_;
    std::vector<session::BookLine> lines_;
};

} // namespace potwatch::window
