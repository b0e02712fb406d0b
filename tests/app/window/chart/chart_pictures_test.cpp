// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/window/chart/chart_fixture.h"

#include <QDir>
#include <QPalette>

// Pictures for looking at: POTWATCH_PICTURES=FOLDER writes them; without it each is only made and not blank.

namespace potwatch::window {
namespace {

QPalette darkPalette() {
    QPalette palette(QColor(40, 42, 44));
    palette.setColor(QPalette::Window, QColor(40, 42, 44));
    palette.setColor(QPalette::Base, QColor(27, 29, 31));
    palette.setColor(QPalette::WindowText, Qt::white);
    palette.setColor(QPalette::Text, Qt::white);
    return palette;
}

class ChartPictures : public Chart {
protected:
    void keep(const std::string& name) {
        const QImage image = chart->grab().toImage();
        const QString folder = qEnvironmentVariable("POTWATCH_PICTURES");
        if (!folder.isEmpty()) {
            EXPECT_TRUE(image.save(QDir(folder).filePath(QString::fromStdString(name) + QStringLiteral(".png"))));
        }
        const QRgb corner = image.pixel(image.width() - 3, image.height() - 3);
        int other = 0;
        for (int y = 0; y < image.height(); y += 3) {
            for (int x = 0; x < image.width(); x += 3) {
                other += image.pixel(x, y) != corner ? 1 : 0;
            }
        }
        EXPECT_GT(other, 500) << name;
    }
    void keepAll(const std::string& name) {
        for (const bool dark : {false, true}) {
            chart->setPalette(dark ? darkPalette() : QPalette(Qt::white));
            for (const QSize size : {QSize(900, 600), QSize(1280, 800), QSize(2500, 1400)}) {
                chart->resize(size);
                settle();
                keep(name + "-" + std::to_string(size.width()) + (dark ? "-dark" : "-light"));
            }
        }
    }
};

Analysis annotated() {
    Analysis analysis = report::inventedAnalysis({.length_s = 3600.0, .boiling_c = 100.5});
    analysis.annotations = {{.kind = AnnotationKind::text,
                             .pane = PaneKind::temperature,
                             .time_s = 200.0,
                             .value = 70.0,
                             .to_time_s = 200.0,
                             .to_value = 70.0,
                             .text = "stirred by hand from here on"},
                            {.kind = AnnotationKind::arrow,
                             .pane = PaneKind::temperature,
                             .time_s = 1150.0,
                             .value = 85.0,
                             .to_time_s = 1400.0,
                             .to_value = 95.0,
                             .text = "turned milky"},
                            {.kind = AnnotationKind::span,
                             .pane = PaneKind::rate,
                             .time_s = 700.0,
                             .value = 8.0,
                             .to_time_s = 1000.0,
                             .to_value = 8.0,
                             .text = "5 min over 8 K/min"}};
    analysis.findings.by_hand = {LandmarkKind::onset};
    return analysis;
}

TEST_F(ChartPictures, ofAnOrdinaryRun) {
    keepAll("ordinary");
}

TEST_F(ChartPictures, ofARunThatBoilsWithAnnotationsAndALandmarkByHand) {
    show(annotated());
    keepAll("annotated");
}

TEST_F(ChartPictures, ofSeveralExotherms) {
    show(report::inventedAnalysis({.length_s = 6000.0, .middles_s = {900.0, 2300.0, 3900.0}}));
    keepAll("several");
}

TEST_F(ChartPictures, ofATraceAlone) {
    show(report::traceAlone(report::shortAnalysis()));
    keepAll("alone");
}

TEST_F(ChartPictures, ofCursorsAHighlightAndASelection) {
    show(annotated());
    chart->setReadingLine(0, 800.0);
    chart->setReadingLine(1, 1100.0);
    chart->setHighlight(ChartView::Highlight{.pane = PaneKind::temperature, .time_s = {.low = 1600.0, .high = 2200.0}});
    chart->setFocus();
    key(Qt::Key_2);
    keepAll("cursors");
    chart->showTime({.low = 820.0, .high = 960.0});
    keepAll("zoomed");
}

} // namespace
} // namespace potwatch::window
