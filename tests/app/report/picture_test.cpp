// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/drawing.h"
#include "app/report/findings_text.h"
#include "app/report/pane_item.h"
#include "app/report/picture.h"
#include "app/report/plot_content.h"
#include "app/report/plot_layout.h"
#include "app/report/plot_scene.h"
#include "tests/app/report/invented_analysis.h"
#include "tests/app/report/svg_text.h"

#include <QChart>
#include <QColor>
#include <QFont>
#include <QFontInfo>
#include <QGraphicsScene>
#include <QImage>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace potwatch::report {
namespace {

using testing::Gt;
using testing::HasSubstr;

class Picture : public testing::Test {
protected:
    void SetUp() override { ASSERT_TRUE(prepareDrawing()); }

    std::unique_ptr<QGraphicsScene> sceneOf(const Analysis& analysis) {
        content_ = plotContent(analysis);
        return plotScene(content_);
    }
    std::string svgFor(const Analysis& analysis) {
        const auto scene = sceneOf(analysis);
        return svgOf(*scene, plot_page, content_.title);
    }

    PlotContent content_;
};

std::vector<PaneItem*> panesOf(const QGraphicsScene& scene) {
    std::vector<PaneItem*> panes;
    for (QGraphicsItem* const item : scene.items()) {
        if (auto* const pane = dynamic_cast<PaneItem*>(item)) {
            panes.push_back(pane);
        }
    }
    return panes;
}

TEST_F(Picture, svgIsXmlWhoseTextIsText) {
    const Analysis analysis = shortAnalysis();
    const std::string text = textOfSvg(svgFor(analysis));
    for (const Pin& pin : pins(analysis.findings)) {
        EXPECT_THAT(text, HasSubstr(pin.lines.front()));
        EXPECT_THAT(text, HasSubstr(pin.lines.at(1)));
    }
    for (const Span& span : spans(analysis)) {
        EXPECT_THAT(text, HasSubstr(span.text));
    }
    for (const Event& event : analysis.events) {
        EXPECT_THAT(text, HasSubstr(eventText(event)));
    }
    EXPECT_THAT(text, HasSubstr("temperature, °C"));
    EXPECT_THAT(text, HasSubstr("rod 03"));
}

TEST_F(Picture, svgStaysXmlWhateverPeopleWrote) {
    Analysis analysis = shortAnalysis();
    analysis.findings.run = "a<b> & \"c\" \x01\xff";
    analysis.events.push_back({.time_s = 300.0, .kind = "note", .text = "]]> <!-- \x1b[0m"});
    const std::string text = textOfSvg(svgFor(analysis));
    EXPECT_THAT(text, HasSubstr("a<b> & \"c\""));
    EXPECT_THAT(text, HasSubstr("]]> <!--"));
}

TEST_F(Picture, everyEventOfABusyRunHasItsLineAndItsWords) {
    Analysis analysis = shortAnalysis();
    for (int i = 0; i < 5; ++i) {
        analysis.events.push_back({.time_s = 640.0 + 8.0 * i, .kind = "note", .text = "seen " + std::to_string(i)});
    }
    const std::string text = textOfSvg(svgFor(analysis));
    for (int i = 0; i < 5; ++i) {
        EXPECT_THAT(text, HasSubstr("seen " + std::to_string(i)));
    }
}

TEST_F(Picture, countsTheEventsWhoseWordsFindNoRoom) {
    Analysis analysis = shortAnalysis();
    analysis.events.clear();
    for (int i = 0; i < 20; ++i) {
        analysis.events.push_back({.time_s = 640.0 + i, .kind = "note", .text = "seen " + std::to_string(i)});
    }
    EXPECT_THAT(textOfSvg(svgFor(analysis)), HasSubstr("12 events more: words in the report"));
}

TEST_F(Picture, countsTheLandmarksWhoseWordsFindNoRoom) {
    Analysis analysis = shortAnalysis();
    for (int i = 0; i < 30; ++i) {
        const Landmark mark{.time_s = normalEstimate(50.0 * i, 1.0), .temperature_c = normalEstimate(22.0, 0.1)};
        analysis.findings.exotherms.push_back({.onset = mark, .peak = mark, .end = {}});
    }
    content_ = plotContent(analysis);
    const QSizeF low(1100.0, 330.0);
    const auto scene = plotScene(content_, low);
    EXPECT_THAT(textOfSvg(svgOf(*scene, low, content_.title)), HasSubstr("landmarks more: in the report"));
}

TEST_F(Picture, namesTheLargestExothermsOfVeryMany) {
    Analysis analysis = shortAnalysis();
    for (int i = 0; i < 200; ++i) {
        const Landmark mark{.time_s = normalEstimate(5.0 * i, 1.0), .temperature_c = normalEstimate(22.0 + i, 0.1)};
        analysis.findings.exotherms.push_back({.onset = mark, .peak = mark, .end = mark});
    }
    const std::string text = textOfSvg(svgFor(analysis));
    EXPECT_THAT(text, HasSubstr("peak 201:")); // the hottest
    EXPECT_THAT(text, Not(HasSubstr("peak 100:")));
    EXPECT_THAT(plotLayout(content_, plot_page).areas.front().height(), Gt(150.0)) << "the temperature keeps its room";
}

TEST_F(Picture, drawsNoTraceOutsideItsPlotArea) {
    // The shown range is a part of the trace, so that there is something to cut off at both ends.
    const Analysis analysis =
        inventedAnalysis({.name = "cut", .length_s = 7200.0, .middles_s = {520.0}, .width_s = 8.0, .boiling_c = 100.5});
    const auto scene = sceneOf(analysis);
    ASSERT_LT(content_.shown_s.high, analysis.series.time_s.back());
    const PlotLayout layout = plotLayout(content_, plot_page);
    constexpr double rounding = 1e-6;
    std::size_t checked = 0;
    for (PaneItem* const pane : panesOf(*scene)) {
        const QRectF bounds = pane->boundingRect();
        const auto area = std::find_if(layout.areas.begin(), layout.areas.end(), [&](const Box& box) {
            return bounds.contains(QPointF(0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)));
        });
        ASSERT_NE(area, layout.areas.end());
        for (const Point& p : pane->paintedPoints()) {
            EXPECT_TRUE(p.x >= area->left - rounding && p.x <= area->right + rounding && p.y >= area->top - rounding &&
                        p.y <= area->bottom + rounding)
                << p.x << " " << p.y;
            ++checked;
        }
    }
    EXPECT_GT(checked, 100U);
}

TEST_F(Picture, keepsEveryItemOnThePage) {
    Analysis analysis = inventedAnalysis({.name = std::string(300, 'n'), .middles_s = {1500.0, 500.0, 2600.0}});
    analysis.findings.channel = std::string(300, 'c');
    analysis.events.push_back({.time_s = 3590.0, .kind = "note", .text = std::string(300, 'e')});
    const auto scene = sceneOf(analysis);
    const QRectF page(QPointF(0.0, 0.0), plot_page);
    for (QGraphicsItem* const item : scene->items()) {
        if (item->isVisible() && item->type() != QGraphicsWidget::Type && !item->boundingRect().isEmpty()) {
            EXPECT_TRUE(page.adjusted(-1.0, -1.0, 1.0, 1.0).contains(item->sceneBoundingRect())) << item->type();
        }
    }
}

TEST_F(Picture, linesUpThePlotAreasOfItsPanes) {
    const Analysis analysis = shortAnalysis();
    const auto scene = sceneOf(analysis);
    const PlotLayout layout = plotLayout(content_, plot_page);
    std::size_t charts = 0;
    for (QGraphicsItem* const item : scene->items()) {
        if (const auto* const chart = dynamic_cast<QChart*>(item)) {
            const QRectF area = chart->mapRectToScene(chart->plotArea());
            EXPECT_TRUE(std::any_of(layout.areas.begin(), layout.areas.end(),
                                    [&](const Box& box) {
                                        return std::abs(box.left - area.left()) < 0.01 &&
                                               std::abs(box.top - area.top()) < 0.01 &&
                                               std::abs(box.right - area.right()) < 0.01 &&
                                               std::abs(box.bottom - area.bottom()) < 0.01;
                                    }))
                << area.left() << " " << area.top() << " " << area.right() << " " << area.bottom();
            ++charts;
        }
    }
    EXPECT_EQ(charts, 4U);
}

TEST_F(Picture, pngHasTwoPixelsAUnitAndIsNotBlank) {
    const Analysis analysis = shortAnalysis();
    const auto scene = sceneOf(analysis);
    const QImage image = QImage::fromData(
        QByteArray::fromStdString(pngOf(imageOf(*scene, plot_page, (plot_page * 2.0).toSize()))), "PNG");
    ASSERT_EQ(image.size(), (plot_page * 2.0).toSize());
    const QColor rate = paperTheme().rate;
    int dark = 0;
    int vermilion = 0;
    for (int y = 0; y < image.height(); ++y) {
        for (int x = 0; x < image.width(); ++x) {
            const QColor pixel = image.pixelColor(x, y);
            dark += pixel.lightness() < 60 ? 1 : 0;
            vermilion += pixel == rate ? 1 : 0;
        }
    }
    EXPECT_GT(dark, 5000);
    EXPECT_GT(vermilion, 500);
}

TEST_F(Picture, showsASpikeOfOneSample) {
    Analysis analysis;
    analysis.findings.run = "spike";
    constexpr std::size_t count = 200000;
    for (std::size_t i = 0; i < count; ++i) {
        analysis.series.time_s.push_back(static_cast<double>(i));
        analysis.series.reading_c.push_back(i == 123456 ? 90.0 : 20.0);
    }
    const auto scene = sceneOf(analysis);
    const QImage image = QImage::fromData(
        QByteArray::fromStdString(pngOf(imageOf(*scene, plot_page, (plot_page * 2.0).toSize()))), "PNG");
    const PlotLayout layout = plotLayout(content_, plot_page);
    const Box& area = layout.areas.front();
    const double middle_y = 0.5 * (area.top + area.bottom);
    const double x = layout.xOf(123456.0);
    int darkest = 255;
    for (int dx = -3; dx <= 3; ++dx) {
        darkest = std::min(
            darkest, image.pixelColor(static_cast<int>(2.0 * x) + dx, static_cast<int>(2.0 * middle_y)).lightness());
    }
    EXPECT_LT(darkest, 80);
}

TEST_F(Picture, isDrawnForTheSmallestOfRuns) {
    Analysis one;
    one.series.time_s = {0.0};
    one.series.reading_c = {20.0};
    Analysis flat;
    flat.series.time_s = {0.0, 1.0, 2.0};
    flat.series.reading_c = {20.0, 20.0, 20.0};
    EXPECT_THAT(textOfSvg(svgFor(one)), HasSubstr("time, s"));
    EXPECT_THAT(textOfSvg(svgFor(flat)), HasSubstr("time, s"));
    EXPECT_THAT(textOfSvg(svgFor(Analysis{})), HasSubstr("no temperature that could be drawn"));
}

TEST_F(Picture, writesNumbersWithAPointUnderACommaLocale) {
    const Analysis analysis = shortAnalysis();
    const std::string text = textOfSvg(svgFor(analysis));
    EXPECT_THAT(text, HasSubstr("1.0\n")); // tick of the degree of cure
}

TEST_F(Picture, usesAFontThatIsThere) {
    EXPECT_EQ(QFontInfo(drawingFont(11.0)).family(), QStringLiteral("DejaVu Sans"));
}

double luminance(const QColor& colour) {
    const auto linear = [](double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); };
    return 0.2126 * linear(colour.redF()) + 0.7152 * linear(colour.greenF()) + 0.0722 * linear(colour.blueF());
}

// Source: WCAG 2.1, success criteria 1.4.3 (text 4.5:1) and 1.4.11 (graphics 3:1), with its definition of contrast
// ratio.
void expectContrast(const Theme& theme) {
    const auto contrast = [&](const QColor& colour) {
        const double ground = luminance(theme.ground) + 0.05;
        const double own = luminance(colour) + 0.05;
        return std::max(ground, own) / std::min(ground, own);
    };
    for (const QColor& colour :
         {theme.rate, theme.heat_flow, theme.degree, theme.plateau, theme.reading, theme.frame}) {
        EXPECT_GE(contrast(colour), 3.0) << colour.name().toStdString();
    }
    EXPECT_GE(contrast(theme.ink), 4.5);
}

TEST(Theme, keepsItsContrastOnPaper) {
    expectContrast(paperTheme());
}

TEST(Theme, keepsItsContrastInTheDark) {
    expectContrast(darkTheme());
}

} // namespace
} // namespace potwatch::report
