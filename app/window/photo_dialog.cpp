// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/photo_dialog.h"

#include <QBuffer>
#include <QImageReader>
#include <QPainter>

#include <algorithm>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

// Decoded no larger than a screen shows: a camera's picture would take half a second otherwise.
QPixmap shownPhoto(QByteArray bytes) {
    constexpr int largest = 2400;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::ReadOnly);
    QImageReader reader(&buffer);
    reader.setAutoTransform(true);
    const QSize size = reader.size();
    if (size.isValid() && std::max(size.width(), size.height()) > largest) {
        reader.setScaledSize(size.scaled(largest, largest, Qt::KeepAspectRatio));
    }
    return QPixmap::fromImageReader(&reader);
}

} // namespace

PhotoDialog::PhotoDialog(const QString& name, const QByteArray& bytes, QWidget* parent)
    : QDialog(parent)
    , photo_(shownPhoto(bytes)) {
    setObjectName(u"photoDialog"_s);
    setWindowTitle(name);
    setAccessibleName(tr("Photo %1").arg(name));
    const QSize room = parent == nullptr ? QSize(900, 700) : parent->size() * 0.85;
    resize(photo_.isNull() ? room / 3 : photo_.size().scaled(room, Qt::KeepAspectRatio));
}

void PhotoDialog::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(this);
    if (photo_.isNull()) {
        painter.drawText(rect(), Qt::AlignCenter | Qt::TextWordWrap, tr("This photo cannot be shown."));
        return;
    }
    painter.setRenderHint(QPainter::SmoothPixmapTransform);
    const QSize size = photo_.size().scaled(this->size(), Qt::KeepAspectRatio);
    painter.drawPixmap(QRect(QPoint((width() - size.width()) / 2, (height() - size.height()) / 2), size), photo_);
}

} // namespace potwatch::window
