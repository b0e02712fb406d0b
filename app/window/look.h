// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/settings.h"

#include <QColor>
#include <QPalette>

class QApplication;
class QFont;

namespace potwatch::window {

// The window's own colours, light and dark: text at least 4.5:1 on its ground (WCAG AA), frames quiet.
[[nodiscard]] QPalette lightPalette();
[[nodiscard]] QPalette darkPalette();

// Dresses the program. `desktop` leaves the palette that the desktop states; where it states none of its own (the
// style's standard colours) the light one is used. POTWATCH_APPEARANCE=light|dark outranks the setting (for pictures).
void applyAppearance(QApplication& application, Appearance appearance);

// The desktop's font in that size.
void applyTextPercent(QApplication& application, int percent);

[[nodiscard]] bool isDark(const QPalette& palette);
// For what is said beside: between text and ground, still 4.5:1 on the ground.
[[nodiscard]] QColor quietText(const QPalette& palette);
// For lines that part one thing from another.
[[nodiscard]] QColor hairline(const QPalette& palette);
// The ground of the rail and the book panel, a shade off the page's.
[[nodiscard]] QColor panelGround(const QPalette& palette);

[[nodiscard]] QColor mixed(const QColor& a, const QColor& b, double share_of_b);
// Source: WCAG 2.1, contrast ratio and relative luminance.
[[nodiscard]] double contrastRatio(const QColor& a, const QColor& b);

} // namespace potwatch::window
