// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/report_document.h"

#include <QAbstractScrollArea>
#include <QPixmap>
#include <QTimer>

#include <map>
#include <memory>

namespace potwatch::window {

// The pages of a report one below the other, painted as they are printed. What is not in sight is not painted.
class PageView : public QAbstractScrollArea {
    Q_OBJECT

public:
    enum class Fit { width, page, none };

    explicit PageView(QWidget* parent = nullptr);

    // Null = none. The place that is looked at stays.
    void setDocument(std::shared_ptr<const report::ReportDocument> document);
    [[nodiscard]] int pageCount() const { return document_ ? document_->pageCount() : 0; }
    [[nodiscard]] int currentPage() const; // the one that takes most of the view, from 0

    void setFit(Fit fit);
    [[nodiscard]] Fit fit() const { return fit_; }
    void zoomBy(double factor);
    [[nodiscard]] double zoom() const { return zoom_; } // 1 = the size on paper, at 96 dots an inch

    // Nothing in sight is still to be painted.
    [[nodiscard]] bool isPainted() const;

Q_SIGNALS:
    void viewChanged(); // page, zoom

protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    void wheelEvent(QWheelEvent* event) override;
    void changeEvent(QEvent* event) override;

private:
    void setZoom(double zoom);
    void fitAgain();
    void setBars();
    [[nodiscard]] QRect placeOf(int page) const; // in the viewport
    [[nodiscard]] std::pair<int, int> inSight() const;
    void paintNext();

    std::shared_ptr<const report::ReportDocument> document_;
    Fit fit_ = Fit::width;
    double zoom_ = 1.0;
    std::map<int, QPixmap> painted_;
    QTimer paint_soon_;
};

} // namespace potwatch::window
