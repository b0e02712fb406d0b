// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace potwatch::serial {

// Whether a temperature looks like the one before it with digits lost or won at its front. A byte that goes wrong there
// can leave a number that nothing in its line shows to be wrong: " 3.45" of "23.45", "23.45" of "-23.45", or
// "2323.45" where a line broke off after "23" and the next one followed. NaN looks like nothing.
[[nodiscard]] bool looksSpoiled(double before, double value);

} // namespace potwatch::serial
