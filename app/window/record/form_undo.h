// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/pot_form/pot_form_model.h"

#include <QObject>
#include <QPushButton>

#include <utility>
#include <vector>

namespace potwatch::window {

// Takes back what was typed into a form whose run is in no book yet, or is being written to one: the book's own undo
// knows nothing of it.
class FormUndo : public QObject {
    Q_OBJECT

public:
    explicit FormUndo(PotFormModel& form, QObject* parent = nullptr);

    [[nodiscard]] QPushButton* makeButton(QWidget* parent); // that undoes, and says what
    void clear();                                           // the form was changed otherwise: earlier states are past

Q_SIGNALS:
    void changed();
    void undone(const potwatch::Batch& batch);

private:
    void undo();

    PotFormModel& form_;
    Batch now_;
    std::vector<std::pair<Batch, QString>> before_; // and what was then done
};

} // namespace potwatch::window
