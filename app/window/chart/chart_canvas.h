// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/plot_picture.h"
#include "app/window/chart/chart_data.h"

#include <QPixmap>

#include <memory>
#include <optional>
#include <vector>

namespace potwatch::window {

// The picture under the chart: which stretch of the run is in view, and its pixels. Laid out and painted only when
// asked for, so that many moves make one picture. Lengths are page units: pixels over scale().
class ChartCanvas {
public:
    static constexpr double strip_height = 38.0; // for the cursor's words

    void setData(std::shared_ptr<const ChartData> data); // null: nothing to show
    void setTheme(const report::Theme& theme);
    void setSize(QSize pixels, double device_pixel_ratio, double scale);
    void setHighlight(const std::optional<report::Highlight>& highlight);

    [[nodiscard]] bool isEmpty() const { return data_ == nullptr; }
    // Assumes: not empty.
    [[nodiscard]] const report::PlotContent& content() const { return data_->content; }
    [[nodiscard]] const Analysis& analysis() const { return *data_->analysis; } // of the content
    [[nodiscard]] const report::Theme& theme() const { return theme_; }
    [[nodiscard]] double scale() const { return scale_; }

    // Moves within what there is to see, and no closer than a few samples. Returns whether anything changed.
    bool show(report::Range shown_s);
    bool fit();
    bool fitAll();
    // Fixes the value axis of a pane until the next fit.
    void holdRange(std::size_t pane, const report::Range& range);
    [[nodiscard]] const report::Range& shown() const { return view_.shown_s; }
    [[nodiscard]] const report::PlotView& view() const { return view_; }

    // Assumes: not empty.
    [[nodiscard]] const report::PlotLayout& layout();
    [[nodiscard]] const report::ShownMarks& marks();
    [[nodiscard]] const QPixmap& pixmap();
    [[nodiscard]] report::PlotPicture& picture();

private:
    [[nodiscard]] report::Range limited(report::Range shown_s) const;
    void layOut();
    void forget(); // the picture has to be made anew

    std::shared_ptr<const ChartData> data_;
    report::Theme theme_ = report::paperTheme();
    QSize pixels_{1, 1};
    double device_pixel_ratio_ = 1.0;
    double scale_ = 1.0;
    std::optional<report::Highlight> highlight_;
    report::PlotView view_;
    std::vector<bool> held_;
    report::MarkRows rows_;
    std::unique_ptr<report::PlotPicture> picture_;
    bool laid_out_ = false;
    bool painted_ = false;
    QPixmap pixmap_;
};

} // namespace potwatch::window
