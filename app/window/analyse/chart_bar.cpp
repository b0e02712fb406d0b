// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/chart_bar.h"

#include <QButtonGroup>
#include <QHBoxLayout>
#include <QLabel>
#include <QMenu>
#include <QProgressBar>
#include <QToolButton>

#include <algorithm>
#include <cmath>

namespace potwatch::window {
namespace {

constexpr double zoom_step = 1.5;

} // namespace

ChartBar::ChartBar(QWidget* parent)
    : QWidget(parent)
    , title_(new QLabel(this))
    , busy_(new QLabel(tr("working anew"), this))
    , progress_(new QProgressBar(this)) {
    const int gap = fontMetrics().averageCharWidth();
    auto* const row = new QHBoxLayout(this);
    row->setContentsMargins(gap, gap / 2, gap, gap / 2);
    row->setSpacing(gap / 2);
    QFont bold = font();
    bold.setBold(true);
    title_->setFont(bold);
    title_->setObjectName(QStringLiteral("run title"));
    title_->setTextFormat(Qt::PlainText);
    title_->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Preferred);
    row->addWidget(title_, 1);
    busy_->setObjectName(QStringLiteral("busy"));
    row->addWidget(busy_);
    progress_->setObjectName(QStringLiteral("busy progress"));
    progress_->setAccessibleName(tr("Findings are being worked out"));
    progress_->setTextVisible(false);
    progress_->setRange(0, 100);
    progress_->setFixedSize(8 * gap, fontMetrics().height() / 2);
    row->addWidget(progress_);
    row->addSpacing(gap);
    addTools();
    row->addSpacing(gap);
    addViews();
    row->addSpacing(gap);
    addTake();
    addData();
    setBusy(false, 0.0);
    showTool(ChartTool::pan);
}

QToolButton* ChartBar::button(const QString& name, const QString& words, const QString& tip) {
    auto* const made = new QToolButton(this);
    made->setObjectName(name);
    made->setText(words);
    made->setToolTip(tip);
    made->setAccessibleName(tip);
    made->setAutoRaise(true);
    made->setFocusPolicy(Qt::TabFocus);
    layout()->addWidget(made);
    return made;
}

void ChartBar::addTools() {
    auto* const group = new QButtonGroup(this);
    const auto add = [&](ChartTool tool, const QString& name, const QString& words, const QString& tip) {
        QToolButton* const made = button(name, words, tip);
        made->setCheckable(true);
        group->addButton(made);
        tools_[tool] = made;
        of_chart_.push_back(made);
        connect(made, &QToolButton::clicked, this, [this, tool] { Q_EMIT toolChosen(tool); });
    };
    add(ChartTool::pan, QStringLiteral("tool pan"), tr("Move"), tr("Drag the chart along (H)"));
    add(ChartTool::boxZoom, QStringLiteral("tool box"), tr("Box"), tr("Zoom into a box that is drawn (Z)"));
    add(ChartTool::cursor, QStringLiteral("tool cursor"), tr("Measure"),
        tr("Read values and distances between two moments (C)"));
    add(ChartTool::text, QStringLiteral("tool text"), tr("Text"), tr("Write on the chart (T)"));
    add(ChartTool::arrow, QStringLiteral("tool arrow"), tr("Arrow"), tr("Point at something on the chart (A)"));
    add(ChartTool::span, QStringLiteral("tool span"), tr("Span"), tr("Draw a dimension line between two moments (S)"));
}

void ChartBar::addViews() {
    const auto add = [&](const char* name, const QString& words, const QString& tip) {
        QToolButton* const made = button(QString::fromLatin1(name), words, tip);
        of_chart_.push_back(made);
        return made;
    };
    connect(add("zoom out", QStringLiteral("\u2212"), tr("Zoom out (-)")), &QToolButton::clicked, this,
            [this] { Q_EMIT zoomWanted(1.0 / zoom_step); });
    connect(add("zoom in", QStringLiteral("+"), tr("Zoom in (+)")), &QToolButton::clicked, this,
            [this] { Q_EMIT zoomWanted(zoom_step); });
    connect(add("fit", tr("Fit"), tr("Show what is worth seeing (Home)")), &QToolButton::clicked, this,
            &ChartBar::fitWanted);
    connect(add("fit all", tr("All"), tr("Show the whole trace (End)")), &QToolButton::clicked, this,
            &ChartBar::fitAllWanted);
}

void ChartBar::addData() {
    data_ = button(QStringLiteral("data shown"), tr("&What the data can tell"),
                   tr("How the resin cures, from several runs"));
    data_->setCheckable(true);
    connect(data_, &QToolButton::toggled, this, &ChartBar::dataWanted);
}

void ChartBar::showData(bool shown) {
    data_->setChecked(shown);
    data_->setText(shown ? tr("&Back to the chart") : tr("&What the data can tell"));
    for (QWidget* const widget : of_chart_) {
        widget->setVisible(!shown);
    }
}

void ChartBar::addTake() {
    take_ = button(QStringLiteral("export"), tr("Export..."), tr("Export, copy or print"));
    of_chart_.push_back(take_);
    auto* const menu = new QMenu(take_);
    const auto exporting = [&](const QString& words, Exporter::Kind kind, const QString& name) {
        menu->addAction(words, this, [this, kind] { Q_EMIT exportWanted(kind); })->setObjectName(name);
    };
    exporting(tr("Plot as SVG, PDF or PNG..."), Exporter::Kind::plot, QStringLiteral("export plot"));
    menu->addAction(tr("Report as PDF or web page..."), this, &ChartBar::reportWanted)
        ->setObjectName(QStringLiteral("export report"));
    exporting(tr("Traces as CSV..."), Exporter::Kind::series, QStringLiteral("export series"));
    exporting(tr("Findings as JSON..."), Exporter::Kind::findings, QStringLiteral("export findings"));
    menu->addSeparator();
    menu->addAction(tr("Copy all findings"), this, &ChartBar::copyAllWanted)->setObjectName(QStringLiteral("copy all"));
    menu->addAction(tr("Copy the picture"), this, &ChartBar::copyPictureWanted)
        ->setObjectName(QStringLiteral("copy picture"));
    menu->addSeparator();
    menu->addAction(tr("Print the report..."), this, &ChartBar::printWanted)->setObjectName(QStringLiteral("print"));
    menu->setObjectName(QStringLiteral("export menu"));
    connect(take_, &QToolButton::clicked, menu,
            [this, menu] { menu->popup(take_->mapToGlobal(QPoint(0, take_->height()))); });
}

void ChartBar::setTitle(const QString& title) {
    title_->setText(title);
    title_->setToolTip(title);
}

void ChartBar::setExportable(bool can) {
    take_->setEnabled(can);
}

void ChartBar::setBusy(bool busy, double fraction) {
    busy_->setVisible(busy);
    progress_->setVisible(busy);
    progress_->setValue(static_cast<int>(std::lround(100.0 * std::clamp(fraction, 0.0, 1.0))));
}

void ChartBar::showTool(ChartTool tool) {
    if (const auto found = tools_.find(tool); found != tools_.end()) {
        found->second->setChecked(true);
    }
}

} // namespace potwatch::window
