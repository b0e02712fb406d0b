// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/analyse/exporter.h"
#include "app/window/chart/chart_view.h"

#include <QString>
#include <QWidget>

#include <map>
#include <vector>

class QLabel;
class QProgressBar;
class QToolButton;

namespace potwatch::window {

// The slim bar above the chart: what run it is, what the mouse does, and what can be taken away from the page.
class ChartBar : public QWidget {
    Q_OBJECT

public:
    explicit ChartBar(QWidget* parent = nullptr);

    void setTitle(const QString& title);
    void setExportable(bool can);
    void setBusy(bool busy, double fraction);
    void showTool(ChartTool tool);
    // What the data can tell in the chart's place: the bar then has no tools for the chart.
    void showData(bool shown);

Q_SIGNALS:
    void dataWanted(bool wanted);
    void toolChosen(potwatch::window::ChartTool tool);
    void fitWanted();
    void fitAllWanted();
    void zoomWanted(double factor);
    void exportWanted(potwatch::window::Exporter::Kind kind);
    void reportWanted();
    void printWanted();
    void copyAllWanted();
    void copyPictureWanted();

private:
    QToolButton* button(const QString& name, const QString& words, const QString& tip);
    void addTools();
    void addViews();
    void addTake();
    void addData();

    QLabel* title_;
    QLabel* busy_;
    QProgressBar* progress_;
    QToolButton* take_ = nullptr;
    QToolButton* data_ = nullptr;
    std::vector<QWidget*> of_chart_; // what only the chart has a use for
    std::map<ChartTool, QToolButton*> tools_;
};

} // namespace potwatch::window
