// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/findings_panel.h"

#include <QApplication>
#include <QClipboard>
#include <QHeaderView>
#include <QKeyEvent>
#include <QLabel>
#include <QListWidget>
#include <QMenu>
#include <QSplitter>
#include <QTableView>
#include <QTextBrowser>
#include <QUrl>
#include <QVBoxLayout>

#include <algorithm>
#include <set>

namespace potwatch::window {
namespace {

constexpr int field_role = Qt::UserRole;

} // namespace

FindingsPanel::FindingsPanel(AnalyseModel& page, QWidget* parent)
    : QWidget(parent)
    , page_(page)
    , splitter_(new QSplitter(Qt::Vertical, this))
    , table_(new QTableView(this))
    , explanation_(new QTextBrowser(this))
    , warnings_title_(new QLabel(this))
    , warnings_(new QListWidget(this)) {
    const int gap = fontMetrics().averageCharWidth();
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(gap, gap, 0, gap);
    auto* const splitter = splitter_;
    splitter->setObjectName(QStringLiteral("findings splitter"));
    splitter->setChildrenCollapsible(false);
    column->addWidget(splitter);

    table_->setModel(&page_.findings());
    table_->setObjectName(QStringLiteral("findings"));
    table_->setAccessibleName(tr("Findings"));
    table_->setShowGrid(false);
    table_->setFrameShape(QFrame::NoFrame);
    table_->setWordWrap(false);
    table_->verticalHeader()->hide();
    table_->horizontalHeader()->hide();
    table_->setSelectionBehavior(QAbstractItemView::SelectRows);
    table_->setSelectionMode(QAbstractItemView::ExtendedSelection);
    table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
    table_->setTabKeyNavigation(false);
    table_->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    table_->verticalHeader()->setDefaultSectionSize(fontMetrics().height() * 4 / 3);
    table_->verticalHeader()->setMinimumSectionSize(fontMetrics().height());
    table_->horizontalHeader()->setMinimumSectionSize(gap);
    table_->setContextMenuPolicy(Qt::CustomContextMenu);
    table_->viewport()->setAutoFillBackground(false);
    table_->installEventFilter(this);
    table_->viewport()->installEventFilter(this);
    splitter->addWidget(table_);

    explanation_->setObjectName(QStringLiteral("explanation"));
    explanation_->setAccessibleName(tr("How it was computed"));
    explanation_->setOpenLinks(false);
    explanation_->setFrameShape(QFrame::NoFrame);
    explanation_->viewport()->setAutoFillBackground(false);
    explanation_->setMinimumHeight(4 * fontMetrics().lineSpacing());
    splitter->addWidget(explanation_);

    auto* const lower = new QWidget(splitter);
    auto* const lower_column = new QVBoxLayout(lower);
    lower_column->setContentsMargins(0, 0, 0, 0);
    lower_column->setSpacing(gap / 2);
    QFont bold = font();
    bold.setBold(true);
    warnings_title_->setFont(bold);
    warnings_title_->setObjectName(QStringLiteral("warnings title"));
    lower_column->addWidget(warnings_title_);
    warnings_->setObjectName(QStringLiteral("warnings"));
    warnings_->setAccessibleName(tr("Warnings"));
    warnings_->setWordWrap(true);
    warnings_->setFrameShape(QFrame::NoFrame);
    warnings_->setResizeMode(QListView::Adjust);
    warnings_->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    warnings_->setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
    warnings_->setSpacing(gap / 4);
    warnings_->viewport()->setAutoFillBackground(false);
    lower_column->addWidget(warnings_);
    splitter->addWidget(lower);
    splitter->setStretchFactor(0, 6);
    splitter->setStretchFactor(1, 3);
    splitter->setStretchFactor(2, 1);

    connect(table_->selectionModel(), &QItemSelectionModel::currentRowChanged, this, &FindingsPanel::explain);
    connect(table_, &QTableView::clicked, this, &FindingsPanel::explain);
    connect(table_, &QWidget::customContextMenuRequested, this, [this](QPoint at) {
        QMenu menu;
        menu.addAction(tr("Copy"), this, &FindingsPanel::copyChosen);
        menu.addAction(tr("Copy all"), this, &FindingsPanel::copyAll);
        menu.exec(table_->viewport()->mapToGlobal(at));
    });
    connect(splitter_, &QSplitter::splitterMoved, this, [this] { moved_ = true; });
    connect(explanation_, &QTextBrowser::anchorClicked, this, &FindingsPanel::follow);
    connect(warnings_, &QListWidget::itemClicked, this,
            [this](const QListWidgetItem* item) { warningTaken(warnings_->row(item)); });
    connect(warnings_, &QListWidget::itemActivated, this,
            [this](const QListWidgetItem* item) { warningTaken(warnings_->row(item)); });
    connect(&page_.findings(), &QAbstractItemModel::modelReset, this, [this] {
        refresh();
        chooseAgain();
    });
    connect(&page_, &AnalyseModel::changed, this,
            [this] { explanation_->setHtml(page_.explanation(table_->currentIndex().row())); });
    refresh();
    explain();
}

void FindingsPanel::refresh() {
    layOutRows();
    warnings_->clear();
    const std::vector<AnalyseModel::Warning> all = page_.warnings();
    for (const AnalyseModel::Warning& warning : all) {
        auto* const item = new QListWidgetItem(
            warning.field.empty() ? warning.text : tr("%1 (click to state it)").arg(warning.text), warnings_);
        item->setData(field_role, QString::fromStdString(warning.field));
    }
    table_->setVisible(page_.findings().rowCount() > 0); // else the words below it say why there are none
    warnings_title_->setText(page_.analysis() == nullptr ? QString()
                             : all.empty()               ? tr("No warnings")
                                                         : tr("Warnings (%1)").arg(all.size()));
    warnings_->setVisible(!all.empty());
    if (!moved_) {
        const int for_warnings = all.size() > 2 ? 150 : all.empty() ? 24 : 80;
        splitter_->setSizes({480 - for_warnings / 2, 240 - for_warnings / 2, for_warnings});
    }
}

// The finding that was looked at stays in view when it was computed anew.
void FindingsPanel::chooseAgain() {
    const FindingsModel& model = page_.findings();
    for (int row = 0; chosen_ && row < model.rowCount(); ++row) {
        const format::FindingRow* const found = model.finding(row);
        if (found != nullptr && found->id == chosen_->id && found->name == chosen_->name) {
            table_->selectRow(row);
            return;
        }
    }
    explain();
}

void FindingsPanel::layOutRows() {
    FindingsModel& model = page_.findings();
    const QFontMetrics metrics = table_->fontMetrics();
    const int gap = metrics.averageCharWidth() * 5 / 4;
    const auto widthOf = [&](const std::string& words) {
        return metrics.horizontalAdvance(QString::fromStdString(words)) + gap;
    };
    const int number_width = metrics.horizontalAdvance(QStringLiteral("00")) + gap;
    int name_width = 0;
    for (int row = 0; row < model.rowCount(); ++row) {
        if (model.finding(row) != nullptr) {
            const QString name = model.index(row, FindingsModel::nameColumn).data().toString();
            name_width = std::max(name_width, metrics.horizontalAdvance(name) + gap);
        }
    }
    // Two figures stand beside each other where the list is wide enough for them, else one above the other.
    const int room = table_->viewport()->width() - number_width - name_width;
    std::set<int> stacked;
    int second_width = 0;
    for (int row = 0; row < model.rowCount(); ++row) {
        const format::FindingRow* const finding = model.finding(row);
        if (finding == nullptr || finding->second.empty()) {
            continue;
        }
        if (widthOf(finding->result) + widthOf(finding->second) > room) {
            stacked.insert(row);
        } else {
            second_width = std::max(second_width, widthOf(finding->second));
        }
    }
    for (int row = 0; row < model.rowCount(); ++row) {
        const format::FindingRow* const finding = model.finding(row);
        if (finding != nullptr && !finding->second.empty() && widthOf(finding->result) + second_width > room) {
            stacked.insert(row);
        }
    }
    model.setStacked(stacked);
    table_->clearSpans();
    const int line = metrics.height() * 4 / 3;
    for (int row = 0; row < model.rowCount(); ++row) {
        for (const int column :
             {static_cast<int>(FindingsModel::numberColumn), static_cast<int>(FindingsModel::resultColumn)}) {
            if (const int wide = model.columnsFrom(row, column); wide > 1) {
                table_->setSpan(row, column, 1, wide);
            }
        }
        table_->setRowHeight(row, stacked.count(row) > 0 ? line + metrics.lineSpacing() : line);
    }
    QHeaderView* const header = table_->horizontalHeader();
    header->setSectionResizeMode(QHeaderView::Fixed);
    header->resizeSection(FindingsModel::numberColumn, number_width);
    header->resizeSection(FindingsModel::nameColumn, name_width);
    int result_width = gap;
    for (int row = 0; row < model.rowCount(); ++row) {
        const format::FindingRow* const finding = model.finding(row);
        if (finding != nullptr && !finding->second.empty() && stacked.count(row) == 0) {
            result_width = std::max(result_width, widthOf(finding->result));
        }
    }
    // A figure that stands alone reaches over both columns.
    header->resizeSection(FindingsModel::resultColumn, result_width);
    header->resizeSection(FindingsModel::secondColumn, std::max(gap, room - result_width));
}

void FindingsPanel::chooseNone() {
    table_->clearSelection();
    table_->setCurrentIndex({});
    chosen_.reset();
}

void FindingsPanel::explain() {
    const int row = table_->currentIndex().row();
    explanation_->setHtml(page_.explanation(row));
    const format::FindingRow* const finding = page_.findings().finding(row);
    if (finding != nullptr) {
        chosen_ = *finding;
    }
    Q_EMIT chosen(finding == nullptr ? -1 : row);
}

void FindingsPanel::follow(const QUrl& link) {
    const QString target = link.toString();
    const qsizetype colon = target.indexOf(QLatin1Char(':'));
    const QString rest = target.mid(colon + 1);
    if (target.startsWith(QStringLiteral("field:"))) {
        Q_EMIT fieldWanted(rest);
    } else if (const auto kind = landmarkKindNamed(rest.toStdString())) {
        page_.resetLandmark(*kind);
    }
}

void FindingsPanel::warningTaken(int row) {
    if (const QListWidgetItem* const item = warnings_->item(row)) {
        if (const QString field = item->data(field_role).toString(); !field.isEmpty()) {
            Q_EMIT fieldWanted(field);
        }
    }
}

void FindingsPanel::copyChosen() {
    const QModelIndexList chosen = table_->selectionModel()->selectedIndexes();
    const QString lines = chosen.isEmpty() ? page_.findings().allCopied() : page_.findings().copied(chosen);
    QApplication::clipboard()->setText(lines);
    Q_EMIT page_.message(tr("%n finding(s) copied", nullptr, static_cast<int>(lines.count(QLatin1Char('\n')))));
}

void FindingsPanel::copyAll() {
    QApplication::clipboard()->setText(page_.findings().allCopied());
    Q_EMIT page_.message(tr("All findings copied"));
}

bool FindingsPanel::eventFilter(QObject* watched, QEvent* event) {
    if (watched == table_->viewport() && event->type() == QEvent::Resize) {
        layOutRows();
    }
    if (watched == table_ && event->type() == QEvent::KeyPress) {
        auto* const key = static_cast<QKeyEvent*>(event);
        if (key->matches(QKeySequence::Copy)) {
            copyChosen();
            return true;
        }
        if (key->key() == Qt::Key_Return || key->key() == Qt::Key_Enter) {
            explain();
            return true;
        }
        if (key->key() == Qt::Key_Escape) {
            chooseNone();
            return true;
        }
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace potwatch::window
