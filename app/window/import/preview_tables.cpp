// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/import/preview_tables.h"

#include "app/format/number.h"
#include "app/format/text.h"
#include "app/session/preview.h"

#include <QHeaderView>
#include <QTableWidget>

#include <algorithm>
#include <cmath>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr std::size_t most_lines = 500; // more than a person reads; the count says how many there are

QString text(const std::string& utf8) {
    return QString::fromStdString(utf8);
}

QTableWidgetItem* cell(const QString& words, bool number) {
    auto* const item = new QTableWidgetItem(words);
    item->setFlags(Qt::ItemIsSelectable | Qt::ItemIsEnabled);
    item->setTextAlignment((number ? Qt::AlignRight : Qt::AlignLeft) | Qt::AlignVCenter);
    return item;
}

QString unitText(const std::string& unit) {
    if (unit == "degC") {
        return u"°C"_s;
    }
    return unit == "degF" ? u"°F"_s : text(unit);
}

QString numberText(double value) {
    return std::isfinite(value) ? text(format::numberText(value)) : QString();
}

QString numberText(const std::optional<double>& value) {
    return value ? numberText(*value) : QString();
}

void setHeadings(QTableWidget& widget, const QStringList& headings) {
    widget.clear();
    widget.setColumnCount(static_cast<int>(headings.size()));
    widget.setHorizontalHeaderLabels(headings);
}

int addLines(QTableWidget& widget, const std::vector<csv::Refusal>& lines, const QString& kind) {
    for (std::size_t i = 0; i < std::min(lines.size(), most_lines); ++i) {
        const int row = widget.rowCount();
        widget.insertRow(row);
        widget.setItem(row, 0, cell(QString::number(lines[i].line), true));
        widget.setItem(row, 1, cell(kind, false));
        widget.setItem(row, 2, cell(text(format::oneLine(lines[i].reason)), false));
    }
    return static_cast<int>(lines.size());
}

} // namespace

QTableWidget* previewTable(const QString& object_name, const QString& accessible_name, QWidget* parent) {
    auto* const widget = new QTableWidget(parent);
    widget->setObjectName(object_name);
    widget->setAccessibleName(accessible_name);
    widget->setSelectionBehavior(QAbstractItemView::SelectRows);
    widget->setEditTriggers(QAbstractItemView::NoEditTriggers);
    widget->setShowGrid(false);
    widget->setAlternatingRowColors(true);
    widget->setWordWrap(false);
    widget->verticalHeader()->hide();
    widget->verticalHeader()->setDefaultSectionSize(widget->fontMetrics().height() * 3 / 2);
    widget->horizontalHeader()->setHighlightSections(false);
    widget->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    widget->setTabKeyNavigation(false);
    widget->horizontalHeader()->setMinimumSectionSize(widget->fontMetrics().height() * 4);
    return widget;
}

void fillColumns(QTableWidget& widget, const csv::Table& table) {
    setHeadings(widget, {QTableWidget::tr("Column"), QTableWidget::tr("Unit"), QTableWidget::tr("Numbers"),
                         QTableWidget::tr("Least"), QTableWidget::tr("Greatest"), QTableWidget::tr("at")});
    widget.setRowCount(static_cast<int>(table.channels.size()));
    for (std::size_t i = 0; i < table.channels.size(); ++i) {
        const csv::ColumnSummary& summary = table.summaries[i];
        const int row = static_cast<int>(i);
        const std::string& name = table.channels[i].name;
        widget.setItem(row, 0, cell(name.empty() ? QTableWidget::tr("(no name)") : text(format::oneLine(name)), false));
        widget.setItem(row, 1, cell(unitText(table.channels[i].unit), false));
        widget.setItem(row, 2, cell(text(format::countText(summary.kept)), true));
        widget.setItem(row, 3, cell(numberText(summary.min), true));
        widget.setItem(row, 4, cell(numberText(summary.max), true));
        widget.setItem(row, 5, cell(summary.max_at_s ? numberText(*summary.max_at_s) + u" s"_s : QString(), true));
    }
    widget.resizeColumnsToContents();
    widget.horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
}

void fillRows(QTableWidget& widget, const csv::Table& table) {
    QStringList headings{QTableWidget::tr("Time, s")};
    for (const Channel& channel : table.channels) {
        headings += text(format::oneLine(channel.name));
    }
    setHeadings(widget, headings);
    widget.setRowCount(static_cast<int>(std::min(table.time_s.size(), session::preview_rows)));
    for (int row = 0; row < widget.rowCount(); ++row) {
        const auto at = static_cast<std::size_t>(row);
        widget.setItem(row, 0, cell(numberText(table.time_s[at]), true));
        for (std::size_t column = 0; column < table.channels.size(); ++column) {
            const std::vector<double>& values = table.channels[column].values;
            widget.setItem(row, static_cast<int>(column) + 1,
                           cell(at < values.size() ? numberText(values[at]) : QString(), true));
        }
    }
    widget.resizeColumnsToContents();
}

int fillLines(QTableWidget& widget, const csv::Table& table) {
    setHeadings(widget, {QTableWidget::tr("Line"), QTableWidget::tr("What"), QTableWidget::tr("Why")});
    widget.setRowCount(0);
    addLines(widget, table.refused, QTableWidget::tr("refused"));
    addLines(widget, table.clock_faults, QTableWidget::tr("clock"));
    addLines(widget, table.odd_cells, QTableWidget::tr("no number"));
    widget.resizeColumnsToContents();
    widget.horizontalHeader()->setStretchLastSection(true);
    return static_cast<int>(table.rows_refused + table.clock_fault_count + table.odd_cell_count);
}

} // namespace potwatch::window
