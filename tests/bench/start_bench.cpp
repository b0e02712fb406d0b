// SPDX-License-Identifier: GPL-3.0-or-later
// From the start of a process to the first paint: the window on an empty book against a bare window with an empty chart
// of Qt Charts, by turns, so that what else the machine does meets both alike.
//
// Threshold: the median of the window is under 1.5 times the bare one's. `start_bench --check` prints PASS or FAIL, and
// ends with a failure where it fails.
#include "app/session/book_runs.h"
#include "app/window/look.h"
#include "app/window/main_window.h"
#include "app/window/settings.h"

#include <QApplication>
#include <QChartView>
#include <QMainWindow>
#include <QTemporaryDir>
#include <QTimer>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <string>
#include <string_view>
#include <sys/wait.h>
#include <unistd.h>
#include <vector>

namespace {

using namespace Qt::StringLiterals;
using namespace potwatch;

constexpr int rounds = 15;
constexpr double most_ratio = 1.5;

// Ends the process with the first paint: that it ends is what the parent waits for.
class EndAtFirstPaint : public QObject {
protected:
    bool eventFilter(QObject* watched, QEvent* event) override {
        if (event->type() == QEvent::Paint) {
            QTimer::singleShot(0, [] { ::_exit(EXIT_SUCCESS); }); // once this paint is done
        }
        return QObject::eventFilter(watched, event);
    }
};

int showBare(int argc, char** argv) {
    QApplication application(argc, argv);
    QMainWindow window;
    window.setCentralWidget(new QChartView(new QChart));
    window.resize(1280, 800);
    EndAtFirstPaint end;
    application.installEventFilter(&end); // whichever widget is painted first
    window.show();
    return QApplication::exec();
}

int showPotwatch(int argc, char** argv, const char* folder) {
    QApplication application(argc, argv);
    const QString place = QString::fromLocal8Bit(folder);
    window::Settings settings(place);
    window::applyAppearance(application, settings.appearance());
    window::applyTextPercent(application, settings.textPercent());
    window::MainWindow window(settings, {.standard = place + u"/b.potbook"_s, .demo = place + u"/d.potbook"_s});
    window.resize(1280, 800);
    EndAtFirstPaint end;
    application.installEventFilter(&end); // whichever widget is painted first
    window.show();
    window.start({}, {});
    return QApplication::exec();
}

double secondsOf(const char* program, const char* what, const char* folder) {
    const auto begun = std::chrono::steady_clock::now();
    const pid_t child = ::fork();
    if (child == 0) {
        ::execl(program, program, what, folder, static_cast<char*>(nullptr));
        ::_exit(EXIT_FAILURE);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begun;
    return WIFEXITED(status) && WEXITSTATUS(status) == EXIT_SUCCESS ? took.count() : 1e9;
}

double median(std::vector<double> values) {
    std::nth_element(values.begin(), values.begin() + rounds / 2, values.end());
    return values[rounds / 2];
}

} // namespace

int main(int argc, char** argv) {
    ::setenv("QT_QPA_PLATFORM", "offscreen", 0);
    if (argc == 3 && std::string_view(argv[1]) == "bare") {
        return showBare(argc, argv);
    }
    if (argc == 3 && std::string_view(argv[1]) == "potwatch") {
        return showPotwatch(argc, argv, argv[2]);
    }
    const bool check = argc == 2 && std::string_view(argv[1]) == "--check";
    const QTemporaryDir folder;
    const std::string place = folder.path().toStdString();
    if (!session::openOrMakeBook(place + "/b.potbook")) {
        fmt::print(stderr, "cannot make a book in {}\n", place);
        return EXIT_FAILURE;
    }
    std::vector<double> bare;
    std::vector<double> own;
    for (int round = 0; round < rounds; ++round) {
        bare.push_back(secondsOf("/proc/self/exe", "bare", place.c_str()));
        own.push_back(secondsOf("/proc/self/exe", "potwatch", place.c_str()));
    }
    const double ratio = median(own) / median(bare);
    fmt::print("first paint, median of {}: bare chart window {:.0f} ms, empty book {:.0f} ms\n", rounds,
               1000.0 * median(bare), 1000.0 * median(own));
    const bool passes = ratio < most_ratio;
    fmt::print("{} ratio {:.2f}; under {} is wanted\n", passes ? "PASS" : "FAIL", ratio, most_ratio);
    return passes || !check ? EXIT_SUCCESS : EXIT_FAILURE;
}
