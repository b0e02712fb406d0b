// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/rail.h"

#include "app/window/look.h"

#include <QButtonGroup>
#include <QFontMetrics>
#include <QPainter>
#include <QVBoxLayout>

#include <algorithm>

namespace potwatch::window {
namespace {

constexpr double word_size = 0.85; // of the text size

QFont wordFont(const QFont& font) {
    QFont small = font;
    if (font.pointSizeF() > 0.0) {
        small.setPointSizeF(font.pointSizeF() * word_size);
    }
    return small;
}

int signSize(const QFontMetrics& metrics) {
    return static_cast<int>(1.5 * metrics.height());
}

} // namespace

RailButton::RailButton(Sign sign, const QString& word, QWidget* parent)
    : QAbstractButton(parent)
    , sign_(sign) {
    setText(word);
    setAccessibleName(word);
    setCheckable(true);
    setFocusPolicy(Qt::StrongFocus);
    setSizePolicy(QSizePolicy::Minimum, QSizePolicy::Fixed);
}

QSize RailButton::sizeHint() const {
    const QFontMetrics words(wordFont(font()));
    const int line = fontMetrics().height();
    return {std::max(words.horizontalAdvance(text()) + line, signSize(fontMetrics()) + 2 * line),
            signSize(fontMetrics()) + words.height() + line};
}

void RailButton::enterEvent(QEnterEvent* event) {
    QAbstractButton::enterEvent(event);
    update();
}

void RailButton::leaveEvent(QEvent* event) {
    QAbstractButton::leaveEvent(event);
    update();
}

void RailButton::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const QFont small = wordFont(font());
    const QFontMetrics words(small);
    const QColor text = palette().color(QPalette::WindowText);
    const QColor ground = palette().color(QPalette::Window);
    if (isChecked() || underMouse()) {
        painter.setPen(Qt::NoPen);
        painter.setBrush(mixed(ground, text, isChecked() ? 0.10 : 0.05));
        painter.drawRoundedRect(QRectF(rect()).adjusted(4.0, 2.0, -4.0, -2.0), 5.0, 5.0);
    }
    if (isChecked()) {
        // Where one is is seen by the bar as well as by the ground.
        painter.setPen(Qt::NoPen);
        painter.setBrush(palette().color(QPalette::Highlight));
        painter.drawRect(QRectF(0.0, 6.0, 3.0, height() - 12.0));
    }
    const int sign_size = signSize(fontMetrics());
    const int content = sign_size + words.height() + 2;
    const double top = (height() - content) / 2.0;
    drawSign(painter, sign_, QRectF((width() - sign_size) / 2.0, top, sign_size, sign_size), text);
    painter.setFont(small);
    painter.setPen(text);
    painter.drawText(QRectF(0.0, top + sign_size + 2, width(), words.height()), Qt::AlignCenter, this->text());
    if (hasFocus()) {
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(palette().color(QPalette::Highlight), 2.0));
        painter.drawRoundedRect(QRectF(rect()).adjusted(5.0, 3.0, -5.0, -3.0), 5.0, 5.0);
    }
}

Rail::Rail(QWidget* parent)
    : QWidget(parent)
    , layout_(new QVBoxLayout(this))
    , pages_(new QButtonGroup(this)) {
    setObjectName(QStringLiteral("rail"));
    setAccessibleName(tr("Pages"));
    setSizePolicy(QSizePolicy::Fixed, QSizePolicy::Expanding);
    layout_->setContentsMargins(0, 4, 1, 4);
    layout_->setSpacing(0);
    layout_->addStretch(1);
    pages_->setExclusive(true);
    connect(pages_, &QButtonGroup::idClicked, this, &Rail::pageChosen);
}

int Rail::addPage(Sign sign, const QString& word, const QString& object_name) {
    auto* const button = new RailButton(sign, word, this);
    const int number = static_cast<int>(pages_->buttons().size());
    button->setObjectName(object_name);
    button->setShortcut(QKeySequence(Qt::CTRL | static_cast<Qt::Key>(Qt::Key_1 + number)));
    button->setToolTip(tr("%1 (%2)").arg(word, button->shortcut().toString(QKeySequence::NativeText)));
    layout_->insertWidget(number, button);
    pages_->addButton(button, number);
    if (number == 0) {
        button->setChecked(true);
    }
    return number;
}

void Rail::setPage(int page) {
    if (QAbstractButton* const button = pages_->button(page)) {
        button->setChecked(true);
    }
}

void Rail::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(this);
    painter.fillRect(rect(), panelGround(palette()));
    painter.fillRect(QRect(width() - 1, 0, 1, height()), hairline(palette()));
}

} // namespace potwatch::window
