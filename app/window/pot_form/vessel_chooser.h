// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/pot_form/pot_form_model.h"

#include <QComboBox>
#include <QDialog>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>

namespace potwatch::window {

// A vessel's heat capacity from its material and its mass.
class VesselChooser : public QDialog {
    Q_OBJECT

public:
    explicit VesselChooser(PotFormModel& form, QWidget* parent = nullptr);

    // Shows it with its top right corner there; it goes when it is left, and deletes itself.
    void popUpAt(QPoint top_right);

private:
    [[nodiscard]] std::optional<double> mass() const;
    void work();
    void take();

    PotFormModel& form_;
    QComboBox* material_;
    QLineEdit* mass_;
    QLabel* result_;
    QPushButton* take_;
};

} // namespace potwatch::window
