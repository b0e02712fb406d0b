// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/open_window.h"

#include "app/session/book_runs.h"
#include "app/session/settings_folder.h"
#include "app/window/look.h"
#include "app/window/main_window.h"
#include "app/window/settings.h"

#include <QApplication>
#include <QMessageBox>
#include <QTimer>

#include <clocale>
#include <cstdio>
#include <cstdlib>
#include <new>
#include <unistd.h>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr int exit_no_display = 3; // as of a device that is not there

bool isSet(const char* variable) {
    return !qEnvironmentVariableIsEmpty(variable);
}

// Where a display is named but cannot be reached, Qt ends the program by a signal; this ends it in words.
void endInWords(QtMsgType type, const QMessageLogContext& /*context*/, const QString& message) {
    const QByteArray text = message.toLocal8Bit();
    if (type == QtFatalMsg) {
        std::fputs("potwatch: the window could not be opened on this display; use a command, e.g. `potwatch analyse "
                   "FILE.csv`\n",
                   stderr);
        std::fflush(stderr);
        ::_exit(exit_no_display);
    }
    if (type == QtCriticalMsg || type == QtWarningMsg) {
        std::fprintf(stderr, "potwatch: %s\n", text.constData());
    }
}

} // namespace

namespace {

// What asks for more memory than there is ends itself, and nothing else: a recording may be going on.
class Application : public QApplication {
public:
    using QApplication::QApplication;

    bool notify(QObject* receiver, QEvent* event) override {
        try {
            return QApplication::notify(receiver, event);
        } catch (const std::bad_alloc&) {
            tell();
            return false;
        }
    }

private:
    void tell() {
        if (is_told_) {
            return;
        }
        is_told_ = true;
        QTimer::singleShot(0, this, [this] {
            auto* const box = new QMessageBox(
                QMessageBox::Warning, tr("Out of memory"),
                tr("This computer's memory was not enough for the last job; it was given up. Close other "
                   "programs, or cut the run into shorter ones. A recording goes on."));
            box->setAttribute(Qt::WA_DeleteOnClose);
            connect(box, &QObject::destroyed, this, [this] { is_told_ = false; });
            box->show();
        });
    }

    bool is_told_ = false; // and not closed yet
};

} // namespace

Result<int> openWindow(const std::string& program, const WindowOptions& options) {
    if (!isSet("QT_QPA_PLATFORM") && !isSet("DISPLAY") && !isSet("WAYLAND_DISPLAY")) {
        return tl::unexpected(
            Fault{.kind = FaultKind::unsupported,
                  .what = "there is no display for the window",
                  .remedy = "use a command, e.g. `potwatch analyse FILE.csv`; `potwatch --help` lists them"});
    }
    std::string name = program;
    int count = 1;
    char* words[] = {name.data(), nullptr};
    const QtMessageHandler usual = qInstallMessageHandler(endInWords);
    Application application(count, words);
    qInstallMessageHandler(usual);
    std::setlocale(LC_NUMERIC, "C"); // numbers in files have a point, whatever the desktop's language
    QApplication::setApplicationName(u"potwatch"_s);
    QApplication::setApplicationDisplayName(u"Potwatch"_s);
    QApplication::setDesktopFileName(u"potwatch"_s);

    const session::Environment environment = session::processEnvironment();
    Settings settings(
        QString::fromStdString(options.config.empty() ? session::settingsFolder(environment) : options.config));
    applyAppearance(application, settings.appearance());
    applyTextPercent(application, settings.textPercent());
    MainWindow window(settings, {.standard = QString::fromStdString(session::defaultBookPath()),
                                 .demo = QString::fromStdString(session::demoBookPath())});
    window.show();
    QStringList files;
    for (const std::string& file : options.files) {
        files += QString::fromStdString(file);
    }
    window.start(QString::fromStdString(options.book), files);
    const std::stop_callback close_it(options.stop, [&window] { // on the thread that asked
        QMetaObject::invokeMethod(&window, &QWidget::close, Qt::QueuedConnection);
    });
    return QApplication::exec();
}

} // namespace potwatch::window
