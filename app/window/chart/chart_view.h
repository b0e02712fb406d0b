// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/annotation.h"
#include "analysis/values/findings.h"
#include "analysis/values/landmark_kind.h"
#include "app/report/plot_content.h"

#include <QPointF>
#include <QString>
#include <QStringList>
#include <QWidget>

#include <memory>
#include <optional>

namespace potwatch::window {

// What the left mouse button does on the chart.
enum class ChartTool { pan, boxZoom, text, arrow, span, cursor };

// One run as stacked panes on one time axis: pan, zoom, cursors, landmarks that can be dragged, annotations.
// It shows and asks; it never changes the run: what the person does comes out as a signal. A long run is made ready on
// another thread; with keep_view, what was shown before stays until then.
// Units: seconds of the run; values in the pane's unit.
class ChartView : public QWidget {
    Q_OBJECT

public:
    explicit ChartView(QWidget* parent = nullptr);
    ~ChartView() override;

    // Shows another run (fitted), or the same one with other findings (keep_view). Null empties the chart.
    void setAnalysis(std::shared_ptr<const Analysis> analysis, bool keep_view = false);

    [[nodiscard]] report::Range shownTime() const;
    void showTime(report::Range shown_s);
    void fit();                 // what is worth seeing
    void fitAll();              // the whole trace
    void zoomBy(double factor); // about the cursor, else about the middle; 2 = half the time in view
    void panBy(double part);    // of the width in view; positive = later

    // What is in view, value axes included: for exporting what is seen.
    [[nodiscard]] report::PlotView shownView() const;
    // Whether a run is still being made ready.
    [[nodiscard]] bool isBusy() const;

    // Two moments whose values, and whose distance, are read out above the panes. Nothing takes one away.
    void setReadingLine(int which, std::optional<double> time_s); // which: 0 or 1
    [[nodiscard]] std::optional<double> readingLine(int which) const;
    // What stands above the panes: the read-out of the cursors, or what can be done.
    [[nodiscard]] QStringList readOut() const;

    // Where something stands, in pixels of the widget; empty where it is not in view.
    [[nodiscard]] std::optional<QPointF> positionOf(PaneKind pane, double time_s, double value) const;
    [[nodiscard]] std::optional<QPointF> positionOf(LandmarkKind landmark) const; // of its pin's number
    // Every text that is drawn, for tests of what the chart says.
    [[nodiscard]] QStringList shownTexts() const;

    [[nodiscard]] ChartTool tool() const;
    void setTool(ChartTool tool);

    // Lights up a stretch of time (a moment where both ends are equal) in one pane; nothing takes it away.
    struct Highlight {
        PaneKind pane = PaneKind::temperature;
        report::Range time_s;
    };
    void setHighlight(const std::optional<Highlight>& highlight);

Q_SIGNALS:
    void landmarkMoved(LandmarkKind landmark, double time_s);
    void landmarkReset(LandmarkKind landmark); // back to where the analysis finds it
    void annotationAdded(const Annotation& annotation);
    void annotationChanged(int index, const Annotation& annotation);
    void annotationRemoved(int index);
    void eventWanted(double time_s); // "mark an event here"
    void shownTimeChanged();
    void toolChanged(ChartTool tool);

protected:
    bool event(QEvent* event) override;
    bool eventFilter(QObject* watched, QEvent* event) override;
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void changeEvent(QEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mouseReleaseEvent(QMouseEvent* event) override;
    void mouseDoubleClickEvent(QMouseEvent* event) override;
    void leaveEvent(QEvent* event) override;
    void wheelEvent(QWheelEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    void contextMenuEvent(QContextMenuEvent* event) override;
    bool focusNextPrevChild(bool next) override;
    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace potwatch::window
