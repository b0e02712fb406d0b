// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/form_undo.h"

namespace potwatch::window {

FormUndo::FormUndo(PotFormModel& form, QObject* parent)
    : QObject(parent)
    , form_(form)
    , now_(form.batch()) {
    connect(&form_, &PotFormModel::batchEdited, this, [this](const Batch& batch, const QString& what) {
        before_.emplace_back(std::exchange(now_, batch), what);
        Q_EMIT changed();
    });
}

QPushButton* FormUndo::makeButton(QWidget* parent) {
    auto* const button = new QPushButton(tr("Undo"), parent);
    button->setObjectName(QStringLiteral("recordUndoForm"));
    const auto show = [this, button] {
        button->setEnabled(!before_.empty());
        button->setToolTip(before_.empty() ? tr("Nothing was changed in the form")
                                           : tr("Takes back: %1").arg(before_.back().second));
    };
    connect(this, &FormUndo::changed, button, show);
    connect(button, &QPushButton::clicked, this, &FormUndo::undo);
    show();
    return button;
}

void FormUndo::clear() {
    before_.clear();
    now_ = form_.batch();
    Q_EMIT changed();
}

void FormUndo::undo() {
    if (!before_.empty()) {
        now_ = std::move(before_.back().first);
        before_.pop_back();
        form_.setBatch(now_);
        Q_EMIT changed();
        Q_EMIT undone(now_);
    }
}

} // namespace potwatch::window
