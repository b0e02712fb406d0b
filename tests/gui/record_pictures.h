// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/main_window.h"

#include <QString>

#include <functional>

// The pictures of the Record page: before, connected, in the middle of a cure, with the form beside the chart, in its
// warning, and after it. The window must show a book with runs. False where one could not be made.
[[nodiscard]] bool makeRecordPictures(potwatch::window::MainWindow& window,
                                      const std::function<bool(const QString& name)>& grab,
                                      const std::function<bool(const std::function<bool()>& holds)>& waitUntil);
