// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/events_panel.h"

#include "app/format/number.h"
#include "app/format/quantity_text.h"

#include <QComboBox>
#include <QGridLayout>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QStyledItemDelegate>
#include <QTableView>
#include <QVBoxLayout>

#include <cmath>

namespace potwatch::window {
namespace {

// Kinds are chosen from the usual ones or typed.
class KindDelegate : public QStyledItemDelegate {
public:
    using QStyledItemDelegate::QStyledItemDelegate;

    QWidget* createEditor(QWidget* parent, const QStyleOptionViewItem& /*option*/,
                          const QModelIndex& /*index*/) const override {
        auto* const box = new QComboBox(parent);
        box->setEditable(true);
        box->addItems(AnalyseModel::eventKinds());
        return box;
    }
    void setEditorData(QWidget* editor, const QModelIndex& index) const override {
        qobject_cast<QComboBox*>(editor)->setEditText(index.data(Qt::EditRole).toString());
    }
    void setModelData(QWidget* editor, QAbstractItemModel* model, const QModelIndex& index) const override {
        model->setData(index, qobject_cast<QComboBox*>(editor)->currentText(), Qt::EditRole);
    }
};

} // namespace

EventsPanel::EventsPanel(AnalyseModel& page, QWidget* parent)
    : QWidget(parent)
    , page_(page)
    , model_(new EventsModel(page, this))
    , table_(new QTableView(this))
    , empty_(new QLabel(tr("No events yet. Mark what was done or seen: E on the chart at the cursor, or a time typed "
                           "below."),
                        this))
    , time_(new QLineEdit(this))
    , kind_(new QComboBox(this))
    , words_(new QLineEdit(this))
    , problem_(new QLabel(this))
    , remove_(new QPushButton(tr("Take out"), this)) {
    const int gap = fontMetrics().averageCharWidth();
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(gap, gap, gap, gap);
    column->setSpacing(gap);

    table_->setModel(model_);
    table_->setObjectName(QStringLiteral("events"));
    table_->setAccessibleName(tr("Events"));
    table_->setItemDelegateForColumn(EventsModel::kindColumn, new KindDelegate(table_));
    table_->setShowGrid(false);
    table_->setFrameShape(QFrame::NoFrame);
    table_->viewport()->setAutoFillBackground(false);
    table_->verticalHeader()->hide();
    table_->verticalHeader()->setDefaultSectionSize(fontMetrics().height() * 3 / 2);
    table_->horizontalHeader()->setHighlightSections(false);
    table_->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft);
    table_->horizontalHeader()->setSectionResizeMode(EventsModel::timeColumn, QHeaderView::ResizeToContents);
    table_->horizontalHeader()->setSectionResizeMode(EventsModel::kindColumn, QHeaderView::ResizeToContents);
    table_->horizontalHeader()->setSectionResizeMode(EventsModel::textColumn, QHeaderView::Stretch);
    table_->setSelectionBehavior(QAbstractItemView::SelectRows);
    table_->setSelectionMode(QAbstractItemView::SingleSelection);
    table_->setTabKeyNavigation(false);
    table_->installEventFilter(this);
    column->addWidget(table_, 1);
    empty_->setWordWrap(true);
    empty_->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    column->addWidget(empty_, 1);

    auto* const grid = new QGridLayout;
    grid->setColumnStretch(1, 1);
    time_->setObjectName(QStringLiteral("event time"));
    time_->setAccessibleName(tr("Time of the event, s"));
    time_->setPlaceholderText(tr("120, or 2 min"));
    kind_->setObjectName(QStringLiteral("event kind"));
    kind_->setAccessibleName(tr("What happened"));
    kind_->setEditable(true);
    kind_->addItems(AnalyseModel::eventKinds());
    kind_->setCurrentIndex(-1);
    kind_->lineEdit()->setPlaceholderText(tr("choose or type"));
    words_->setObjectName(QStringLiteral("event words"));
    words_->setAccessibleName(tr("More about the event"));
    const auto row = [&](int at, const QString& label, QWidget* entry, const QString& unit) {
        auto* const name = new QLabel(label, this);
        name->setBuddy(entry);
        grid->addWidget(name, at, 0);
        grid->addWidget(entry, at, 1, 1, unit.isEmpty() ? 2 : 1);
        if (!unit.isEmpty()) {
            grid->addWidget(new QLabel(unit, this), at, 2);
        }
    };
    row(0, tr("At"), time_, QStringLiteral("s"));
    row(1, tr("Event"), kind_, QString());
    row(2, tr("Words"), words_, QString());
    column->addLayout(grid);
    problem_->setObjectName(QStringLiteral("event problem"));
    problem_->setWordWrap(true);
    problem_->hide();
    column->addWidget(problem_);
    auto* const buttons = new QHBoxLayout;
    remove_->setObjectName(QStringLiteral("remove event"));
    remove_->setToolTip(tr("Take the chosen event out (Del)"));
    buttons->addWidget(remove_);
    buttons->addStretch();
    auto* const add_button = new QPushButton(tr("Add event"), this);
    add_button->setObjectName(QStringLiteral("add event"));
    buttons->addWidget(add_button);
    column->addLayout(buttons);

    connect(add_button, &QPushButton::clicked, this, &EventsPanel::add);
    connect(time_, &QLineEdit::returnPressed, this, &EventsPanel::add);
    connect(words_, &QLineEdit::returnPressed, this, &EventsPanel::add);
    connect(kind_->lineEdit(), &QLineEdit::returnPressed, this, &EventsPanel::add);
    connect(remove_, &QPushButton::clicked, this, &EventsPanel::removeChosen);
    connect(model_, &QAbstractItemModel::modelReset, this, &EventsPanel::refresh);
    connect(&page_, &AnalyseModel::changed, this, &EventsPanel::refresh);
    connect(table_->selectionModel(), &QItemSelectionModel::selectionChanged, this, [this] {
        const QModelIndexList chosen = table_->selectionModel()->selectedRows();
        remove_->setEnabled(!chosen.isEmpty());
        if (const Event* const one = chosen.isEmpty() ? nullptr : model_->eventAt(chosen.front().row())) {
            Q_EMIT momentChosen(one->time_s);
        }
    });
    refresh();
}

void EventsPanel::refresh() {
    const bool any = model_->rowCount() > 0;
    table_->setVisible(any);
    empty_->setVisible(!any);
    remove_->setVisible(any);
    remove_->setEnabled(table_->selectionModel()->hasSelection());
    setEnabled(page_.run() != nullptr);
}

void EventsPanel::begin(double time_s) {
    time_->setText(QString::fromStdString(format::fieldText(std::round(10.0 * time_s) / 10.0)));
    kind_->setFocus();
    kind_->lineEdit()->selectAll();
}

void EventsPanel::add() {
    const QString problem = model_->add(time_->text(), kind_->currentText(), words_->text());
    problem_->setText(problem);
    problem_->setVisible(!problem.isEmpty());
    if (problem.isEmpty()) {
        time_->clear();
        words_->clear();
        kind_->setCurrentIndex(-1);
        kind_->clearEditText();
    }
}

void EventsPanel::removeChosen() {
    if (table_->currentIndex().isValid()) {
        model_->remove(table_->currentIndex().row());
    }
}

bool EventsPanel::eventFilter(QObject* watched, QEvent* event) {
    if (watched == table_ && event->type() == QEvent::KeyPress &&
        static_cast<QKeyEvent*>(event)->key() == Qt::Key_Delete) {
        removeChosen();
        return true;
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace potwatch::window
