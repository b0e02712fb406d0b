// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/theme.h"

class QPalette;

namespace potwatch::window {

// The colours of a plot that stands among the window's fields: light or dark as they are, and on their ground.
[[nodiscard]] report::Theme plotTheme(const QPalette& palette);

} // namespace potwatch::window
