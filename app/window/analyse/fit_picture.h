// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/fit_files.h"

#include <QWidget>

#include <memory>

class QGraphicsScene;

namespace potwatch::window {

// The picture of a fit, drawn anew for whatever size there is.
class FitPictureView : public QWidget {
    Q_OBJECT

public:
    explicit FitPictureView(QWidget* parent = nullptr);
    ~FitPictureView() override;

    void setFitted(std::shared_ptr<const session::FittedFiles> fitted); // null: nothing is drawn

protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void changeEvent(QEvent* event) override;

private:
    std::shared_ptr<const session::FittedFiles> fitted_;
    std::unique_ptr<QGraphicsScene> scene_; // null until it is painted in this size and these colours
};

} // namespace potwatch::window
