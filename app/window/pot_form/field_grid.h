// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/pot_form/pot_form_model.h"

#include <QGridLayout>
#include <QLabel>
#include <QString>
#include <QTimer>
#include <QToolButton>
#include <QWidget>

#include <map>
#include <set>
#include <string>
#include <vector>

namespace potwatch::window {

class BatchTable;

// Fields of a batch in one grid, so that labels, entries and units stand in line through all groups.
class FieldGrid : public QWidget {
    Q_OBJECT

public:
    explicit FieldGrid(PotFormModel& form, QWidget* parent = nullptr);

    void addGroup(FieldGroup group, bool folded = false);
    void addGroupWithoutHeading(FieldGroup group);
    void addTable(FieldGroup group, BatchTable& table, const QString& name);
    // A widget over the whole width, under what was added last.
    void addWide(FieldGroup group, QWidget* widget);
    // Puts the cursor into a field and brings it into view; unfolds its group.
    bool goTo(const std::string& place);

Q_SIGNALS:
    void hinted(const QString& sentence); // about the field that has the cursor
    void cameIntoView(QWidget* widget);

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    struct Row {
        const FormField* field = nullptr;
        QLabel* label = nullptr;
        QWidget* entry = nullptr;
        QLabel* unit = nullptr;
        QToolButton* usual = nullptr;
        QLabel* problem = nullptr;
    };

    void addRow(const FormField& field);
    [[nodiscard]] QWidget* entryFor(const FormField& field);
    [[nodiscard]] QToolButton* usualFor(const FormField& field);
    void fillUsual(QToolButton& button, const FormField& field);
    void refresh();
    void refreshRow(Row& row);
    void showProblem(const QString& place);
    void fold(FieldGroup group, bool folded);
    void commit(const Row& row);
    void commitAtRest();
    [[nodiscard]] Row* rowOf(const QObject* entry);
    [[nodiscard]] QLabel* problemLabel(const std::string& place);

    PotFormModel& form_;
    QGridLayout* grid_;
    QTimer* rest_; // runs while nothing is typed any more
    std::vector<Row> rows_;
    std::map<FieldGroup, std::vector<QWidget*>> members_; // of a group, besides rows
    std::map<FieldGroup, QToolButton*> heads_;
    std::set<FieldGroup> folded_;
    std::map<std::string, QLabel*> table_problems_;
};

} // namespace potwatch::window
