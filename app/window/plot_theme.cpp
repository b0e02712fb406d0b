// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/plot_theme.h"

#include "app/window/look.h"

namespace potwatch::window {

report::Theme plotTheme(const QPalette& palette) {
    report::Theme theme = isDark(palette) ? report::darkTheme() : report::paperTheme();
    theme.ground = palette.color(QPalette::Base);
    return theme;
}

} // namespace potwatch::window
