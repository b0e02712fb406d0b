// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QMetaObject>
#include <QObject>

#include <new>

namespace potwatch::window {

// Tells, from a thread of its own, that a job was given up because memory ran out: the fault is raised again on the
// window's thread, where the application tells it in words and goes on (open_window.cpp).
inline void tellMemoryRanOut(QObject& of_the_window) {
    QMetaObject::invokeMethod(
        &of_the_window, [] { throw std::bad_alloc(); }, Qt::QueuedConnection);
}

} // namespace potwatch::window
