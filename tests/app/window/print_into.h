// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/main_window.h"

#include <QPrinter>
#include <QString>

namespace potwatch::window {

// What the window prints from now on goes into that file, as PDF, and is counted.
inline void printInto(MainWindow& window, const QString& file, int& jobs) {
    window.setPrinterChooser([file, &jobs](QPrinter& printer) {
        ++jobs;
        printer.setOutputFormat(QPrinter::PdfFormat);
        printer.setOutputFileName(file);
        return true;
    });
}

} // namespace potwatch::window
