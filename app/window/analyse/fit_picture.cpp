// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/fit_picture.h"

#include "app/report/fit_scene.h"
#include "app/window/plot_theme.h"

#include <QEvent>
#include <QPainter>

#include <utility>

namespace potwatch::window {

FitPictureView::FitPictureView(QWidget* parent)
    : QWidget(parent) {
    setObjectName(QStringLiteral("fit picture"));
    setAccessibleName(tr("What the law misses, measured against modelled degree, and activation energy by degree"));
}

FitPictureView::~FitPictureView() = default;

void FitPictureView::setFitted(std::shared_ptr<const session::FittedFiles> fitted) {
    fitted_ = std::move(fitted);
    scene_.reset();
    update();
}

void FitPictureView::paintEvent(QPaintEvent*) {
    QPainter painter(this);
    painter.fillRect(rect(), palette().base());
    if (!fitted_) {
        return;
    }
    if (!scene_) {
        scene_ = report::fitScene({.fit = fitted_->fit, .energies = session::energiesOf(*fitted_)},
                                  plotTheme(palette()), size());
    }
    painter.setRenderHint(QPainter::Antialiasing);
    scene_->render(&painter, rect(), scene_->sceneRect());
}

void FitPictureView::resizeEvent(QResizeEvent* event) {
    scene_.reset();
    QWidget::resizeEvent(event);
}

void FitPictureView::changeEvent(QEvent* event) {
    if (event->type() == QEvent::PaletteChange || event->type() == QEvent::StyleChange) {
        scene_.reset();
        update();
    }
    QWidget::changeEvent(event);
}

} // namespace potwatch::window
