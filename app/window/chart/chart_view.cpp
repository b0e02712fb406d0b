// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/chart/chart_view.h"

#include "app/report/drawing.h"
#include "app/window/chart/chart_parts.h"
#include "app/window/chart/read_out.h"

#include <QAccessible>
#include <QEvent>
#include <QFontInfo>
#include <QGraphicsSimpleTextItem>
#include <QPainter>

#include <algorithm>
#include <cmath>
#include <new>
#include <utility>

namespace potwatch::window {

using report::Range;

namespace {

// Below this many samples making a run ready takes no longer than a frame or two.
constexpr std::size_t ready_at_once = 200'000;

constexpr double smallest_text_px = 12.0; // of the desktop, at which a page unit is a pixel

report::Theme themeFor(const QPalette& palette) {
    constexpr int dark_below = 128;
    return palette.color(QPalette::Window).lightness() < dark_below ? report::darkTheme() : report::paperTheme();
}

// Page units grow with the text of the desktop.
double scaleFor(const QFont& font) {
    const double pixels = QFontInfo(font).pixelSize();
    return std::clamp(pixels / smallest_text_px, 1.0, 3.0);
}

} // namespace

ChartView::ChartView(QWidget* parent)
    : QWidget(parent)
    , parts_(std::make_unique<Parts>(*this)) {
    setObjectName(QStringLiteral("chart"));
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setAttribute(Qt::WA_OpaquePaintEvent);
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Expanding);
    parts_->canvas.setTheme(themeFor(palette()));
    parts_->describe();
}

ChartView::~ChartView() = default;

void ChartView::setAnalysis(std::shared_ptr<const Analysis> analysis, bool keep_view) {
    parts_->load(std::move(analysis), keep_view);
}

void ChartView::Parts::load(std::shared_ptr<const Analysis> wanted, bool keep_view) {
    const bool keep = keep_view && !canvas.isEmpty();
    ++generation;
    worker = {}; // asks the one before to stop, and waits for it
    busy = false;
    wanted_s.reset();
    if (!wanted) {
        take(nullptr, false);
        return;
    }
    if (wanted->series.time_s.size() <= ready_at_once) {
        take(chartData(std::move(wanted)), keep);
        return;
    }
    if (!keep) {
        take(nullptr, false); // what is done to the old run must not be taken for the new one's
    }
    busy = true;
    view.update();
    worker = std::jthread([this, keep, own = generation, run = std::move(wanted)](const std::stop_token& stop) {
        std::shared_ptr<const ChartData> data;
        try {
            data = chartData(run, stop);
        } catch (const std::bad_alloc&) {
            // Told where the application tells all such faults.
            QMetaObject::invokeMethod(
                &view, [] { throw std::bad_alloc(); }, Qt::QueuedConnection);
        }
        if (!data) {
            return;
        }
        QMetaObject::invokeMethod(
            &view,
            [this, keep, own, ready = std::move(data)] {
                if (own == generation) {
                    busy = false;
                    take(ready, keep);
                }
            },
            Qt::QueuedConnection);
    });
}

void ChartView::Parts::take(std::shared_ptr<const ChartData> data, bool keep_view) {
    const Range before = canvas.isEmpty() ? Range{} : canvas.shown();
    if (gesture == Gesture::moveLandmark || gesture == Gesture::moveAnnotation || !keep_view) {
        gesture = Gesture::none;
    }
    pending = {};
    canvas.setData(std::move(data));
    if (!keep_view) {
        closeEntry(false);
        selected = {};
        cursors_s = {};
    }
    if (!canvas.isEmpty()) {
        const bool same_pin = selected.kind != Target::Kind::pin || selected.index < canvas.content().pins.size();
        const bool same_note =
            selected.kind != Target::Kind::annotation || selected.index < canvas.content().annotations.size();
        if (!same_pin || !same_note) {
            selected = {};
        }
        if (keep_view) {
            canvas.show(before);
        }
        if (wanted_s) {
            canvas.show(*std::exchange(wanted_s, std::nullopt));
        }
    }
    describe();
    changed(true);
}

void ChartView::Parts::describe() {
    if (canvas.isEmpty()) {
        view.setAccessibleName(ChartView::tr("Chart"));
        view.setAccessibleDescription(ChartView::tr("No run is shown."));
        return;
    }
    const report::PlotContent& content = canvas.content();
    QStringList said;
    for (const report::Pin& pin : content.pins) {
        said << QString::number(pin.number) + QStringLiteral(" ") + QString::fromStdString(pin.line) +
                    (pin.by_hand ? ChartView::tr(", put by hand") : QString());
    }
    for (const report::Span& span : content.spans) {
        said << QString::fromStdString(span.text);
    }
    for (const Annotation& annotation : content.annotations) {
        said << QString::fromStdString(annotation.text);
    }
    view.setAccessibleName(ChartView::tr("Chart of %1").arg(QString::fromStdString(content.title)));
    view.setAccessibleDescription(said.isEmpty() ? ChartView::tr("No landmarks were found.")
                                                 : said.join(QStringLiteral("; ")));
}

void ChartView::Parts::changed(bool moved) {
    view.update();
    if (moved) {
        Q_EMIT view.shownTimeChanged();
    }
}

ChartSurroundings ChartView::Parts::surroundings() {
    return {.content = canvas.content(),
            .layout = canvas.layout(),
            .marks = canvas.marks(),
            .cursors_s = {cursors_s.begin(), cursors_s.end()}};
}

report::Point ChartView::Parts::onPage(QPointF pixels) const {
    return {.x = pixels.x() / canvas.scale(), .y = pixels.y() / canvas.scale()};
}

QPointF ChartView::Parts::onWidget(report::Point page) const {
    return {page.x * canvas.scale(), page.y * canvas.scale()};
}

double ChartView::Parts::secondsAPixel() {
    return canvas.shown().width() / std::max(1.0, canvas.layout().areas.front().width());
}

Range ChartView::shownTime() const {
    return parts_->canvas.isEmpty() ? Range{.low = 0.0, .high = 0.0} : parts_->canvas.shown();
}

report::PlotView ChartView::shownView() const {
    return parts_->canvas.isEmpty() ? report::PlotView{} : parts_->canvas.view();
}

bool ChartView::isBusy() const {
    return parts_->busy;
}

void ChartView::showTime(Range shown_s) {
    if (parts_->busy) {
        parts_->wanted_s = shown_s;
        return;
    }
    if (parts_->canvas.show(shown_s)) {
        parts_->changed(true);
    }
}

void ChartView::fit() {
    if (parts_->canvas.fit()) {
        parts_->changed(true);
    }
}

void ChartView::fitAll() {
    if (parts_->canvas.fitAll()) {
        parts_->changed(true);
    }
}

void ChartView::zoomBy(double factor) {
    if (parts_->canvas.isEmpty() || !(factor > 0.0)) {
        return;
    }
    const Range shown = shownTime();
    double about = 0.5 * (shown.low + shown.high);
    if (const auto cursor_s = parts_->cursors_s[0]; cursor_s && *cursor_s > shown.low && *cursor_s < shown.high) {
        about = *cursor_s;
    }
    showTime({.low = about + (shown.low - about) / factor, .high = about + (shown.high - about) / factor});
}

void ChartView::panBy(double part) {
    const Range shown = shownTime();
    showTime({.low = shown.low + part * shown.width(), .high = shown.high + part * shown.width()});
}

void ChartView::setReadingLine(int which, std::optional<double> time_s) {
    if (which < 0 || which > 1) {
        return;
    }
    parts_->cursors_s[static_cast<std::size_t>(which)] = time_s;
    update();
}

std::optional<double> ChartView::readingLine(int which) const {
    return which == 0 || which == 1 ? parts_->cursors_s[static_cast<std::size_t>(which)] : std::nullopt;
}

QStringList ChartView::readOut() const {
    return parts_->stripLines();
}

std::optional<QPointF> ChartView::positionOf(PaneKind pane, double time_s, double value) const {
    if (parts_->canvas.isEmpty()) {
        return std::nullopt;
    }
    const auto index = report::paneIndex(parts_->canvas.content(), pane);
    const report::PlotLayout& layout = parts_->canvas.layout();
    if (!index || !layout.shows(time_s)) {
        return std::nullopt;
    }
    return parts_->onWidget({.x = layout.xOf(time_s), .y = report::yOf(value, parts_->canvas.view(), layout, *index)});
}

std::optional<QPointF> ChartView::positionOf(LandmarkKind landmark) const {
    if (parts_->canvas.isEmpty()) {
        return std::nullopt;
    }
    for (const report::ShownPin& pin : parts_->canvas.marks().pins) {
        if (parts_->canvas.content().pins[pin.pin].kind == landmark) {
            return parts_->onWidget(pin.place);
        }
    }
    return std::nullopt;
}

QStringList ChartView::shownTexts() const {
    QStringList texts;
    if (!parts_->canvas.isEmpty()) {
        for (QGraphicsItem* const item : parts_->canvas.picture().scene().items()) {
            if (const auto* const text = qgraphicsitem_cast<QGraphicsSimpleTextItem*>(item)) {
                texts << text->text();
            }
        }
    }
    return texts;
}

ChartTool ChartView::tool() const {
    return parts_->tool;
}

void ChartView::setTool(ChartTool tool) {
    if (tool == parts_->tool) {
        return;
    }
    parts_->closeEntry(true);
    parts_->gesture = Parts::Gesture::none;
    parts_->tool = tool;
    update();
    Q_EMIT toolChanged(tool);
}

void ChartView::setHighlight(const std::optional<Highlight>& highlight) {
    parts_->canvas.setHighlight(
        highlight ? std::optional{report::Highlight{.pane = highlight->pane, .time_s = highlight->time_s}}
                  : std::nullopt);
    update();
}

void ChartView::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    parts_->canvas.setSize(size(), devicePixelRatioF(), scaleFor(font()));
    if (parts_->canvas.isEmpty()) {
        painter.fillRect(rect(), parts_->canvas.theme().ground);
        if (parts_->busy) {
            painter.setPen(parts_->canvas.theme().ink);
            painter.drawText(rect(), Qt::AlignCenter, tr("The picture is being made ready \u2026"));
        }
    } else {
        painter.drawPixmap(0, 0, parts_->canvas.pixmap());
        parts_->paintOver(painter);
    }
    if (hasFocus()) {
        constexpr double width = 2.0;
        painter.setPen(QPen(parts_->canvas.theme().plateau, width));
        painter.setBrush(Qt::NoBrush);
        painter.drawRect(QRectF(rect()).adjusted(0.5 * width, 0.5 * width, -0.5 * width, -0.5 * width));
    }
}

void ChartView::resizeEvent(QResizeEvent* event) {
    QWidget::resizeEvent(event);
    parts_->closeEntry(true);
    parts_->canvas.setSize(size(), devicePixelRatioF(), scaleFor(font()));
}

void ChartView::changeEvent(QEvent* event) {
    QWidget::changeEvent(event);
    if (event->type() == QEvent::PaletteChange || event->type() == QEvent::ApplicationPaletteChange) {
        parts_->canvas.setTheme(themeFor(palette()));
        update();
    } else if (event->type() == QEvent::FontChange) {
        parts_->canvas.setSize(size(), devicePixelRatioF(), scaleFor(font()));
        update();
    }
}

QSize ChartView::sizeHint() const {
    return {1000, 700};
}

QSize ChartView::minimumSizeHint() const {
    return {480, 360};
}

} // namespace potwatch::window
