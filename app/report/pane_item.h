// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/decimation.h"
#include "app/report/geometry.h"
#include "app/report/plot_content.h"
#include "app/report/raster_line.h"
#include "app/report/theme.h"

#include <QGraphicsItem>
#include <QPen>

#include <span>
#include <vector>

namespace potwatch::report {

inline constexpr double step_width = 5.0; // page units of one step of the degree of cure

// How a trace is stroked, and how its area or its band is filled; the key beside the pane uses the same.
[[nodiscard]] QPen tracePen(TraceStyle style, const Theme& theme);
[[nodiscard]] QColor areaColour(TraceStyle style, bool is_band, const Theme& theme);

// Where a pane lies and what of it is in view.
struct PaneLook {
    Box area{}; // the plot area in the parent's coordinates
    Range shown_s{};
    PaneView view{};
    const ColumnSamples* columns = nullptr; // over shown_s: of the lines, and of the steps; needed during the call
    const ColumnSamples* step_columns = nullptr;
    bool for_pixels = false; // painted in pixels, one a column: quick rather than small
};

// The traces and bands of one pane as one graphics item: thinned to the width they are drawn at and cut to the plot
// area in own code, since vector formats do not clip. Threads: the thread of the application object, as all of this
// folder's drawing.
class PaneItem : public QGraphicsItem {
public:
    // Assumes: pane and time_s outlive the item.
    PaneItem(const Pane& pane, std::span<const double> time_s, const Theme& theme, QGraphicsItem* parent = nullptr);

    void layOut(const PaneLook& look);

    [[nodiscard]] QRectF boundingRect() const override;
    void paint(QPainter* painter, const QStyleOptionGraphicsItem* option, QWidget* widget) override;

    // What is painted of the temperature, in scene coordinates: pins keep clear of it.
    [[nodiscard]] const std::vector<Polyline>& temperatureLines() const { return temperature_lines_; }
    // Every point painted, for tests.
    [[nodiscard]] std::vector<Point> paintedPoints() const;

private:
    struct Stroke {
        TraceStyle style = TraceStyle::temperature;
        std::vector<Polyline> lines{};
        std::vector<Box> columns{}; // in place of lines too noisy to be stroked as one
    };
    struct Area {
        TraceStyle style = TraceStyle::temperature;
        bool is_band = false;
        std::vector<Polyline> polygons{};
        std::vector<Box> columns{};
    };

    void addTrace(const PaneTrace& trace, const PaneLook& look);
    void addPart(Stroke& stroke, Polyline part, double column, bool stepped) const;
    void addBand(const PaneBand& band, const PaneLook& look);

    const Pane& pane_;
    std::span<const double> time_s_;
    Theme theme_;
    Box area_;
    bool for_pixels_ = false;
    std::vector<Area> areas_;     // painted first
    std::vector<Stroke> strokes_; // in order, the temperature last
    std::vector<Polyline> temperature_lines_;
};

} // namespace potwatch::report
