// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

class QString;
class QToolButton;
class QWidget;

namespace potwatch::window {

// A quiet button of words in a page's own bar; its tip is also what it is called for those who do not see it. The keyboard
// reaches it by Tab, and a click leaves the keyboard where it is.
[[nodiscard]] QToolButton* wordButton(QWidget* parent, const QString& name, const QString& words, const QString& tip);

} // namespace potwatch::window
