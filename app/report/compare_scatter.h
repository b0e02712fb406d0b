// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/compare_scene.h"

namespace potwatch::report {

// Draws points, trend, bands, limit and the interval at the limit into that part of the page, and fills in where the
// points lie.
void drawScatter(QGraphicsScene& scene, const ComparePicture& picture, const Theme& theme, const QRectF& box,
                 CompareMap& map);

} // namespace potwatch::report
