// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <QFont>

namespace potwatch::report {

// Makes sure that Qt can draw: makes an application object without a display where there is none yet (it lives until
// the process ends), keeps numbers at the point whatever the locale, and looks for fonts. Errors: unsupported (no font
// is installed: text would be left out in silence; or an application object that cannot draw). Threads: the main
// thread.
[[nodiscard]] Result<void> prepareDrawing();

// The font of every plot and report, that many page units high; widths do not depend on the device.
[[nodiscard]] QFont drawingFont(double size, bool bold = false);

} // namespace potwatch::report
