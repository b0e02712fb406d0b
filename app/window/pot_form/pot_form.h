// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/pot_form/pot_form_model.h"

#include <QWidget>

#include <string>

class QLabel;
class QPushButton;
class QScrollArea;
class QToolButton;

namespace potwatch::window {

class FieldGrid;
class LadderView;

// The batch file as a form. All state and words are the model's.
class PotForm : public QWidget {
    Q_OBJECT

public:
    explicit PotForm(PotFormModel& form, QWidget* parent = nullptr);
    ~PotForm() override;

    // Puts the cursor into a field ("charge.resin_g"); false where the form has no such field.
    bool goTo(const std::string& place);

private:
    void refresh();
    void bringIntoView(QWidget* widget);
    void importToml();
    void exportToml();

    PotFormModel& form_;
    QScrollArea* scroll_;
    FieldGrid* grid_;
    LadderView* ladder_;
    QPushButton* same_;
    QLabel* faults_;
    QLabel* hint_;
};

} // namespace potwatch::window
