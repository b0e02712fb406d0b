// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/drawing.h"
#include "app/report/fit_scene.h"
#include "app/report/picture.h"
#include "tests/app/report/svg_text.h"

#include <QGraphicsPathItem>
#include <QGraphicsSimpleTextItem>
#include <QImage>
#include <QTemporaryDir>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <string>

namespace potwatch::report {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::Not;

// Two runs: the first is missed by up to 0.002, the second not at all.
KineticFit invented() {
    KineticFit fit;
    fit.kinetics.e1_kj_per_mol = 60.0;
    fit.kinetics.e2_kj_per_mol = 48.0;
    for (const char* const name : {"rod 01", "rod 02"}) {
        FittedRun run{.name = name};
        for (int i = 0; i <= 50; ++i) {
            const double degree = i / 50.0;
            run.degree.push_back(degree);
            run.measured_degree.push_back(degree + (fit.runs.empty() && i == 25 ? 0.002 : 0.0));
        }
        fit.runs.push_back(std::move(run));
    }
    return fit;
}

ModelFree energies() {
    ModelFree found{.method = "Friedman"};
    for (const double degree : {0.2, 0.5, 0.8}) {
        found.at.push_back({.degree = degree, .e_kj_per_mol = normalEstimate(52.0, 3.0), .runs = 2});
    }
    found.at.front().e_kj_per_mol = normalEstimate(52.0, 300.0); // wide: it must not flatten the others
    return found;
}

class FitPlot : public testing::Test {
protected:
    void SetUp() override {
        ASSERT_TRUE(prepareDrawing());
        ASSERT_TRUE(folder_.isValid());
    }
    std::string textOf(const FitPicture& picture, QSizeF size) {
        const auto scene = fitScene(picture, paperTheme(), size);
        return textOfSvg(svgOf(*scene, size, "fit"));
    }
    [[nodiscard]] std::string path(const char* name) const {
        return folder_.filePath(QString::fromUtf8(name)).toStdString();
    }

    QTemporaryDir folder_;
};

TEST_F(FitPlot, hasPanesAxesAndAKeyOfTheRuns) {
    const KineticFit fit = invented();
    const ModelFree free = energies();
    EXPECT_THAT(textOf({.fit = fit, .energies = &free}, {1560.0, 560.0}),
                AllOf(HasSubstr("What the law misses"), HasSubstr("Measured and modelled"),
                      HasSubstr("Energy without a law"), HasSubstr("rod 01"), HasSubstr("rod 02"), HasSubstr("E1"),
                      HasSubstr("E2"), HasSubstr("measured less modelled, 1/1000"), HasSubstr("E, kJ/mol")));
    EXPECT_THAT(textOf({.fit = fit}, {1080.0, 560.0}), Not(HasSubstr("Energy without a law")));
}

TEST_F(FitPlot, keepsItsWordsOnThePageInASmallWindow) {
    const KineticFit fit = invented();
    const ModelFree free = energies();
    for (const QSizeF size : {QSizeF(700.0, 240.0), QSizeF(1500.0, 500.0)}) {
        const auto scene = fitScene({.fit = fit, .energies = &free}, darkTheme(), size);
        const QRectF page(QPointF(), size);
        for (const QGraphicsItem* const item : scene->items()) {
            if (const auto* const words = qgraphicsitem_cast<const QGraphicsSimpleTextItem*>(item)) {
                EXPECT_TRUE(page.contains(words->sceneBoundingRect()))
                    << words->text().toStdString() << " at " << size.width();
                EXPECT_EQ(words->brush().color(), darkTheme().ink) << "text is never coloured";
            }
        }
    }
}

TEST_F(FitPlot, putsEachMarkWhereItsDegreeIs) {
    const KineticFit fit = invented();
    const auto scene = fitScene({.fit = fit}, paperTheme(), {1080.0, 560.0});
    // The marks of the two runs are paths in the order of the runs, both panes of each: the residuals of the first one
    // reach higher than those of the second, which lie on the line in the middle.
    std::vector<QRectF> paths;
    for (const QGraphicsItem* const item : scene->items(Qt::AscendingOrder)) {
        if (const auto* const path = qgraphicsitem_cast<const QGraphicsPathItem*>(item)) {
            paths.push_back(path->path().boundingRect());
        }
    }
    ASSERT_EQ(paths.size(), 6U); // residuals, parity and key of each
    EXPECT_GT(paths[0].height(), 100.0);
    EXPECT_LT(paths[3].height(), 10.0);
    EXPECT_NEAR(paths[1].width(), paths[4].width(), 2.0);
    EXPECT_GT(paths[1].width(), 400.0);
}

TEST_F(FitPlot, isWrittenInEachFormatAndNoOther) {
    const KineticFit fit = invented();
    for (const auto& [name, start] :
         {std::pair("a.svg", "<?xml"), std::pair("a.pdf", "%PDF"), std::pair("a.png", "\x89PNG")}) {
        ASSERT_TRUE(writeFitPlot({.fit = fit}, path(name))) << name;
        std::ifstream stream(path(name), std::ios::binary);
        const std::string bytes{std::istreambuf_iterator<char>(stream), {}};
        EXPECT_TRUE(bytes.starts_with(start)) << name;
    }
    const auto refused = writeFitPlot({.fit = fit}, path("a.gif"));
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, FaultKind::input);
}

} // namespace
} // namespace potwatch::report
