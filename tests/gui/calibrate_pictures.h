// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>
#include <QWidget>

#include <functional>

// The pictures of "Calibrate probes..." (a point found, with what was kept before; the boiling point without the air's
// pressure) and of "Know your pot..." (before anything is stated, and found), opened from the menu of a window of its
// own with a book of invented runs in `scratch`. False where one could not be made.
[[nodiscard]] bool makeCalibratePictures(const QString& scratch,
                                         const std::function<bool(QWidget& dialog, const QString& name)>& grab,
                                         const std::function<bool(const std::function<bool()>& holds)>& waitUntil);
