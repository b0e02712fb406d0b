// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/figure.h"
#include "app/window/compare/compare_desk.h"

#include <QWidget>

#include <vector>

class QComboBox;
class QLabel;
class QLineEdit;

namespace potwatch::window {

// What is drawn against what: the alignment of the traces, x and y, the limit, the form of the trend.
class CompareBar : public QWidget {
    Q_OBJECT

public:
    explicit CompareBar(CompareDesk& desk, QWidget* parent = nullptr);

    // Figures that can stand on an axis: numbers that the runs have.
    void setFigures(const std::vector<const compare::Figure*>& available);

private:
    void refresh();
    void take();
    void takeLimit();

    CompareDesk& desk_;
    std::vector<const compare::Figure*> figures_;
    QComboBox* align_;
    QComboBox* x_;
    QComboBox* y_;
    QLineEdit* limit_;
    QLabel* unit_;
    QComboBox* form_;
};

} // namespace potwatch::window
