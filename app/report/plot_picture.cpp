// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_picture.h"

#include "app/report/drawing.h"
#include "app/report/plot_margin.h"

#include <QPen>

#include <algorithm>

namespace potwatch::report {
namespace {

// Whether the words of the two are the same.
bool sameWords(const PlotLayout& a, const PlotLayout& b) {
    return a.page.size == b.page.size && a.page.title == b.page.title && a.page.foot == b.page.foot &&
           a.areas == b.areas && a.events_without_words == b.events_without_words;
}

// A pane's title along its axis, in two lines where the pane is lower than the title is long.
void drawUprightTitle(Sheet& sheet, const std::string& title, Point middle, double room) {
    constexpr double half_line = 6.5;
    const QFont font = drawingFont(small_text);
    const std::size_t half = title.size() / 2;
    const std::size_t before = title.rfind(' ', half);
    const std::size_t after = title.find(' ', half);
    const auto away = [&](std::size_t at) {
        return at == std::string::npos ? title.size() : at > half ? at - half : half - at;
    };
    const std::size_t space = away(before) < away(after) ? before : after;
    if (Sheet::widthOf(title, font) <= room || space == std::string::npos) {
        sheet.uprightText(Sheet::fitted(title, font, room), middle, font);
        return;
    }
    sheet.uprightText(Sheet::fitted(title.substr(0, space), font, room), {.x = middle.x - half_line, .y = middle.y},
                      font);
    sheet.uprightText(Sheet::fitted(title.substr(space + 1), font, room), {.x = middle.x + half_line, .y = middle.y},
                      font);
}

} // namespace

PlotPicture::PlotPicture(const PlotContent& content, const Theme& theme)
    : content_(content)
    , scene_(std::make_unique<QGraphicsScene>())
    , words_(*scene_, theme)
    , view_marks_(*scene_, theme)
    , lit_(*scene_, theme) {
    scene_->setItemIndexMethod(QGraphicsScene::NoIndex);
    scene_->setBackgroundBrush(theme.ground);
    for (std::size_t i = 0; i < content.panes.size(); ++i) {
        frames_.emplace_back(*scene_, theme, content.panes[i].right_range.has_value(), i + 1 == content.panes.size());
        auto* const item = new PaneItem(content.panes[i], content.time_s, theme);
        item->setZValue(layer::trace);
        scene_->addItem(item);
        items_.push_back(item);
    }
}

void PlotPicture::layOut(const PlotPage& page, const PlotView& view, const Fineness& fineness, const MarkRows& least) {
    PlotLayout layout = plotLayout(content_, view, page, least);
    const bool words_stay = laid_out_ && sameWords(layout, layout_);
    layout_ = std::move(layout);
    view_ = view;
    laid_out_ = true;
    scene_->setSceneRect(QRectF(QPointF(0.0, 0.0), page.size));
    if (!words_stay) {
        drawWords();
    }
    view_marks_.clear();
    marks_ = {};
    if (!content_.panes.empty()) {
        layOutPanes(fineness);
        marks_ = drawMarks(view_marks_, content_, view_, layout_, items_.front()->temperatureLines(), pins_with_words_);
    }
    setHighlight(highlight_);
}

void PlotPicture::layOutPanes(const Fineness& fineness) {
    const double width = layout_.areas.front().width();
    const auto columnsOf = [&](double count) {
        return columnSamples(
            content_.time_s,
            {.from = view_.shown_s.low, .to = view_.shown_s.high, .count = std::max(1, static_cast<int>(count))});
    };
    const ColumnSamples columns = columnsOf(width * fineness.columns_per_unit);
    const ColumnSamples step_columns = columnsOf(width / step_width);
    for (std::size_t i = 0; i < items_.size(); ++i) {
        frames_[i].layOut(layout_.areas[i], view_.shown_s, view_.panes[i]);
        frames_[i].drawMarks(view_marks_);
        items_[i]->layOut({.area = layout_.areas[i],
                           .shown_s = view_.shown_s,
                           .view = view_.panes[i],
                           .columns = &columns,
                           .step_columns = &step_columns,
                           .for_pixels = fineness.for_pixels});
    }
}

void PlotPicture::setHighlight(const std::optional<Highlight>& highlight) {
    highlight_ = highlight;
    lit_.clear();
    if (highlight_ && laid_out_ && !content_.panes.empty()) {
        drawHighlight(lit_, content_, layout_, *highlight_);
    }
}

void PlotPicture::drawWords() {
    words_.clear();
    const double left = page_edge;
    const double right = layout_.margin_right;
    const double bottom = layout_.page.size.height();
    const QFont title = drawingFont(18.0, true);
    const QFont foot = drawingFont(10.0);
    if (layout_.page.title) {
        words_.text(Sheet::fitted(content_.title, title, right - left), {.x = left, .y = layout_.page.strip + 24.0},
                    title);
    }
    if (layout_.page.foot) {
        words_.line({.x = left, .y = bottom - 40.0}, {.x = right, .y = bottom - 40.0}, QPen(words_.theme().frame, 0.6),
                    layer::mark);
        words_.text(Sheet::fitted(content_.foot, foot, right - left), {.x = left, .y = bottom - 28.0}, foot);
        words_.text(Sheet::fitted(content_.note, foot, right - left), {.x = left, .y = bottom - 13.0}, foot);
    }
    if (content_.panes.empty()) {
        words_.text("This run has no temperature that could be drawn.",
                    {.x = 0.5 * layout_.page.size.width(), .y = 0.5 * bottom}, drawingFont(14.0), Align::centre);
        return;
    }
    for (std::size_t i = 0; i < content_.panes.size(); ++i) {
        const Box& area = layout_.areas[i];
        const double middle = 0.5 * (area.top + area.bottom);
        const double room = area.height() + 8.0;
        drawUprightTitle(words_, content_.panes[i].title, {.x = area.left - 54.0, .y = middle}, room);
        if (content_.panes[i].right_range) {
            drawUprightTitle(words_, content_.panes[i].right_title, {.x = area.right + 46.0, .y = middle}, room);
        }
    }
    pins_with_words_ = drawMargin(words_, content_, layout_);
}

} // namespace potwatch::report
