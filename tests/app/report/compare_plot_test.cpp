// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/compare_plot.h"
#include "app/report/compare_scene.h"
#include "app/report/drawing.h"
#include "app/report/picture.h"
#include "tests/analysis/compare/compared_runs.h"
#include "tests/app/report/svg_text.h"

#include <QGraphicsSimpleTextItem>
#include <QTemporaryDir>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace potwatch::report {
namespace {

using compare::boiledRun;
using compare::ComparedRun;
using compare::inventedRun;
using testing::AllOf;
using testing::HasSubstr;

std::vector<ComparedRun> series() {
    return {inventedRun("rod 01", 0.08, 63.0), inventedRun("rod 02", 0.12, 76.1), inventedRun("rod 03", 0.2, 89.8),
            inventedRun("rod 04", 0.3, 97.0), boiledRun("rod 05", 0.6)};
}

TEST(ComparePlot, namesTheRunsTheLimitAndTheRateAtIt) {
    ASSERT_TRUE(prepareDrawing());
    const auto runs = series();
    const auto comparison = session::compareRuns(runs, {.limit = 95.0});
    ASSERT_TRUE(comparison);
    const QSizeF size(1080.0, 1080.0);
    const auto scene = compareScene({.comparison = *comparison, .runs = runs}, paperTheme(), size);
    EXPECT_THAT(textOfSvg(svgOf(*scene, size, "comparison")),
                AllOf(HasSubstr("time from dose start, min"), HasSubstr("Peak temperature against dosing rate"),
                      HasSubstr("rod 01"), HasSubstr("rod 05"), HasSubstr("limit 95 °C"), HasSubstr(" g/min (")));
}

TEST(ComparePlot, keepsItsWordsOnThePageAndInInk) {
    ASSERT_TRUE(prepareDrawing());
    auto runs = series();
    runs[0].batch.dose.reset(); // in neither pane
    for (const QSizeF size : {QSizeF(600.0, 640.0), QSizeF(1500.0, 1000.0)}) {
        const auto comparison = session::compareRuns(runs, {.limit = 95.0});
        const auto scene = compareScene({.comparison = *comparison, .runs = runs}, darkTheme(), size);
        for (const QGraphicsItem* const item : scene->items()) {
            if (const auto* const words = qgraphicsitem_cast<const QGraphicsSimpleTextItem*>(item)) {
                EXPECT_TRUE(QRectF(QPointF(), size).contains(words->sceneBoundingRect()))
                    << words->text().toStdString() << " at " << size.width();
                EXPECT_EQ(words->brush().color(), darkTheme().ink) << "text is never coloured";
            }
        }
    }
}

TEST(ComparePlot, drawsWhatThereIsWhereThereIsNoTrend) {
    ASSERT_TRUE(prepareDrawing());
    std::vector<ComparedRun> runs{inventedRun("rod 01", 0.08, 63.0)};
    const QSizeF size(1080.0, 1080.0);
    const auto one = session::compareRuns(runs, {.limit = 95.0});
    EXPECT_THAT(textOfSvg(svgOf(*compareScene({.comparison = *one, .runs = runs}, paperTheme(), size), size, "one")),
                HasSubstr("no trend"));
    runs[0].batch.dose.reset();
    const auto none = session::compareRuns(runs, {});
    EXPECT_THAT(textOfSvg(svgOf(*compareScene({.comparison = *none, .runs = runs}, paperTheme(), size), size, "none")),
                AllOf(HasSubstr("No run has both figures"), HasSubstr("No run has that moment")));
}

TEST(ComparePlot, isWrittenInEachFormatAndNoOther) {
    ASSERT_TRUE(prepareDrawing());
    const QTemporaryDir folder;
    const auto runs = series();
    const auto comparison = session::compareRuns(runs, {.limit = 95.0});
    for (const char* const name : {"a.svg", "a.pdf", "a.png"}) {
        EXPECT_TRUE(writeComparePlot({.comparison = *comparison, .runs = runs},
                                     folder.filePath(QString::fromUtf8(name)).toStdString()))
            << name;
    }
    EXPECT_FALSE(writeComparePlot({.comparison = *comparison, .runs = runs}, "a.gif"));
}

} // namespace
} // namespace potwatch::report
