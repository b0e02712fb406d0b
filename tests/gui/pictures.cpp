// SPDX-License-Identifier: GPL-3.0-or-later
// Makes the reference pictures of the window, to be looked at: `pictures FOLDER`. The demo's book with one of its runs
// open, at 1280x800, at 1920x1080 and at 1280x800 in double density, each light and dark; and the empty window.
#include "app/window/compare/compare_desk.h"
#include "app/window/compare/compare_page.h"
#include "app/window/import/import_dialog.h"
#include "app/window/library_link.h"
#include "app/window/look.h"
#include "app/window/main_window.h"
#include "app/window/report/page_view.h"
#include "app/window/settings.h"
#include "tests/gui/calibrate_pictures.h"
#include "tests/gui/record_pictures.h"

#include <QAbstractButton>
#include <QApplication>
#include <QDir>
#include <QElapsedTimer>
#include <QLineEdit>
#include <QPixmap>
#include <QProcess>
#include <QTemporaryDir>
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <functional>

namespace {

using namespace Qt::StringLiterals;
using namespace potwatch;

struct Picture {
    const char* name;
    int width;
    int height;
    const char* scale;
};

constexpr std::array<Picture, 3> pictures{
    {{"1280x800", 1280, 800, "1"}, {"1920x1080", 1920, 1080, "1"}, {"1280x800-double", 1280, 800, "2"}}};

// Lets the window work until that holds; false after two minutes.
bool waitUntil(const std::function<bool()>& holds) {
    constexpr int longest_ms = 120'000;
    QElapsedTimer timer;
    timer.start();
    while (!holds() && timer.elapsed() < longest_ms) {
        QApplication::processEvents(QEventLoop::WaitForMoreEvents | QEventLoop::AllEvents, 50);
    }
    return holds();
}

bool settle() {
    QElapsedTimer timer;
    timer.start();
    return waitUntil([&] { return timer.elapsed() > 600; });
}

bool grab(QWidget& widget, const QString& file) {
    const bool saved = settle() && widget.grab().save(file);
    std::printf("%s %s\n", saved ? "written:" : "NOT WRITTEN:", qPrintable(file));
    return saved;
}

const session::ListedRun* runNamed(window::OpenBook& book, const std::string& name) {
    for (const session::ListedRun& run : book.runs()) {
        if (run.row.name == name && run.peak_c) {
            return &run;
        }
    }
    return nullptr;
}

// The Report page: of one run, and of all of them.
bool makeReport(window::MainWindow& window, const QString& folder, const QString& ending) {
    window.findChild<QAbstractButton*>(u"railReport"_s)->click();
    auto* const print = window.findChild<QAbstractButton*>(u"reportPrint"_s);
    auto* const pages = window.findChild<window::PageView*>(u"reportPages"_s);
    const auto ready = [&] { return print->isEnabled() && pages->isPainted(); };
    bool made = waitUntil(ready) && grab(window, folder + u"/report-one"_s + ending);
    window.findChild<QAbstractButton*>(u"reportAllRuns"_s)->click();
    made &= settle() && waitUntil(ready) && grab(window, folder + u"/report"_s + ending);
    window.findChild<QAbstractButton*>(u"reportFitPage"_s)->click();
    made &= waitUntil(ready) && grab(window, folder + u"/report-page"_s + ending);
    window.findChild<QAbstractButton*>(u"reportNoRuns"_s)->click();
    made &= grab(window, folder + u"/report-empty"_s + ending);
    return made;
}

// The Compare page: seven runs with one lit up, one run, and what changed from run to run.
bool makeCompare(window::MainWindow& window, const QString& folder, const QString& ending) {
    window.findChild<QAbstractButton*>(u"railCompare"_s)->click();
    auto* const page = window.findChild<window::ComparePage*>(u"comparePage"_s);
    window::CompareDesk& desk = page->desk();
    const auto isCompared = [&](std::size_t runs) {
        return desk.compared() && desk.compared()->ids.size() == runs && desk.left() == 0;
    };
    constexpr std::size_t cures = 7;
    bool made = waitUntil([&] { return isCompared(cures); });
    desk.setLit({});
    made &= grab(window, folder + u"/compare"_s + ending);
    if (const session::ListedRun* const run = runNamed(window.book(), "rod 05")) {
        desk.setLit(run->row.id);
    }
    made &= grab(window, folder + u"/compare-lit"_s + ending);
    page->showLineage(true);
    made &= grab(window, folder + u"/compare-lineage"_s + ending);
    page->showLineage(false);
    window.findChild<QLineEdit*>(u"bookSearch"_s)->setText(u"rod-04"_s);
    made &= waitUntil([&] { return isCompared(1); });
    made &= grab(window, folder + u"/compare-one"_s + ending);
    window.findChild<QLineEdit*>(u"bookSearch"_s)->clear();
    return made;
}

// In a process of its own: the pixel density is the program's, for good.
bool makeOne(const QString& folder, const Picture& picture, const QString& appearance) {
    const QTemporaryDir scratch;
    window::Settings settings(scratch.path());
    window::MainWindow window(
        settings, {.standard = scratch.filePath(u"batch book.potbook"_s), .demo = scratch.filePath(u"demo.potbook"_s)});
    window.resize(picture.width, picture.height);
    window.show();
    const QString ending = u"-%1-%2.png"_s.arg(QString::fromLatin1(picture.name), appearance);
    bool made = grab(window, folder + u"/start"_s + ending);
    window.findChild<QAbstractButton*>(u"railCompare"_s)->click();
    made &= grab(window, folder + u"/compare-empty"_s + ending);
    window.findChild<QAbstractButton*>(u"railAnalyse"_s)->click();
    window.book().importDemo(scratch.filePath(u"demo.potbook"_s));
    constexpr std::size_t demo_runs = 8;
    made &= waitUntil([&] {
        return window.book().runs().size() == demo_runs && runNamed(window.book(), "rod 05") != nullptr &&
               runNamed(window.book(), "rod 07") != nullptr;
    });
    const auto record = [&] {
        return makeRecordPictures(
            window, [&](const QString& name) { return grab(window, folder + u'/' + name + ending); }, waitUntil);
    };
    const auto calibrate = [&] {
        return makeCalibratePictures(
            scratch.path(),
            [&](QWidget& dialog, const QString& name) { return grab(dialog, folder + u'/' + name + ending); },
            waitUntil);
    };
    if (qEnvironmentVariableIsSet("POTWATCH_PICTURES_CALIBRATE")) { // those of these dialogs alone
        return calibrate() && made;
    }
    if (qEnvironmentVariableIsSet("POTWATCH_PICTURES_RECORD")) { // those of that page alone
        return record() && made;
    }
    for (const char* const name : {"rod 04", "rod 07"}) {
        if (const session::ListedRun* const run = runNamed(window.book(), name)) {
            window.book().show(run->row.id);
            made &= waitUntil([&] { return window.book().view() && window.book().view()->analysis != nullptr; });
            made &= grab(window, folder + u"/analyse-"_s + QString::fromLatin1(name).replace(u' ', u'-') + ending);
        }
    }
    made &= makeCompare(window, folder, ending);
    window.findChild<QAbstractButton*>(u"railAnalyse"_s)->click();
    // What the data can tell, before a fit and after it.
    window.findChild<QAbstractButton*>(u"data shown"_s)->click();
    made &= grab(window, folder + u"/data-empty"_s + ending);
    window.findChild<QAbstractButton*>(u"fit start"_s)->click();
    auto* const save = window.findChild<QAbstractButton*>(u"fit save"_s);
    made &= waitUntil([save] { return save->isEnabled(); });
    made &= grab(window, folder + u"/data"_s + ending);
    window.findChild<QAbstractButton*>(u"data shown"_s)->click();
    made &= makeReport(window, folder, ending);
    made &= record();
    made &= calibrate();
    // The import dialog, on a file that has something to say.
    const QString csv = scratch.filePath(u"logger.csv"_s);
    QFile file(csv);
    if (file.open(QIODevice::WriteOnly)) {
        file.write("Logger 7;;\nSample rate 1 s;;\nzeit;pot (\xC2\xB0"
                   "C);air (\xC2\xB0"
                   "C)\n");
        for (int i = 0; i < 400; ++i) {
            const std::string row = fmt::format("10:{:02}:{:02};{},{};21,5\n", i / 60, i % 60, 20 + i / 10, i % 10);
            file.write(i % 97 == 50 ? "sensor fault;;\n" : row.c_str());
        }
        file.close();
        window::ImportDialog dialog(window.link(), {csv}, &window);
        dialog.show();
        made &= grab(dialog, folder + u"/import"_s + ending);
    }
    return made;
}

} // namespace

int main(int argc, char** argv) {
    if (argc == 4) {
        QApplication application(argc, argv);
        window::applyAppearance(application, window::Appearance::desktop);
        const QString appearance = qEnvironmentVariable("POTWATCH_APPEARANCE");
        return makeOne(QString::fromLocal8Bit(argv[1]), pictures.at(static_cast<std::size_t>(std::atoi(argv[2]))),
                       appearance)
                   ? 0
                   : 1;
    }
    if (argc != 2) {
        std::fputs("usage: pictures FOLDER\n", stderr);
        return 2;
    }
    QDir().mkpath(QString::fromLocal8Bit(argv[1]));
    bool made = true;
    for (std::size_t i = 0; i < pictures.size(); ++i) {
        for (const auto& appearance : {u"light"_s, u"dark"_s}) {
            QProcess child;
            QProcessEnvironment environment = QProcessEnvironment::systemEnvironment();
            environment.insert(u"QT_QPA_PLATFORM"_s, u"offscreen"_s);
            environment.insert(u"QT_SCALE_FACTOR"_s, QString::fromLatin1(pictures.at(i).scale));
            environment.insert(u"POTWATCH_APPEARANCE"_s, appearance);
            child.setProcessEnvironment(environment);
            child.setProcessChannelMode(QProcess::ForwardedChannels);
            child.start(QString::fromLocal8Bit(argv[0]),
                        {QString::fromLocal8Bit(argv[1]), QString::number(i), appearance});
            made &= child.waitForFinished(-1) && child.exitCode() == 0;
        }
    }
    return made ? 0 : 1;
}
