// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/compare/compare_desk.h"

#include <QString>

namespace potwatch::window {

// What the page says first and large: the next rate to try and why, else where the trend meets the limit, else why
// there is no trend. Plain text, one or two sentences.
[[nodiscard]] QString headline(const session::Comparison& comparison);

// All else that is to be said of the trend, as HTML: the trend, its misfit, why this form, at the limit, warnings.
[[nodiscard]] QString trendHtml(const session::Comparison& comparison);

} // namespace potwatch::window
