// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/report/page_view.h"

#include "app/window/look.h"

#include <QEvent>
#include <QKeyEvent>
#include <QPainter>
#include <QScrollBar>
#include <QWheelEvent>

#include <algorithm>
#include <cmath>

namespace potwatch::window {
namespace {

constexpr int gap = 16; // between pages, and around them
constexpr double least_zoom = 0.2;
constexpr double most_zoom = 4.0;
constexpr double zoom_step = 1.2;

} // namespace

PageView::PageView(QWidget* parent)
    : QAbstractScrollArea(parent) {
    setObjectName(QStringLiteral("reportPages"));
    setAccessibleName(tr("Pages of the report"));
    setFrameShape(QFrame::NoFrame);
    setFocusPolicy(Qt::StrongFocus);
    viewport()->setAutoFillBackground(false);
    paint_soon_.setSingleShot(true);
    connect(&paint_soon_, &QTimer::timeout, this, &PageView::paintNext);
    connect(verticalScrollBar(), &QScrollBar::valueChanged, this, &PageView::viewChanged);
}

void PageView::setDocument(std::shared_ptr<const report::ReportDocument> document) {
    document_ = std::move(document);
    painted_.clear();
    fitAgain();
    viewport()->update();
    Q_EMIT viewChanged();
}

void PageView::setFit(Fit fit) {
    fit_ = fit;
    fitAgain();
}

void PageView::zoomBy(double factor) {
    fit_ = Fit::none;
    setZoom(zoom_ * factor);
}

void PageView::fitAgain() {
    const double width = viewport()->width() - 2.0 * gap;
    const double height = viewport()->height() - 2.0 * gap;
    const double to_width = width / report::report_page_width;
    if (fit_ == Fit::width) {
        constexpr double largest = 1.5; // wider pages are no easier to read
        setZoom(std::min(to_width, largest));
    } else if (fit_ == Fit::page) {
        setZoom(std::min(to_width, height / report::report_page_height));
    } else {
        setBars();
    }
}

void PageView::setZoom(double zoom) {
    const double wanted = std::clamp(zoom, least_zoom, most_zoom);
    QScrollBar& bar = *verticalScrollBar();
    const double place = bar.maximum() > 0 ? static_cast<double>(bar.value()) / bar.maximum() : 0.0;
    if (std::abs(wanted - zoom_) > 1e-9) {
        zoom_ = wanted;
        painted_.clear();
    }
    setBars();
    bar.setValue(static_cast<int>(std::lround(place * bar.maximum())));
    viewport()->update();
    Q_EMIT viewChanged();
}

void PageView::setBars() {
    // A page that fits the width fits it: no bar for the last dot.
    setHorizontalScrollBarPolicy(fit_ == Fit::none ? Qt::ScrollBarAsNeeded : Qt::ScrollBarAlwaysOff);
    const int width = static_cast<int>(std::ceil(report::report_page_width * zoom_)) + 2 * gap;
    const int height = pageCount() * (static_cast<int>(std::ceil(report::report_page_height * zoom_)) + gap) + gap;
    verticalScrollBar()->setRange(0, std::max(0, height - viewport()->height()));
    verticalScrollBar()->setPageStep(viewport()->height());
    verticalScrollBar()->setSingleStep(fontMetrics().height() * 3);
    horizontalScrollBar()->setRange(0, std::max(0, width - viewport()->width()));
    horizontalScrollBar()->setPageStep(viewport()->width());
}

QRect PageView::placeOf(int page) const {
    const QSize size(static_cast<int>(std::ceil(report::report_page_width * zoom_)),
                     static_cast<int>(std::ceil(report::report_page_height * zoom_)));
    const int left = std::max(gap, (viewport()->width() - size.width()) / 2) - horizontalScrollBar()->value();
    return {QPoint(left, gap + page * (size.height() + gap) - verticalScrollBar()->value()), size};
}

std::pair<int, int> PageView::inSight() const {
    int first = 0;
    while (first < pageCount() && placeOf(first).bottom() < 0) {
        ++first;
    }
    int last = first;
    while (last < pageCount() && placeOf(last).top() < viewport()->height()) {
        ++last;
    }
    return {first, last};
}

int PageView::currentPage() const {
    const auto [first, last] = inSight();
    int best = first;
    int most = 0;
    for (int page = first; page < last; ++page) {
        const int height = placeOf(page).intersected(viewport()->rect()).height();
        if (height > most) {
            most = height;
            best = page;
        }
    }
    return best;
}

bool PageView::isPainted() const {
    const auto [first, last] = inSight();
    for (int page = first; page < last; ++page) {
        if (painted_.count(page) == 0) {
            return false;
        }
    }
    return pageCount() > 0;
}

void PageView::paintNext() {
    const auto [first, last] = inSight();
    for (int page = first; page < last; ++page) {
        if (painted_.count(page) > 0) {
            continue;
        }
        const double dots = devicePixelRatioF();
        QPixmap picture((QSizeF(placeOf(page).size()) * dots).toSize());
        picture.fill(Qt::white);
        QPainter painter(&picture);
        painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing);
        painter.scale(zoom_ * dots, zoom_ * dots);
        document_->paintPage(painter, page);
        painter.end();
        picture.setDevicePixelRatio(dots);
        painted_[page] = std::move(picture);
        // Pages far away are painted anew when they are come back to.
        const int low = first - 2;
        const int high = last + 2;
        std::erase_if(painted_, [&](const auto& one) { return one.first < low || one.first > high; });
        viewport()->update();
        return; // one at a time: whoever scrolls on need not wait for all
    }
}

void PageView::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(viewport());
    painter.fillRect(viewport()->rect(), mixed(panelGround(palette()), palette().color(QPalette::WindowText), 0.08));
    const auto [first, last] = inSight();
    for (int page = first; page < last; ++page) {
        const QRect place = placeOf(page);
        painter.fillRect(place, Qt::white);
        if (const auto picture = painted_.find(page); picture != painted_.end()) {
            painter.drawPixmap(place.topLeft(), picture->second);
        } else {
            paint_soon_.start(0);
        }
        painter.setPen(hairline(palette()));
        painter.drawRect(place.adjusted(-1, -1, 0, 0));
    }
    if (hasFocus()) {
        painter.setPen(QPen(palette().color(QPalette::Highlight), 2.0));
        painter.drawRect(viewport()->rect().adjusted(1, 1, -1, -1));
    }
}

void PageView::resizeEvent(QResizeEvent* event) {
    QAbstractScrollArea::resizeEvent(event);
    fitAgain();
}

void PageView::keyPressEvent(QKeyEvent* event) {
    switch (event->key()) {
    case Qt::Key_Plus:
    case Qt::Key_Equal:
        zoomBy(zoom_step);
        return;
    case Qt::Key_Minus:
        zoomBy(1.0 / zoom_step);
        return;
    case Qt::Key_Home:
        verticalScrollBar()->setValue(0);
        return;
    case Qt::Key_End:
        verticalScrollBar()->setValue(verticalScrollBar()->maximum());
        return;
    case Qt::Key_Space:
        verticalScrollBar()->triggerAction(QAbstractSlider::SliderPageStepAdd);
        return;
    default:
        QAbstractScrollArea::keyPressEvent(event);
    }
}

void PageView::wheelEvent(QWheelEvent* event) {
    if (event->modifiers() == Qt::ControlModifier) {
        zoomBy(event->angleDelta().y() > 0 ? zoom_step : 1.0 / zoom_step);
        event->accept();
        return;
    }
    QAbstractScrollArea::wheelEvent(event);
}

void PageView::changeEvent(QEvent* event) {
    QAbstractScrollArea::changeEvent(event);
    if (event->type() == QEvent::PaletteChange) {
        viewport()->update();
    }
}

} // namespace potwatch::window
