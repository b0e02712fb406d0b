// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/chart/chart_canvas.h"

#include <QPainter>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::window {

using report::Range;

void ChartCanvas::setData(std::shared_ptr<const ChartData> data) {
    forget(); // it looks into the old data
    data_ = std::move(data);
    held_.clear();
    rows_ = {};
    view_ = {};
    if (data_) {
        view_ = report::fittedView(content());
        held_.assign(content().panes.size(), false);
    }
}

void ChartCanvas::setTheme(const report::Theme& theme) {
    theme_ = theme;
    forget();
}

void ChartCanvas::setSize(QSize pixels, double device_pixel_ratio, double scale) {
    if (pixels == pixels_ && device_pixel_ratio == device_pixel_ratio_ && scale == scale_) {
        return;
    }
    pixels_ = pixels;
    device_pixel_ratio_ = device_pixel_ratio;
    scale_ = scale;
    rows_ = {};
    laid_out_ = false;
}

void ChartCanvas::setHighlight(const std::optional<report::Highlight>& highlight) {
    highlight_ = highlight;
    if (picture_) {
        picture_->setHighlight(highlight);
    }
    painted_ = false;
}

Range ChartCanvas::limited(Range shown_s) const {
    constexpr double fewest_samples = 3.0;
    constexpr double finest_part = 1e-12; // of the time itself: doubles end there
    constexpr double air = 0.02;
    const Range trace = report::wholeRange(content());
    const Range whole{.low = std::min(trace.low - air * trace.width(), content().shown_s.low),
                      .high = std::max(trace.high + air * trace.width(), content().shown_s.high)};
    const auto count = static_cast<double>(std::max<std::size_t>(content().time_s.size(), 2));
    const double narrowest = std::max(fewest_samples * trace.width() / count,
                                      finest_part * std::max(std::abs(whole.low), std::abs(whole.high)));
    double width = std::min(std::max(shown_s.width(), narrowest), whole.width());
    if (!(width > 0.0)) {
        width = whole.width();
    }
    const double middle = 0.5 * (shown_s.low + shown_s.high);
    const double low = std::clamp(middle - 0.5 * width, whole.low, std::max(whole.low, whole.high - width));
    return {.low = low, .high = low + width};
}

bool ChartCanvas::show(Range shown_s) {
    if (isEmpty() || !std::isfinite(shown_s.low) || !std::isfinite(shown_s.high)) {
        return false;
    }
    shown_s = limited(shown_s);
    if (shown_s == view_.shown_s) {
        return false;
    }
    const report::PlotView before = view_;
    view_ = report::followedView(content(), before, shown_s);
    for (std::size_t i = 0; i < held_.size(); ++i) {
        if (held_[i]) {
            view_.panes[i] = before.panes[i];
        }
    }
    laid_out_ = false;
    return true;
}

bool ChartCanvas::fit() {
    if (isEmpty()) {
        return false;
    }
    const report::PlotView before = std::exchange(view_, report::fittedView(content()));
    held_.assign(content().panes.size(), false);
    rows_ = {};
    laid_out_ = false;
    return !(before == view_);
}

bool ChartCanvas::fitAll() {
    if (isEmpty()) {
        return false;
    }
    const report::PlotView before = std::exchange(view_, report::viewOf(content(), report::wholeRange(content())));
    held_.assign(content().panes.size(), false);
    rows_ = {};
    laid_out_ = false;
    return !(before == view_);
}

void ChartCanvas::holdRange(std::size_t pane, const Range& range) {
    if (!isEmpty() && pane < held_.size() && range.width() > 0.0) {
        held_[pane] = true;
        view_.panes[pane].range = range;
        laid_out_ = false;
    }
}

void ChartCanvas::forget() {
    picture_.reset();
    laid_out_ = false;
    painted_ = false;
}

void ChartCanvas::layOut() {
    if (laid_out_) {
        return;
    }
    if (!picture_) {
        picture_ = std::make_unique<report::PlotPicture>(content(), theme_);
        picture_->setHighlight(highlight_);
    }
    picture_->layOut({.size = QSizeF(pixels_) / scale_, .title = false, .foot = false, .strip = strip_height}, view_,
                     {.columns_per_unit = scale_ * device_pixel_ratio_, .for_pixels = true}, rows_);
    rows_ = picture_->layout().rows;
    laid_out_ = true;
    painted_ = false;
}

const report::PlotLayout& ChartCanvas::layout() {
    layOut();
    return picture_->layout();
}

const report::ShownMarks& ChartCanvas::marks() {
    layOut();
    return picture_->marks();
}

report::PlotPicture& ChartCanvas::picture() {
    layOut();
    return *picture_;
}

const QPixmap& ChartCanvas::pixmap() {
    layOut();
    const QSize device = (QSizeF(pixels_) * device_pixel_ratio_).toSize();
    if (!painted_ || pixmap_.size() != device) {
        if (pixmap_.size() != device) {
            pixmap_ = QPixmap(device);
        }
        pixmap_.setDevicePixelRatio(1.0); // painted in device pixels
        QPainter painter(&pixmap_);
        painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing);
        picture_->scene().render(&painter, QRectF(QPointF(0.0, 0.0), QSizeF(device)),
                                 QRectF(QPointF(0.0, 0.0), QSizeF(pixels_) / scale_), Qt::IgnoreAspectRatio);
        painter.end();
        pixmap_.setDevicePixelRatio(device_pixel_ratio_);
        painted_ = true;
    }
    return pixmap_;
}

} // namespace potwatch::window
