// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/annotation.h"
#include "analysis/values/findings.h"
#include "analysis/values/landmark_kind.h"
#include "app/report/axis.h"

#include <QWidget>

#include <memory>
#include <optional>

namespace potwatch::window {

// What the left mouse button does on the chart.
enum class ChartTool { pan, boxZoom, text, arrow, span };

// One run as stacked panes on one time axis: pan, zoom, cursors, landmarks that can be dragged, annotations.
// It shows and asks; it never changes the run: what the person does comes out as a signal.
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

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace potwatch::window
