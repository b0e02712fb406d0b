// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/drawing.h"

#include <QApplication>
#include <QFontInfo>

#include <array>
#include <clocale>
#include <cmath>
#include <cstdio>

namespace potwatch::report {
namespace {

// What Qt has to say of a missing session folder and the like is of no use to someone who wants a plot.
void dropRemarks(QtMsgType type, const QMessageLogContext&, const QString& text) {
    if (type == QtCriticalMsg || type == QtFatalMsg) {
        std::fprintf(stderr, "%s\n", qPrintable(text));
    }
}

void makeApplication() {
    // Qt keeps references to both for as long as the application object lives: to the end of the process.
    static std::array<char, 9> name{"potwatch"};
    static std::array<char, 10> option{"-platform"};
    static std::array<char, 10> platform{"offscreen"};
    static std::array<char*, 4> arguments{name.data(), option.data(), platform.data(), nullptr};
    static int count = 3;
    const QtMessageHandler before = qInstallMessageHandler(dropRemarks);
    static QApplication* const application = new QApplication(count, arguments.data());
    qInstallMessageHandler(before);
    application->setQuitOnLastWindowClosed(false);
    // Qt takes the locale from the environment; numbers keep their point.
    std::setlocale(LC_NUMERIC, "C");
}

} // namespace

Result<void> prepareDrawing() {
    if (QCoreApplication::instance() == nullptr) {
        makeApplication();
    }
    if (qobject_cast<QApplication*>(QCoreApplication::instance()) == nullptr) {
        return tl::unexpected(Fault{.kind = FaultKind::unsupported,
                                    .what = "this process cannot draw",
                                    .where = {},
                                    .remedy = "write plots and reports from the potwatch program"});
    }
    // QFontDatabase::families() lists three generic names even where nothing is installed.
    if (QFontInfo(drawingFont(12.0)).family().isEmpty()) {
        return tl::unexpected(Fault{.kind = FaultKind::unsupported,
                                    .what = "no font is installed, so that a plot would have no text",
                                    .where = {},
                                    .remedy = "install DejaVu Sans (package fonts-dejavu-core)"});
    }
    return {};
}

QFont drawingFont(double size, bool bold) {
    QFont font(QStringLiteral("DejaVu Sans"));
    font.setPixelSize(static_cast<int>(std::lround(size)));
    font.setBold(bold);
    font.setHintingPreference(QFont::PreferNoHinting);
    font.setStyleStrategy(QFont::PreferOutline);
    // Any letter spacing keeps ligatures out, which would be other characters to whoever searches or copies a PDF's
    // text.
    constexpr double invisible = 0.02;
    font.setLetterSpacing(QFont::AbsoluteSpacing, invisible);
    return font;
}

} // namespace potwatch::report
