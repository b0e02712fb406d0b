// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/gui/calibrate_pictures.h"

#include "app/session/book_runs.h"
#include "app/window/calibrate/calibrate_dialog.h"
#include "app/window/calibrate/know_pot_dialog.h"
#include "app/window/main_window.h"
#include "app/window/settings.h"
#include "tests/analysis/findings/hot_water.h"

#include <QAction>
#include <QCheckBox>
#include <QComboBox>
#include <QDir>
#include <QLineEdit>
#include <QPushButton>
#include <QTableWidget>
#include <QTest>

#include <cmath>
#include <fstream>
#include <vector>

using namespace Qt::StringLiterals;
using namespace potwatch;

namespace {

using session::CalibrationKind;

// A run of two probes, one reading a second.
void addRun(const QDir& folder, const QString& name, int seconds, const std::function<double(int)>& core_c,
            const std::function<double(int)>& skin_c) {
    const std::string file = folder.filePath(name + u".csv"_s).toStdString();
    std::ofstream table(file);
    table << "time_s,core_c,skin_c\n";
    for (int t = 0; t <= seconds; ++t) {
        table << t << ',' << core_c(t) << ',' << skin_c(t) << '\n';
    }
    table.close();
    if (Result<book::Opened> opened = session::openOrMakeBook(folder.filePath(u"bench.potbook"_s).toStdString())) {
        const std::vector<session::FileToOpen> files{{.file = file, .options = {}}};
        (void)session::importFiles(opened->book, files);
    }
}

void addRuns(const QDir& folder) {
    const auto around = [](double celsius, double turn) {
        return [=](int t) { return celsius + 0.1 * std::sin(turn * t); };
    };
    addRun(folder, u"ice"_s, 300, around(0.42, 2.3), around(-0.31, 1.9));
    addRun(folder, u"boiling"_s, 300, around(99.6, 2.3), around(100.2, 1.9));
    const auto plunged = [](double lag_s) {
        return
            [=](int t) { return (t < 20 ? 80.0 : 0.4 + 79.6 * std::exp((20 - t) / lag_s)) + 0.05 * std::sin(2.3 * t); };
    };
    addRun(folder, u"plunge"_s, 120, plunged(4.1), plunged(5.6));
    const potwatch::Run water = test::hotWaterRun({}, {.noise_k = 0.03});
    const std::vector<double>& reading_c = water.channels[0].values;
    addRun(
        folder, u"hot water"_s, static_cast<int>(reading_c.size()) - 1,
        [&](int t) { return reading_c[static_cast<std::size_t>(t)]; }, around(21.0, 2.3));
}

template<class Kind>
Kind* part(const QWidget& dialog, const char* name) {
    return dialog.findChild<Kind*>(QString::fromUtf8(name));
}

void choose(const QWidget& dialog, const char* name, const QString& run) {
    auto* const runs = part<QComboBox>(dialog, name);
    runs->setCurrentIndex(runs->findText(run, Qt::MatchStartsWith));
}

template<class Dialog>
Dialog* opened(const window::MainWindow& window, const QString& action) {
    window.findChild<QAction*>(action)->trigger();
    return window.findChild<Dialog*>();
}

} // namespace

bool makeCalibratePictures(const QString& scratch,
                           const std::function<bool(QWidget& dialog, const QString& name)>& grab,
                           const std::function<bool(const std::function<bool()>& holds)>& waitUntil) {
    QDir folder(scratch);
    folder.mkpath(u"bench"_s);
    folder.cd(u"bench"_s);
    addRuns(folder);
    window::Settings settings(folder.path());
    window::MainWindow window(
        settings, {.standard = folder.filePath(u"bench.potbook"_s), .demo = folder.filePath(u"demo.potbook"_s)});
    window.show();
    window.start(folder.filePath(u"bench.potbook"_s), {});
    constexpr std::size_t runs = 4;
    bool made = waitUntil([&] { return window.book().runs().size() == runs; });

    auto* const calibrate = opened<window::CalibrateDialog>(window, u"calibrateProbes"_s);
    auto* const keep = part<QPushButton>(*calibrate, "calibrateKeep");
    auto* const known = part<QTableWidget>(*calibrate, "calibrateKnown");
    const auto measure = [&](CalibrationKind kind, const QString& run) {
        auto* const kinds = part<QComboBox>(*calibrate, "calibrateKind");
        kinds->setCurrentIndex(kinds->findData(static_cast<int>(kind)));
        choose(*calibrate, "calibrateRun", run);
        return waitUntil([&] { return keep->isEnabled(); });
    };
    made &= measure(CalibrationKind::ice, u"ice"_s);
    keep->click();
    made &= waitUntil([&] { return known->rowCount() == 2 && !known->item(0, 2)->text().isEmpty(); });
    made &= measure(CalibrationKind::lag, u"plunge"_s);
    keep->click();
    made &= waitUntil([&] { return known->item(0, 4) != nullptr && !known->item(0, 4)->text().isEmpty(); });
    known->selectRow(0);
    made &= grab(*calibrate, u"calibrate"_s);
    auto* const kinds = part<QComboBox>(*calibrate, "calibrateKind");
    kinds->setCurrentIndex(kinds->findData(static_cast<int>(CalibrationKind::boiling)));
    choose(*calibrate, "calibrateRun", u"boiling"_s);
    made &= grab(*calibrate, u"calibrate-pressure"_s);
    calibrate->close();

    auto* const know = opened<window::KnowPotDialog>(window, u"knowPot"_s);
    choose(*know, "knowPotRun", u"hot water"_s);
    made &= grab(*know, u"know-pot-empty"_s);
    const auto type = [&](const char* name, const QString& words) {
        auto* const field = part<QLineEdit>(*know, name);
        field->setText(words);
        Q_EMIT field->editingFinished();
    };
    type("knowPotVessel", u"beaker 250"_s);
    type("knowPotWater", u"200"_s);
    type("knowPotHot", u"78"_s);
    type("knowPotRoom", u"21"_s);
    part<QCheckBox>(*know, "knowPotLid")->setChecked(true);
    made &= waitUntil([&] { return part<QPushButton>(*know, "knowPotTake")->isEnabled(); });
    return grab(*know, u"know-pot"_s) && made;
}
