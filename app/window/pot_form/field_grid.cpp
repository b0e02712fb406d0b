// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/field_grid.h"

#include "app/window/pot_form/batch_tables.h"
#include "app/window/pot_form/table_view.h"
#include "app/window/pot_form/vessel_chooser.h"

#include <QCheckBox>
#include <QComboBox>
#include <QEvent>
#include <QKeyEvent>
#include <QLineEdit>
#include <QMenu>
#include <QPlainTextEdit>
#include <QSignalBlocker>

#include <algorithm>
#include <chrono>

namespace potwatch::window {
namespace {

enum Column : int { label_column, entry_column, unit_column, usual_column, column_count };

// Whoever stops typing for so long has typed what they meant; nothing may cost them that.
constexpr std::chrono::milliseconds rest_time{1500};

QString textOf(const std::string& words) {
    return QString::fromStdString(words);
}

// Shown text grows with the line, never the form.
QLabel* wrapping(QWidget* parent) {
    auto* const label = new QLabel(parent);
    label->setWordWrap(true);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    return label;
}

} // namespace

FieldGrid::FieldGrid(PotFormModel& form, QWidget* parent)
    : QWidget(parent)
    , form_(form)
    , grid_(new QGridLayout(this))
    , rest_(new QTimer(this)) {
    rest_->setSingleShot(true);
    rest_->setInterval(rest_time);
    connect(rest_, &QTimer::timeout, this, &FieldGrid::commitAtRest);
    grid_->setContentsMargins(0, 0, 0, 0);
    grid_->setColumnStretch(entry_column, 1);
    const int gap = fontMetrics().averageCharWidth();
    grid_->setHorizontalSpacing(gap);
    grid_->setVerticalSpacing(gap / 2);
    connect(&form_, &PotFormModel::changed, this, &FieldGrid::refresh);
    connect(&form_, &PotFormModel::problemChanged, this, &FieldGrid::showProblem);
}

void FieldGrid::addGroup(FieldGroup group, bool folded) {
    auto* const head = new QToolButton(this);
    const QString title = titleOf(group);
    head->setText(title);
    head->setAccessibleName(tr("Group %1").arg(title));
    head->setObjectName(QStringLiteral("group.%1").arg(static_cast<int>(group)));
    head->setAutoRaise(true);
    head->setToolButtonStyle(Qt::ToolButtonTextBesideIcon);
    head->setToolTip(tr("Fold or unfold"));
    QFont bold = font();
    bold.setBold(true);
    head->setFont(bold);
    const int row = grid_->rowCount();
    if (row > 1) {
        grid_->setRowMinimumHeight(row - 1, grid_->verticalSpacing());
    }
    grid_->addWidget(head, row, label_column, 1, column_count, Qt::AlignLeft);
    heads_[group] = head;
    addGroupWithoutHeading(group);
    connect(head, &QToolButton::clicked, this, [this, group] { fold(group, folded_.count(group) == 0); });
    fold(group, folded);
}

void FieldGrid::addGroupWithoutHeading(FieldGroup group) {
    for (const FormField& field : form_.fields()) {
        if (field.group == group) {
            addRow(field);
        }
    }
}

void FieldGrid::addRow(const FormField& field) {
    Row row{.field = &field};
    const int at = grid_->rowCount();
    row.entry = entryFor(field);
    if (field.kind == FieldKind::flag || field.kind == FieldKind::longText) {
        grid_->addWidget(row.entry, at, label_column, 1, column_count);
    } else {
        row.label = new QLabel(field.label, this);
        row.label->setBuddy(row.entry);
        grid_->addWidget(row.label, at, label_column);
        row.unit = new QLabel(textOf(field.unit), this);
        const bool has_unit = field.kind == FieldKind::number;
        grid_->addWidget(row.entry, at, entry_column, 1, has_unit ? 1 : column_count - 1);
        if (has_unit) {
            grid_->addWidget(row.unit, at, unit_column);
        }
    }
    row.usual = usualFor(field);
    if (row.usual != nullptr) {
        grid_->addWidget(row.usual, at, usual_column);
    }
    row.problem = wrapping(this);
    row.problem->setObjectName(QStringLiteral("problem.") + textOf(field.place));
    row.problem->hide();
    grid_->addWidget(row.problem, at + 1, entry_column, 1, column_count - 1);
    rows_.push_back(row);
    refreshRow(rows_.back());
}

QWidget* FieldGrid::entryFor(const FormField& field) {
    QWidget* entry = nullptr;
    const std::string place = field.place;
    switch (field.kind) {
    case FieldKind::number:
    case FieldKind::text: {
        auto* const line = new QLineEdit(this);
        connect(line, &QLineEdit::editingFinished, this, [this, line] {
            if (const Row* const row = rowOf(line)) {
                commit(*row);
            }
        });
        connect(line, &QLineEdit::textEdited, rest_, QOverload<>::of(&QTimer::start));
        entry = line;
        break;
    }
    case FieldKind::longText: {
        auto* const notes = new QPlainTextEdit(this);
        notes->setTabChangesFocus(true);
        notes->setPlaceholderText(field.label);
        notes->setFixedHeight(5 * fontMetrics().height());
        connect(notes, &QPlainTextEdit::textChanged, this, [this, notes] {
            if (notes->hasFocus()) {
                rest_->start();
            }
        });
        entry = notes;
        break;
    }
    case FieldKind::choice:
    case FieldKind::channel: {
        auto* const box = new QComboBox(this);
        box->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
        box->setMinimumContentsLength(8);
        connect(box, &QComboBox::activated, this,
                [this, place, box] { form_.commit(place, box->currentData().toString()); });
        entry = box;
        break;
    }
    case FieldKind::flag: {
        auto* const box = new QCheckBox(field.label, this);
        connect(box, &QCheckBox::clicked, this,
                [this, place](bool on) { form_.commit(place, on ? QStringLiteral("true") : QString()); });
        entry = box;
        break;
    }
    }
    entry->setObjectName(QStringLiteral("field.") + textOf(place));
    entry->setAccessibleName(
        field.unit.empty() ? titleOf(field.group) + QStringLiteral(": ") + field.label
                           : QStringLiteral("%1: %2, %3").arg(titleOf(field.group), field.label, textOf(field.unit)));
    entry->installEventFilter(this);
    return entry;
}

QToolButton* FieldGrid::usualFor(const FormField& field) {
    const bool vessel = field.place == "vessel.heat_capacity_j_per_k";
    const bool boiling = field.place == "charge.boiling_c";
    if (form_.typicalValues(field.place).empty() && !boiling) {
        return nullptr;
    }
    auto* const button = new QToolButton(this);
    button->setArrowType(Qt::DownArrow);
    button->setAutoRaise(true);
    button->setObjectName(QStringLiteral("usual.") + textOf(field.place));
    button->setAccessibleName(tr("Usual values of %1").arg(field.label));
    button->setToolTip(vessel ? tr("Work it out from the vessel's material and mass")
                              : tr("Choose a usual value, with its uncertainty"));
    if (vessel) {
        connect(button, &QToolButton::clicked, this, [this, button] {
            auto* const chooser = new VesselChooser(form_, button);
            chooser->popUpAt(button->mapToGlobal(QPoint(button->width(), button->height())));
        });
    } else {
        fillUsual(*button, field);
    }
    return button;
}

void FieldGrid::fillUsual(QToolButton& button, const FormField& field) {
    auto* const menu = new QMenu(&button);
    menu->setObjectName(QStringLiteral("usual values"));
    menu->setToolTipsVisible(true);
    const std::string place = field.place;
    if (place == "charge.boiling_c") {
        QAction* const action = menu->addAction(tr("As water at the stated air pressure"));
        connect(action, &QAction::triggered, this, [this] { form_.takeBoilingOfWater(); });
    }
    for (const chemistry::TypicalValue& typical : form_.typicalValues(place)) {
        QAction* const action = menu->addAction(PotFormModel::typicalText(typical, field.unit));
        action->setToolTip(
            tr("Source: %1")
                .arg(QString::fromUtf8(typical.source.data(), static_cast<qsizetype>(typical.source.size()))));
        connect(action, &QAction::triggered, this, [this, place, typical] { form_.takeTypical(place, typical); });
    }
    connect(&button, &QToolButton::clicked, menu,
            [menu, &button] { menu->popup(button.mapToGlobal(QPoint(0, button.height()))); });
}

void FieldGrid::addTable(FieldGroup group, BatchTable& table, const QString& name) {
    auto* const view = new TableView(table, name, this);
    addWide(group, view);
    QLabel* const problem = wrapping(this);
    problem->setObjectName(QStringLiteral("problem.") + textOf(table.place()));
    problem->hide();
    grid_->addWidget(problem, grid_->rowCount(), label_column, 1, column_count);
    table_problems_[table.place()] = problem;
}

void FieldGrid::addWide(FieldGroup group, QWidget* widget) {
    grid_->addWidget(widget, grid_->rowCount(), label_column, 1, column_count);
    members_[group].push_back(widget);
    widget->setVisible(folded_.count(group) == 0);
}

void FieldGrid::fold(FieldGroup group, bool folded) {
    if (folded) {
        folded_.insert(group);
    } else {
        folded_.erase(group);
    }
    if (const auto head = heads_.find(group); head != heads_.end()) {
        head->second->setArrowType(folded ? Qt::RightArrow : Qt::DownArrow);
    }
    for (QWidget* const member : members_[group]) {
        member->setVisible(!folded);
    }
    for (Row& row : rows_) {
        if (row.field->group == group) {
            refreshRow(row);
        }
    }
}

void FieldGrid::refresh() {
    for (Row& row : rows_) {
        refreshRow(row);
    }
    for (const auto& [place, label] : table_problems_) {
        showProblem(textOf(place));
    }
}

void FieldGrid::refreshRow(Row& row) {
    const std::string& place = row.field->place;
    const bool shown = form_.isShown(place) && folded_.count(row.field->group) == 0;
    for (QWidget* const part : std::initializer_list<QWidget*>{row.label, row.entry, row.unit, row.usual}) {
        if (part != nullptr) {
            part->setVisible(shown);
        }
    }
    row.entry->setEnabled(form_.hasRun());
    const QString text = form_.text(place);
    if (auto* const line = qobject_cast<QLineEdit*>(row.entry)) {
        // What is being typed, and what was refused, stays.
        const bool typing = line->hasFocus() && line->isModified();
        if (!typing && form_.problem(place).isEmpty() && line->text() != text) {
            line->setText(text);
        }
        line->setPlaceholderText(form_.placeholder(place));
        line->setToolTip(form_.hint(place));
    } else if (auto* const notes = qobject_cast<QPlainTextEdit*>(row.entry)) {
        if (!(notes->hasFocus() && notes->document()->isModified()) && notes->toPlainText() != text) {
            notes->setPlainText(text);
            notes->document()->setModified(false);
        }
    } else if (auto* const check = qobject_cast<QCheckBox*>(row.entry)) {
        check->setChecked(!text.isEmpty());
    } else if (auto* const box = qobject_cast<QComboBox*>(row.entry)) {
        const QSignalBlocker quiet(box);
        box->clear();
        if (row.field->kind == FieldKind::channel) {
            box->addItem(tr("not stated"), QString());
            for (const QString& channel : form_.channels(place)) {
                box->addItem(channel, channel);
            }
        }
        for (const auto& [value, words] : row.field->choices) {
            box->addItem(words, textOf(value));
        }
        box->setCurrentIndex(std::max(0, box->findData(text)));
    }
    const QString problem = form_.problem(place);
    row.problem->setText(problem);
    row.problem->setVisible(shown && !problem.isEmpty());
}

QLabel* FieldGrid::problemLabel(const std::string& place) {
    const auto of_table = table_problems_.find(place);
    return of_table == table_problems_.end() ? nullptr : of_table->second;
}

void FieldGrid::showProblem(const QString& place) {
    if (QLabel* const label = problemLabel(place.toStdString())) {
        const QString problem = form_.problem(place.toStdString());
        label->setText(problem);
        label->setVisible(!problem.isEmpty());
        return;
    }
    for (Row& row : rows_) {
        if (textOf(row.field->place) == place) {
            refreshRow(row);
            if (!form_.problem(row.field->place).isEmpty()) {
                Q_EMIT cameIntoView(row.problem);
            }
        }
    }
}

void FieldGrid::commit(const Row& row) {
    const std::string place = row.field->place;
    if (auto* const line = qobject_cast<QLineEdit*>(row.entry)) {
        if (form_.commit(place, line->text())) {
            line->setModified(false);
            if (const QString text = form_.text(place); line->text() != text) {
                line->setText(text); // "0,08 kg" stands as 80
            }
        }
    } else if (auto* const notes = qobject_cast<QPlainTextEdit*>(row.entry)) {
        if (form_.commit(place, notes->toPlainText())) {
            notes->document()->setModified(false);
        }
    }
}

// What stands in the field with the cursor is taken where it can be, and the text is left as it is typed: what is
// refused may be half of what is meant.
void FieldGrid::commitAtRest() {
    const Row* const row = rowOf(QWidget::window()->focusWidget());
    if (row == nullptr) {
        return;
    }
    if (auto* const line = qobject_cast<QLineEdit*>(row->entry); line != nullptr && line->isModified()) {
        form_.commit(row->field->place, line->text(), PotFormModel::Refusal::silent);
    } else if (auto* const notes = qobject_cast<QPlainTextEdit*>(row->entry);
               notes != nullptr && notes->document()->isModified()) {
        form_.commit(row->field->place, notes->toPlainText(), PotFormModel::Refusal::silent);
    }
}

FieldGrid::Row* FieldGrid::rowOf(const QObject* entry) {
    const auto found = std::find_if(rows_.begin(), rows_.end(), [&](const Row& row) { return row.entry == entry; });
    return found == rows_.end() ? nullptr : &*found;
}

bool FieldGrid::goTo(const std::string& place) {
    for (Row& row : rows_) {
        if (row.field->place != place) {
            continue;
        }
        fold(row.field->group, false);
        row.entry->setFocus(Qt::OtherFocusReason);
        if (auto* const line = qobject_cast<QLineEdit*>(row.entry)) {
            line->selectAll();
        }
        Q_EMIT cameIntoView(row.entry);
        return true;
    }
    return false;
}

bool FieldGrid::eventFilter(QObject* watched, QEvent* event) {
    const Row* const row = rowOf(watched);
    if (row == nullptr) {
        return QWidget::eventFilter(watched, event);
    }
    switch (event->type()) {
    case QEvent::FocusIn:
        Q_EMIT hinted(form_.hint(row->field->place));
        Q_EMIT cameIntoView(row->entry);
        break;
    case QEvent::FocusOut:
        if (qobject_cast<QPlainTextEdit*>(row->entry) != nullptr) {
            commit(*row);
        }
        Q_EMIT hinted(QString());
        break;
    case QEvent::Wheel:
        // A wheel turned over a form scrolls the form; it does not change what is stated.
        if (qobject_cast<QComboBox*>(row->entry) != nullptr) {
            event->ignore();
            return true;
        }
        break;
    case QEvent::KeyPress:
        if (static_cast<QKeyEvent*>(event)->key() == Qt::Key_Escape) {
            if (auto* const line = qobject_cast<QLineEdit*>(row->entry); line != nullptr && line->isModified()) {
                line->setText(form_.text(row->field->place));
                line->setModified(false);
                form_.forgetProblem(row->field->place);
                return true;
            }
        }
        break;
    default:
        break;
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace potwatch::window
