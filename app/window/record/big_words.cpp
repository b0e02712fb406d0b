// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/big_words.h"

#include <QFontInfo>
#include <QFontMetrics>
#include <QResizeEvent>

#include <algorithm>
#include <cmath>

namespace potwatch::window {
namespace {

constexpr double ems_across = 24.0; // of the largest letters
constexpr double smallest = 1.2;    // times the text size
constexpr double narrow = 2.2;      // the largest letters of a narrow window
constexpr double wide = 5.0;        // and of a wide one
constexpr double line_height = 1.25;
constexpr int lines = 2;

} // namespace

BigWords::BigWords(Height height, QWidget* parent)
    : QLabel(parent)
    , height_(height) {
    setTextFormat(Qt::PlainText);
    setWordWrap(true);
    setAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Fixed);
    setMinimumWidth(1);
}

void BigWords::say(const QString& words) {
    if (words != text()) {
        setText(words);
        fit();
    }
}

void BigWords::resizeEvent(QResizeEvent* event) {
    QLabel::resizeEvent(event);
    if (event->size().width() != event->oldSize().width()) {
        fit();
    }
}

void BigWords::fit() {
    QFont letters = parentWidget()->font();
    const double usual = QFontInfo(letters).pixelSize();
    const double largest = std::clamp(width() / ems_across, narrow * usual, wide * usual);
    const int room = static_cast<int>(std::ceil(lines * line_height * largest));
    int taken = room;
    for (double size = largest; size > smallest * usual; size *= 0.94) {
        letters.setPixelSize(static_cast<int>(size));
        const QRect needed =
            QFontMetrics(letters).boundingRect(QRect(0, 0, width(), 100 * room), Qt::TextWordWrap, text());
        if (needed.height() <= room && needed.width() <= width()) {
            taken = height_ == Height::words ? needed.height() : room;
            break;
        }
    }
    setFixedHeight(taken);
    setFont(letters);
}

} // namespace potwatch::window
