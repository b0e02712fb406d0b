// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/word_button.h"

#include <QToolButton>

namespace potwatch::window {

QToolButton* wordButton(QWidget* parent, const QString& name, const QString& words, const QString& tip) {
    auto* const button = new QToolButton(parent);
    button->setObjectName(name);
    button->setText(words);
    button->setToolTip(tip);
    button->setAccessibleName(tip);
    button->setAutoRaise(true);
    button->setFocusPolicy(Qt::TabFocus);
    return button;
}

} // namespace potwatch::window
