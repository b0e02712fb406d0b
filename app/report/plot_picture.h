// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/pane_frame.h"
#include "app/report/pane_item.h"
#include "app/report/plot_content.h"
#include "app/report/plot_layout.h"
#include "app/report/plot_marks.h"
#include "app/report/sheet.h"
#include "app/report/theme.h"

#include <QGraphicsScene>

#include <memory>
#include <optional>
#include <vector>

namespace potwatch::report {

// A plot ready to be painted, for screen and for files alike: frames, axes and grid by Qt Charts, a PaneItem a pane,
// the rest by Sheet. Another view moves and thins what is there; words that stay are left alone. Assumes:
// prepareDrawing() went well, or an application object that can draw; the content outlives the picture.
class PlotPicture {
public:
    PlotPicture(const PlotContent& content, const Theme& theme);

    // Lays everything out. for_pixels: for_pixels of PaneLook; columns_per_unit: how finely traces are thinned.
    struct Fineness {
        double columns_per_unit = 2.0;
        bool for_pixels = false;
    };
    void layOut(const PlotPage& page, const PlotView& view, const Fineness& fineness, const MarkRows& least = {});
    void setHighlight(const std::optional<Highlight>& highlight);

    // Render QRectF({0, 0}, page.size); the scene's own rectangle may be larger.
    [[nodiscard]] QGraphicsScene& scene() { return *scene_; }
    [[nodiscard]] const PlotLayout& layout() const { return layout_; }
    [[nodiscard]] const PlotView& view() const { return view_; }
    [[nodiscard]] const ShownMarks& marks() const { return marks_; }
    [[nodiscard]] const PlotContent& content() const { return content_; }

    // Gives the scene away; the picture is of no more use.
    [[nodiscard]] std::unique_ptr<QGraphicsScene> release() { return std::move(scene_); }

private:
    void drawWords();
    void layOutPanes(const Fineness& fineness);

    const PlotContent& content_;
    std::unique_ptr<QGraphicsScene> scene_;
    Sheet words_;      // what stays while the view moves
    Sheet view_marks_; // what moves with it
    Sheet lit_;
    std::vector<PaneFrame> frames_;
    std::vector<PaneItem*> items_; // of the scene
    PlotLayout layout_;
    PlotView view_;
    ShownMarks marks_;
    std::optional<Highlight> highlight_;
    std::size_t pins_with_words_ = 0;
    bool laid_out_ = false;
};

} // namespace potwatch::report
