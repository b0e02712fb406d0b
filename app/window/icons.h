// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QColor>

class QPainter;
class QRectF;

namespace potwatch::window {

// The program's own drawn signs, in lines of one colour, for any size.
enum class Sign { analyse, compare, recording, report, recovered, caution, information, searching };

void drawSign(QPainter& painter, Sign sign, const QRectF& square, const QColor& colour);

} // namespace potwatch::window
