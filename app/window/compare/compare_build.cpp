// SPDX-License-Identifier: GPL-3.0-or-later
// How the page Compare is put together.
#include "app/window/compare/compare_bar.h"
#include "app/window/compare/compare_chart.h"
#include "app/window/compare/compare_parts.h"
#include "app/window/compare/compare_table.h"
#include "app/window/compare/lineage_delegate.h"
#include "app/window/compare/lit_panel.h"

#include <QAction>
#include <QApplication>
#include <QButtonGroup>
#include <QClipboard>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QMenu>
#include <QProgressBar>
#include <QPushButton>
#include <QSplitter>
#include <QStackedWidget>
#include <QTableView>
#include <QTextBrowser>
#include <QTimer>
#include <QToolButton>
#include <QVBoxLayout>

#include <algorithm>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr double headline_size = 1.35; // of the text size
constexpr int side_characters = 52;    // the usual width of the table's column, in digits

QLabel* emptyLabel(QWidget* parent) {
    auto* const label = new QLabel(parent);
    label->setObjectName(u"compareEmpty"_s);
    label->setAlignment(Qt::AlignCenter);
    label->setWordWrap(true);
    label->setMargin(parent->fontMetrics().height() * 2);
    return label;
}

} // namespace

void ComparePage::Parts::build() {
    auto* const outer = new QVBoxLayout(&page);
    outer->setContentsMargins(0, 0, 0, 0);
    whole = new QWidget(&page);
    outer->addWidget(whole);
    const int gap = page.fontMetrics().averageCharWidth();
    auto* const column = new QVBoxLayout(whole);
    column->setContentsMargins(gap, gap / 2, gap, gap);
    column->setSpacing(gap * 2 / 3);
    column->addWidget(topRow());
    headline_label = new QLabel(whole);
    headline_label->setObjectName(u"compareHeadline"_s);
    headline_label->setTextFormat(Qt::PlainText);
    headline_label->setWordWrap(true);
    headline_label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    QFont large = page.font();
    large.setPointSizeF(large.pointSizeF() * headline_size);
    headline_label->setFont(large);
    column->addWidget(headline_label);
    bar = new CompareBar(desk, whole);
    column->addWidget(bar);
    body = new QStackedWidget(whole);
    column->addWidget(body, 1);
    empty = emptyLabel(body);
    body->addWidget(empty);
    splitter = new QSplitter(Qt::Horizontal, body);
    splitter->setObjectName(u"compareSplitter"_s);
    splitter->setChildrenCollapsible(false);
    chart = new CompareChart(desk, splitter);
    splitter->addWidget(chart);
    splitter->addWidget(sideColumn());
    splitter->setStretchFactor(0, 3);
    splitter->setStretchFactor(1, 2);
    const int digit = page.fontMetrics().horizontalAdvance(u'0');
    splitter->setSizes({side_characters * digit * 3 / 2, side_characters * digit});
    body->addWidget(splitter);
    buildTree();
    body->addWidget(tree);
    page.setFocusProxy(chart); // the keys begin where the work does
}

QWidget* ComparePage::Parts::topRow() {
    auto* const row_widget = new QWidget(whole);
    const int gap = page.fontMetrics().averageCharWidth();
    auto* const row = new QHBoxLayout(row_widget);
    row->setContentsMargins(0, 0, 0, 0);
    row->setSpacing(gap / 2);
    auto* const group = new QButtonGroup(row_widget);
    const auto tab = [&](const QString& name, const QString& text, const QString& tip) {
        auto* const button = new QToolButton(row_widget);
        button->setObjectName(name);
        button->setText(text);
        button->setToolTip(tip);
        button->setAccessibleName(tip);
        button->setCheckable(true);
        button->setFocusPolicy(Qt::StrongFocus);
        group->addButton(button);
        row->addWidget(button);
        return button;
    };
    to_compare =
        tab(u"compareShown"_s, ComparePage::tr("Side &by side"), ComparePage::tr("The runs beside each other"));
    to_lineage = tab(u"lineageShown"_s, ComparePage::tr("&What changed"),
                     ComparePage::tr("What changed from run to run, and what came of it"));
    to_compare->setChecked(true);
    row->addStretch(1);
    working = new QWidget(row_widget);
    working->setObjectName(u"compareWorking"_s);
    auto* const working_row = new QHBoxLayout(working);
    working_row->setContentsMargins(0, 0, 0, 0);
    working_words = new QLabel(working);
    working_words->setObjectName(u"compareWorkingWords"_s);
    progress = new QProgressBar(working);
    progress->setObjectName(u"compareProgress"_s);
    progress->setAccessibleName(ComparePage::tr("Runs that are analysed"));
    progress->setTextVisible(false);
    progress->setFixedSize(14 * gap, page.fontMetrics().height() * 2 / 3);
    auto* const stop = new QPushButton(ComparePage::tr("Sto&p"), working);
    stop->setObjectName(u"compareStop"_s);
    stop->setAccessibleName(ComparePage::tr("Analyse no more runs; those that are there are compared"));
    connect(stop, &QPushButton::clicked, &page, [this] {
        desk.setRuns(std::make_shared<const std::vector<session::RunToCompare>>(desk.runs()), 0);
        Q_EMIT page.stopWanted();
    });
    working_row->addWidget(working_words);
    working_row->addWidget(progress);
    working_row->addWidget(stop);
    row->addWidget(working);
    take = new QToolButton(row_widget);
    take->setObjectName(u"compareExport"_s);
    take->setText(ComparePage::tr("E&xport..."));
    take->setAccessibleName(ComparePage::tr("Export, copy or print"));
    take->setAutoRaise(true);
    take->setFocusPolicy(Qt::TabFocus);
    buildTake();
    row->addWidget(take);
    return row_widget;
}

void ComparePage::Parts::buildTake() {
    auto* const menu = new QMenu(take);
    const auto add = [&](const QString& name, const QString& text, auto act) {
        menu->addAction(text, &page, act)->setObjectName(name); // a child of the menu
    };
    add(u"compareCsv"_s, ComparePage::tr("Table as CSV..."), [this] { exportCsv(); });
    add(u"comparePicture"_s, ComparePage::tr("Picture as SVG, PDF or PNG..."), [this] { exportPicture(); });
    menu->addSeparator();
    add(u"compareCopyTable"_s, ComparePage::tr("Copy the table"), [this] {
        QApplication::clipboard()->setText(table->tabbed());
        Q_EMIT page.message(ComparePage::tr("The table was copied"));
    });
    add(u"compareCopyPicture"_s, ComparePage::tr("Copy the picture"), [this] { copyPicture(); });
    menu->addSeparator();
    add(u"comparePrint"_s, ComparePage::tr("Print..."), [this] { Q_EMIT page.printWanted(); });
    connect(take, &QToolButton::clicked, menu,
            [this, menu] { menu->popup(take->mapToGlobal(QPoint(0, take->height()))); });
}

QWidget* ComparePage::Parts::sideColumn() {
    auto* const side = new QSplitter(Qt::Vertical, splitter);
    side->setObjectName(u"compareSide"_s);
    side->setChildrenCollapsible(false);
    table = new CompareTable(desk, side);
    table->setMinimumHeight(page.fontMetrics().height() * 11);
    side->addWidget(table);
    words = new QTextBrowser(side);
    words->setObjectName(u"compareWords"_s);
    words->setAccessibleName(ComparePage::tr("What the trend says"));
    words->setFrameShape(QFrame::NoFrame);
    words->setOpenLinks(false);
    words->setMinimumHeight(page.fontMetrics().height() * 5);
    side->addWidget(words);
    lit = new LitPanel(desk, side);
    side->addWidget(lit);
    const int line = page.fontMetrics().height();
    side->setSizes({line * 18, line * 11, line * 8});
    return side;
}

void ComparePage::Parts::buildTree() {
    tree = new QTableView(body);
    tree->setObjectName(u"lineage"_s);
    tree->setAccessibleName(ComparePage::tr("What changed from run to run; Enter opens a run"));
    tree->setModel(&lineage);
    tree->setItemDelegate(new LineageDelegate(lineage, tree));
    tree->setSelectionBehavior(QAbstractItemView::SelectRows);
    tree->setSelectionMode(QAbstractItemView::SingleSelection);
    tree->setEditTriggers(QAbstractItemView::NoEditTriggers);
    tree->setShowGrid(false);
    tree->setMouseTracking(true);
    tree->setFrameShape(QFrame::NoFrame);
    tree->setTabKeyNavigation(false);
    tree->setHorizontalScrollMode(QAbstractItemView::ScrollPerPixel);
    tree->verticalHeader()->hide();
    tree->verticalHeader()->setDefaultSectionSize(page.fontMetrics().height() * 3);
    tree->horizontalHeader()->setHighlightSections(false);
    tree->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    tree->horizontalHeader()->setMinimumSectionSize(10 * page.fontMetrics().horizontalAdvance(u'0'));
    tree->horizontalHeader()->setSectionResizeMode(QHeaderView::ResizeToContents);
    tree->horizontalHeader()->setSectionResizeMode(LineageModel::peak_column, QHeaderView::Stretch);
    // Rows are as high as their words need in these columns; once for all columns that change together.
    auto* const fit_rows = new QTimer(tree);
    fit_rows->setSingleShot(true);
    fit_rows->setInterval(0);
    connect(fit_rows, &QTimer::timeout, tree, &QTableView::resizeRowsToContents);
    const auto fit_soon = [fit_rows] { fit_rows->start(); };
    connect(tree->horizontalHeader(), &QHeaderView::sectionResized, fit_rows, fit_soon);
    connect(&lineage, &QAbstractItemModel::modelReset, fit_rows, fit_soon);
}

void ComparePage::Parts::connectAll() {
    connect(&desk, &CompareDesk::runsChanged, &page, [this] { show(); });
    connect(&desk, &CompareDesk::ticksChanged, &page, [this] { show(); });
    connect(&desk, &CompareDesk::comparedChanged, &page, [this] { show(); });
    connect(&desk, &CompareDesk::litChanged, &page, [this] { showLitRow(); });
    connect(&table->model(), &QAbstractItemModel::modelReset, &page,
            [this] { bar->setFigures(table->model().available()); });
    connect(&lineage, &QAbstractItemModel::modelReset, &page, [this] {
        showLitRow();
        show();
    });
    connect(tree->selectionModel(), &QItemSelectionModel::currentRowChanged, &page, [this](const QModelIndex& at) {
        if (!showing_lit && at.isValid()) {
            desk.setLit(lineage.idAt(at.row()));
        }
    });
    connect(tree, &QTableView::activated, &page,
            [this](const QModelIndex& at) { Q_EMIT page.runWanted(lineage.idAt(at.row())); });
    connect(table, &CompareTable::runWanted, &page, &ComparePage::runWanted);
    connect(chart, &CompareChart::runWanted, &page, &ComparePage::runWanted);
    connect(table, &CompareTable::message, &page, &ComparePage::message);
    connect(lit, &LitPanel::photoNeeded, &page, &ComparePage::photoNeeded);
    connect(lit, &LitPanel::photoWanted, &page, &ComparePage::photoWanted);
    connect(&exporter, &Exporter::message, &page, &ComparePage::message);
    connect(to_lineage, &QToolButton::toggled, &page, [this] { show(); });
}

} // namespace potwatch::window
