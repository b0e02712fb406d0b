// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/compare_table.h"

#include "app/window/look.h"
#include "app/window/word_button.h"

#include <QApplication>
#include <QClipboard>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QMenu>
#include <QScopedValueRollback>
#include <QTableView>
#include <QToolButton>
#include <QVBoxLayout>

#include <algorithm>

namespace potwatch::window {

using namespace Qt::StringLiterals;

CompareTable::CompareTable(CompareDesk& desk, QWidget* parent)
    : QWidget(parent)
    , desk_(desk)
    , model_(new CompareModel(desk, this))
    , proxy_(new CompareProxy(this))
    , words_(new QLineEdit(this))
    , columns_(new QMenu(this))
    , view_(new QTableView(this))
    , count_(new QLabel(this)) {
    proxy_->setSourceModel(model_);
    const int gap = fontMetrics().averageCharWidth();
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(gap / 2);
    auto* const row = new QHBoxLayout;
    row->setSpacing(gap / 2);
    words_->setObjectName(u"compareFilter"_s);
    words_->setAccessibleName(tr("Show only the rows with these words"));
    words_->setPlaceholderText(tr("Show rows with..."));
    words_->setToolTip(tr("Words that a row has: a name, a substance, an outcome. The picture keeps all ticked runs"));
    words_->setClearButtonEnabled(true);
    connect(words_, &QLineEdit::textChanged, this, [this](const QString& words) {
        proxy_->setWords(words);
        showCount();
    });
    row->addWidget(words_, 1);
    QToolButton* const all = wordButton(this, u"compareAll"_s, tr("All"), tr("Tick every run"));
    connect(all, &QToolButton::clicked, this, [this] { desk_.setAllTicked(true); });
    row->addWidget(all);
    QToolButton* const none = wordButton(this, u"compareNone"_s, tr("None"), tr("Take every tick away"));
    connect(none, &QToolButton::clicked, this, [this] { desk_.setAllTicked(false); });
    row->addWidget(none);
    QToolButton* const choose = wordButton(this, u"compareColumns"_s, tr("Columns"), tr("Choose the columns"));
    choose->setMenu(columns_);
    choose->setPopupMode(QToolButton::InstantPopup);
    choose->setStyleSheet(u"QToolButton::menu-indicator { image: none; }"_s); // the word says it
    connect(columns_, &QMenu::aboutToShow, this, &CompareTable::fillColumns);
    row->addWidget(choose);
    column->addLayout(row);

    view_->setObjectName(u"compareTable"_s);
    view_->setAccessibleName(tr("Runs; the space bar ticks one for the comparison, Enter opens it"));
    view_->setModel(proxy_);
    view_->setSortingEnabled(true);
    view_->sortByColumn(-1, Qt::AscendingOrder); // as in the book
    view_->setSelectionBehavior(QAbstractItemView::SelectRows);
    view_->setSelectionMode(QAbstractItemView::SingleSelection);
    view_->setEditTriggers(QAbstractItemView::NoEditTriggers);
    view_->setMouseTracking(true);
    view_->setShowGrid(false);
    view_->setAlternatingRowColors(true);
    view_->setWordWrap(false);
    view_->setTextElideMode(Qt::ElideMiddle); // names of a series often differ at their ends
    view_->setTabKeyNavigation(false);
    view_->verticalHeader()->hide();
    view_->verticalHeader()->setDefaultSectionSize(fontMetrics().height() * 3 / 2);
    view_->horizontalHeader()->setHighlightSections(false);
    view_->horizontalHeader()->setDefaultAlignment(Qt::AlignRight | Qt::AlignBottom);
    view_->setHorizontalScrollMode(QAbstractItemView::ScrollPerPixel);
    view_->installEventFilter(this);
    connect(view_, &QTableView::entered, this,
            [this](const QModelIndex& at) { desk_.setLit(model_->idAt(proxy_->mapToSource(at).row())); });
    connect(view_->selectionModel(), &QItemSelectionModel::currentRowChanged, this, [this](const QModelIndex& at) {
        if (!showing_ && at.isValid()) {
            desk_.setLit(model_->idAt(proxy_->mapToSource(at).row()));
        }
    });
    connect(view_, &QTableView::doubleClicked, this,
            [this](const QModelIndex& at) { Q_EMIT runWanted(model_->idAt(proxy_->mapToSource(at).row())); });
    column->addWidget(view_, 1);
    count_->setObjectName(u"compareCount"_s);
    column->addWidget(count_);
    connect(model_, &QAbstractItemModel::modelReset, this, [this] {
        fitColumns();
        showLit();
        showCount();
    });
    connect(&desk_, &CompareDesk::litChanged, this, &CompareTable::showLit);
    connect(&desk_, &CompareDesk::ticksChanged, this, &CompareTable::showCount);
    showCount();
}

std::vector<book::RunId> CompareTable::order() const {
    std::vector<book::RunId> ids;
    for (int row = 0; row < proxy_->rowCount(); ++row) {
        ids.push_back(model_->idAt(proxy_->mapToSource(proxy_->index(row, 0)).row()));
    }
    return ids;
}

QString CompareTable::tabbed() const {
    QStringList lines;
    QStringList cells;
    for (int column = 0; column < proxy_->columnCount(); ++column) {
        const QString title = proxy_->headerData(column, Qt::Horizontal, Qt::ToolTipRole).toString();
        cells += title.isEmpty() ? proxy_->headerData(column, Qt::Horizontal).toString() : title;
    }
    lines += cells.join(u'\t');
    for (int row = 0; row < proxy_->rowCount(); ++row) {
        cells.clear();
        for (int column = 0; column < proxy_->columnCount(); ++column) {
            const QModelIndex at = proxy_->index(row, column);
            cells += column > 0 && !at.data(CompareModel::sortRole).isValid() ? QString() : at.data().toString();
        }
        lines += cells.join(u'\t');
    }
    return lines.join(u'\n') + u'\n';
}

void CompareTable::copy() {
    QApplication::clipboard()->setText(tabbed());
    Q_EMIT message(tr("The table was copied: %1 rows").arg(proxy_->rowCount()));
}

void CompareTable::fillColumns() {
    columns_->clear();
    compare::FigureGroup group = compare::FigureGroup::dosing;
    QMenu* menu = nullptr;
    const std::vector<const compare::Figure*>& shown = model_->columns();
    for (const compare::Figure* const figure : model_->available()) {
        if (menu == nullptr || figure->group != group) {
            group = figure->group;
            const std::string_view title = compare::titleOf(group);
            menu = columns_->addMenu(QString::fromUtf8(title.data(), static_cast<qsizetype>(title.size())));
        }
        QAction* const action =
            menu->addAction(QString::fromUtf8(figure->title.data(), static_cast<qsizetype>(figure->title.size())));
        action->setObjectName(u"column "_s +
                              QString::fromUtf8(figure->key.data(), static_cast<qsizetype>(figure->key.size())));
        action->setCheckable(true);
        action->setEnabled(figure->key != desk_.request().x && figure->key != desk_.request().y); // always there
        action->setChecked(std::find(shown.begin(), shown.end(), figure) != shown.end());
        connect(action, &QAction::toggled, this, [this, figure](bool on) { model_->setShown(figure, on); });
    }
    columns_->addSeparator();
    columns_->addAction(tr("The usual ones"), this, [this] { model_->setChosen({}); });
}

void CompareTable::fitColumns() {
    view_->resizeColumnsToContents();
    const int least = fontMetrics().averageCharWidth() * 7;
    const int most_of_name = fontMetrics().averageCharWidth() * 24; // a long one leaves the figures in sight
    for (int column = 0; column < proxy_->columnCount(); ++column) {
        const int width = std::max(least, view_->columnWidth(column));
        view_->setColumnWidth(column, column == 0 ? std::min(width, most_of_name) : width);
    }
}

void CompareTable::showLit() {
    const QScopedValueRollback quiet(showing_, true);
    const int row = model_->rowOf(desk_.lit());
    const QModelIndex at = row < 0 ? QModelIndex() : proxy_->mapFromSource(model_->index(row, 0));
    if (!at.isValid()) {
        view_->clearSelection();
        view_->selectionModel()->setCurrentIndex({}, QItemSelectionModel::NoUpdate);
    } else if (view_->currentIndex().row() != at.row() || !view_->selectionModel()->isRowSelected(at.row())) {
        const QModelIndex cell = at.siblingAtColumn(std::max(0, view_->currentIndex().column()));
        view_->selectionModel()->setCurrentIndex(cell, QItemSelectionModel::ClearAndSelect | QItemSelectionModel::Rows);
        view_->scrollTo(at);
    }
}

void CompareTable::showCount() {
    const int all = model_->rowCount();
    const int shown = proxy_->rowCount();
    const auto ticked = static_cast<int>(desk_.tickedCount());
    QString words = ticked != all ? tr("%1 of %2 runs compared").arg(ticked).arg(all)
                    : all == 1    ? tr("1 run")
                                  : tr("%1 runs, all compared").arg(all);
    if (shown != all) {
        words += tr("; %1 rows shown").arg(shown);
    }
    count_->setText(words);
    QPalette quiet = palette();
    quiet.setColor(QPalette::WindowText, quietText(palette()));
    count_->setPalette(quiet);
}

bool CompareTable::eventFilter(QObject* watched, QEvent* event) {
    if (watched == view_ && event->type() == QEvent::KeyPress) {
        const auto* const key = static_cast<QKeyEvent*>(event);
        const book::RunId id = model_->idAt(proxy_->mapToSource(view_->currentIndex()).row());
        if (key->key() == Qt::Key_Space && !id.empty()) {
            desk_.setTicked(id, !desk_.isTicked(id));
            return true;
        }
        if ((key->key() == Qt::Key_Return || key->key() == Qt::Key_Enter) && !id.empty()) {
            Q_EMIT runWanted(id);
            return true;
        }
        if (key->key() == Qt::Key_Escape) {
            desk_.setLit({});
            return true;
        }
        if (key->matches(QKeySequence::Copy)) {
            copy();
            return true;
        }
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace potwatch::window
