// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/table_view.h"

#include "app/window/pot_form/batch_tables.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QStyledItemDelegate>
#include <QVBoxLayout>

#include <algorithm>

namespace potwatch::window {
namespace {

constexpr int most_rows_shown = 8;

// A cell with choices is edited in a box of them.
class ChoiceDelegate : public QStyledItemDelegate {
public:
    ChoiceDelegate(const BatchTable& table, QObject* parent)
        : QStyledItemDelegate(parent)
        , table_(table) {}

    QWidget* createEditor(QWidget* parent, const QStyleOptionViewItem& option,
                          const QModelIndex& index) const override {
        const QStringList choices = table_.choices(index.column());
        if (choices.isEmpty()) {
            return QStyledItemDelegate::createEditor(parent, option, index);
        }
        auto* const box = new QComboBox(parent);
        box->addItems(choices);
        return box;
    }

    void setEditorData(QWidget* editor, const QModelIndex& index) const override {
        if (auto* const box = qobject_cast<QComboBox*>(editor)) {
            box->setCurrentText(index.data(Qt::EditRole).toString());
        } else {
            QStyledItemDelegate::setEditorData(editor, index);
        }
    }

    void setModelData(QWidget* editor, QAbstractItemModel* model, const QModelIndex& index) const override {
        if (auto* const box = qobject_cast<QComboBox*>(editor)) {
            model->setData(index, box->currentText(), Qt::EditRole);
        } else {
            QStyledItemDelegate::setModelData(editor, model, index);
        }
    }

private:
    const BatchTable& table_;
};

} // namespace

TableView::TableView(BatchTable& table, const QString& name, QWidget* parent)
    : QWidget(parent)
    , table_(table)
    , view_(new QTableView(this)) {
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(fontMetrics().averageCharWidth() / 2);
    auto* const head = new QHBoxLayout;
    head->addWidget(new QLabel(name, this));
    head->addStretch();
    column->addLayout(head);
    column->addWidget(view_);

    view_->setModel(&table);
    view_->setObjectName(QStringLiteral("table.") + QString::fromStdString(table.place()));
    view_->setAccessibleName(name);
    view_->setItemDelegate(new ChoiceDelegate(table, view_));
    view_->verticalHeader()->hide();
    view_->verticalHeader()->setDefaultSectionSize(fontMetrics().height() * 3 / 2);
    view_->horizontalHeader()->setSectionResizeMode(QHeaderView::Stretch);
    view_->horizontalHeader()->setHighlightSections(false);
    view_->setSelectionBehavior(QAbstractItemView::SelectItems);
    view_->setSelectionMode(QAbstractItemView::SingleSelection);
    view_->setTabKeyNavigation(false);
    view_->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);

    if (table.canGrow()) {
        const auto button = [&](const QString& words, const QString& object_name) {
            auto* const made = new QToolButton(this);
            made->setText(words);
            made->setAutoRaise(true);
            made->setObjectName(object_name + QString::fromStdString(table.place()));
            made->setAccessibleName(name + QStringLiteral(": ") + words);
            head->addWidget(made);
            return made;
        };
        QToolButton* const more = button(tr("Add"), QStringLiteral("add."));
        less_ = button(tr("Take out"), QStringLiteral("remove."));
        connect(more, &QToolButton::clicked, this, [this] {
            table_.addRow();
            view_->setCurrentIndex(table_.index(table_.rowCount() - 1, 0));
            view_->setFocus();
        });
        connect(less_, &QToolButton::clicked, this, [this] {
            const int last = table_.rowCount() - 1;
            const QModelIndex at = view_->currentIndex();
            table_.removeRow(at.isValid() ? at.row() : last);
        });
    }
    connect(&table, &QAbstractItemModel::modelReset, this, &TableView::fitHeight);
    fitHeight();
}

void TableView::fitHeight() {
    const int rows = table_.rowCount();
    view_->setVisible(rows > 0);
    if (less_ != nullptr) {
        less_->setVisible(rows > 0);
    }
    const int row_height = view_->verticalHeader()->defaultSectionSize();
    view_->setFixedHeight(std::min(rows, most_rows_shown) * row_height +
                          view_->horizontalHeader()->sizeHint().height() + 2 * view_->frameWidth());
}

} // namespace potwatch::window
