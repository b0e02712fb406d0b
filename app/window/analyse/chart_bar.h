// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/analyse/exporter.h"
#include "app/window/chart/chart_view.h"

#include <QString>
#include <QWidget>

#include <map>

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

Q_SIGNALS:
    void toolChosen(potwatch::window::ChartTool tool);
    void fitWanted();
    void fitAllWanted();
    void zoomWanted(double factor);
    void exportWanted(potwatch::window::Exporter::Kind kind);
    void printWanted();
    void copyAllWanted();
    void copyPictureWanted();

private:
    QToolButton* button(const QString& name, const QString& words, const QString& tip);
    void addTools();
    void addViews();
    void addTake();

    QLabel* title_;
    QLabel* busy_;
    QProgressBar* progress_;
    QToolButton* take_ = nullptr;
    std::map<ChartTool, QToolButton*> tools_;
};

} // namespace potwatch::window
