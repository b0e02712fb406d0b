// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/compare_overlay.h"
#include "app/report/compare_scene.h"
#include "app/report/drawing.h"

#include <QGraphicsSimpleTextItem>
#include <QImage>
#include <QPainter>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace potwatch::report {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

TEST(SpreadLabels, leavesLabelsWhereTheyAreWantedIfTheyHaveRoom) {
    const std::vector<double> wanted{80.0, 20.0, 50.0};
    EXPECT_EQ(spreadLabels(wanted, 15.0, 0.0, 100.0), wanted);
}

TEST(SpreadLabels, partsThoseThatWouldOverlapAndKeepsTheirOrder) {
    const std::vector<double> wanted{50.0, 50.0, 51.0};
    EXPECT_THAT(spreadLabels(wanted, 10.0, 0.0, 100.0),
                ElementsAre(testing::DoubleNear(40.33, 0.01), testing::DoubleNear(50.33, 0.01),
                            testing::DoubleNear(60.33, 0.01)));
}

TEST(SpreadLabels, keepsThemWithinTheColumn) {
    const std::vector<double> wanted{-30.0, 2.0, 200.0, 99.0, 98.0};
    std::vector<double> placed = spreadLabels(wanted, 10.0, 0.0, 100.0);
    EXPECT_LT(placed[0], placed[1]);
    std::sort(placed.begin(), placed.end());
    EXPECT_GE(placed.front(), 5.0);
    EXPECT_LE(placed.back(), 95.0);
    for (std::size_t i = 1; i < placed.size(); ++i) {
        EXPECT_GE(placed[i] - placed[i - 1], 10.0 - 1e-9);
    }
}

// Runs that peak by the logarithm of the rate; the last boiled.
class CompareSceneOfRuns : public testing::Test {
protected:
    void SetUp() override { ASSERT_TRUE(prepareDrawing()); }

    void make(std::size_t count) {
        for (std::size_t i = 0; i < count; ++i) {
            compare::ComparedRun run;
            run.name = "rod " + std::to_string(i + 1);
            run.content = run.name;
            const double rate = 0.1 * std::pow(1.5, static_cast<double>(i));
            const double peak =
                i + 1 == count ? 100.5 : 80.0 + 3.0 * static_cast<double>(i) + (i % 2 == 0 ? 0.4 : -0.4);
            run.batch.dose = Dose{.substance = "acid", .total_g = 3.0, .rate_g_per_min = rate, .start_s = 60.0};
            run.batch.charge.boiling_c = 100.5;
            run.findings.landmarks.peak = Peak{
                .time_s = normalEstimate(600.0, 2.0), .temperature_c = normalEstimate(peak, 0.3), .reading_c = peak};
            if (i + 1 == count) {
                run.findings.landmarks.boil_plateau =
                    BoilPlateau{.start_s = 590.0, .end_s = 640.0, .temperature_c = 100.5};
            }
            run.events = {{.time_s = 60.0, .kind = "dose start", .text = {}}};
            for (int k = 0; k < 300; ++k) {
                const double time_s = 6.0 * k;
                run.curve.time_s.push_back(time_s);
                run.curve.temperature_c.push_back(22.0 +
                                                  (peak - 22.0) * std::exp(-std::pow((time_s - 600.0) / 200.0, 2)));
            }
            runs.push_back(std::move(run));
        }
        const auto made = session::compareRuns(runs, {.limit = 95.0});
        ASSERT_TRUE(made);
        comparison = *made;
    }
    struct Made {
        CompareMap map;
        std::unique_ptr<QGraphicsScene> scene;
    };
    [[nodiscard]] Made scene(QSizeF size = {900.0, 700.0}) const {
        Made made;
        made.scene = compareScene({.comparison = comparison, .runs = runs}, paperTheme(), size, &made.map);
        return made;
    }
    [[nodiscard]] static std::vector<QGraphicsSimpleTextItem*> texts(const Made& made) {
        std::vector<QGraphicsSimpleTextItem*> found;
        for (QGraphicsItem* const item : made.scene->items()) {
            if (auto* const words = qgraphicsitem_cast<QGraphicsSimpleTextItem*>(item)) {
                found.push_back(words);
            }
        }
        return found;
    }

    std::vector<compare::ComparedRun> runs;
    session::Comparison comparison;
};

TEST_F(CompareSceneOfRuns, namesEveryTraceOnceWithoutOverlap) {
    make(7);
    const Made made = scene();
    std::vector<QRectF> names;
    for (const QGraphicsSimpleTextItem* const words : texts(made)) {
        if (words->text().startsWith(QStringLiteral("rod ")) && words->pos().y() < made.map.scatter.top()) {
            names.push_back(words->sceneBoundingRect());
        }
        EXPECT_TRUE(made.scene->sceneRect().contains(words->sceneBoundingRect())) << qPrintable(words->text());
        EXPECT_EQ(words->brush().color(), paperTheme().ink) << "text is never coloured";
    }
    ASSERT_EQ(names.size(), 7U);
    for (std::size_t i = 0; i < names.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            const QRectF both = names[i].intersected(names[j]);
            EXPECT_LT(both.width() * both.height(), 2.0) << i << ' ' << j;
        }
    }
}

TEST_F(CompareSceneOfRuns, keepsTracesAndPointsWithinTheirFrames) {
    make(7);
    const Made made = scene({500.0, 420.0});
    for (std::size_t r = 0; r < runs.size(); ++r) {
        ASSERT_TRUE(made.map.points[r]);
        EXPECT_TRUE(made.map.scatter.contains(made.map.points[r]->x, made.map.points[r]->y));
        for (const Polyline& part : made.map.curves[r]) {
            for (const Point& point : part) {
                EXPECT_TRUE(made.map.overlay.adjusted(-1e-6, -1e-6, 1e-6, 1e-6).contains(point.x, point.y));
            }
        }
    }
    EXPECT_LT(made.map.points[0]->x, made.map.points[1]->x);
    EXPECT_GT(made.map.points[0]->y, made.map.points[2]->y) << "hotter is higher";
}

TEST_F(CompareSceneOfRuns, findsTheRunUnderThePointer) {
    make(7);
    const Made made = scene();
    for (std::size_t r = 0; r < runs.size(); ++r) {
        EXPECT_EQ(runAt(made.map, *made.map.points[r]), r);
    }
    EXPECT_FALSE(runAt(made.map, {.x = 1.0, .y = 1.0}));
}

TEST_F(CompareSceneOfRuns, saysTheIntervalAtTheLimit) {
    make(7);
    ASSERT_TRUE(comparison.at_limit);
    std::string all;
    const Made made = scene();
    for (const QGraphicsSimpleTextItem* const words : texts(made)) {
        all += words->text().toStdString() + '\n';
    }
    EXPECT_THAT(all, HasSubstr("limit 95 °C"));
    EXPECT_THAT(all, HasSubstr(" g/min ("));
    EXPECT_THAT(all, HasSubstr("95 % of runs"));
}

TEST_F(CompareSceneOfRuns, drawsAPartAloneInItsOwnPage) {
    make(7);
    const QSizeF size(800.0, 360.0);
    const auto wordsOf = [&](ComparePart part) {
        const auto alone = compareScene({.comparison = comparison, .runs = runs}, paperTheme(), size, part);
        std::string all;
        for (const QGraphicsItem* const item : alone->items()) {
            if (const auto* const words = qgraphicsitem_cast<const QGraphicsSimpleTextItem*>(item)) {
                EXPECT_TRUE(QRectF(QPointF(), size).contains(words->sceneBoundingRect()))
                    << words->text().toStdString();
                all += words->text().toStdString() + '\n';
            }
        }
        return all;
    };
    const std::string overlay = wordsOf(ComparePart::overlay);
    EXPECT_THAT(overlay, HasSubstr("Temperature of the runs"));
    EXPECT_THAT(overlay, HasSubstr("rod 7"));
    EXPECT_THAT(overlay, testing::Not(HasSubstr("against")));
    const std::string scatter = wordsOf(ComparePart::scatter);
    EXPECT_THAT(scatter, HasSubstr("Peak temperature against dosing rate"));
    EXPECT_THAT(scatter, HasSubstr("95 % of runs"));
    EXPECT_THAT(scatter, testing::Not(HasSubstr("time from")));
}

TEST_F(CompareSceneOfRuns, leavesRoomForTheArrowOfARunThatBoiled) {
    make(1); // it boiled: nothing lies above it
    const Made made = scene({800.0, 500.0});
    ASSERT_TRUE(made.map.points[0]);
    EXPECT_GT(made.map.points[0]->y - made.map.scatter.top(), 20.0);
}

TEST_F(CompareSceneOfRuns, lightsOneRunUpInBothParts) {
    make(7);
    const Made made = scene();
    const auto drawn = [&](std::optional<std::size_t> lit) {
        QImage image(900, 700, QImage::Format_RGB32);
        image.fill(Qt::white);
        QPainter painter(&image);
        if (lit) {
            drawLit(painter, {.comparison = comparison, .runs = runs}, made.map, paperTheme(), *lit);
        }
        return image;
    };
    const QImage lit = drawn(3);
    const QImage none = drawn(std::nullopt);
    EXPECT_NE(lit.copy(made.map.overlay.toRect()), none.copy(made.map.overlay.toRect()));
    EXPECT_NE(lit.copy(made.map.scatter.toRect()), none.copy(made.map.scatter.toRect()));
}

TEST_F(CompareSceneOfRuns, drawsManyRunsWithoutNames) {
    make(most_named_runs + 5);
    const Made made = scene();
    for (const QGraphicsSimpleTextItem* const words : texts(made)) {
        EXPECT_FALSE(words->text().startsWith(QStringLiteral("rod "))) << qPrintable(words->text());
    }
}

} // namespace
} // namespace potwatch::report
