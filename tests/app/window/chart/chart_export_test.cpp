// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/findings_text.h"
#include "app/report/pane_item.h"
#include "app/report/plot_image.h"
#include "app/report/plot_picture.h"
#include "tests/app/report/svg_text.h"
#include "tests/app/window/chart/chart_fixture.h"

#include <QGraphicsLineItem>
#include <QGraphicsPolygonItem>
#include <QPainter>
#include <QProcess>
#include <QTemporaryDir>

#include <algorithm>
#include <cmath>

namespace potwatch::window {
namespace {

using report::Range;
using testing::HasSubstr;

Analysis annotated() {
    Analysis analysis = report::shortAnalysis();
    analysis.annotations = {{.kind = AnnotationKind::text,
                             .pane = PaneKind::temperature,
                             .time_s = 300.0,
                             .value = 60.0,
                             .to_time_s = 300.0,
                             .to_value = 60.0,
                             .text = "stirred by hand"},
                            {.kind = AnnotationKind::arrow,
                             .pane = PaneKind::heat_flow,
                             .time_s = 700.0,
                             .value = 60.0,
                             .to_time_s = 1100.0,
                             .to_value = 70.0,
                             .text = "most heat"},
                            {.kind = AnnotationKind::span,
                             .pane = PaneKind::rate,
                             .time_s = 500.0,
                             .value = 5.0,
                             .to_time_s = 900.0,
                             .to_value = 5.0,
                             .text = "fast"}};
    analysis.findings.by_hand = {LandmarkKind::onset};
    return analysis;
}

std::vector<std::string> wordsOf(const Analysis& analysis) {
    std::vector<std::string> words{"put by hand"};
    for (const report::Pin& pin : report::pins(analysis.findings)) {
        words.insert(words.end(), {pin.lines.at(0), pin.lines.at(1)});
    }
    for (const report::Span& span : report::spans(analysis)) {
        words.push_back(span.text);
    }
    for (const Event& event : analysis.events) {
        words.push_back(report::eventText(event));
    }
    for (const Annotation& annotation : analysis.annotations) {
        words.push_back(annotation.text);
    }
    return words;
}

using report::textOfSvg;

// What a program prints; empty where it is not installed or fails.
std::string printed(const QString& program, const QStringList& arguments) {
    QProcess process;
    process.start(program, arguments);
    if (!process.waitForStarted() || !process.waitForFinished(60000) || process.exitCode() != 0) {
        return {};
    }
    return process.readAllStandardOutput().toStdString();
}

class ChartExport : public Chart {
protected:
    [[nodiscard]] std::string path(const char* name) const {
        return folder.filePath(QString::fromUtf8(name)).toStdString();
    }
    QTemporaryDir folder;
};

TEST_F(ChartExport, svgHoldsEveryLandmarkSpanEventAndAnnotationAsText) {
    const Analysis analysis = annotated();
    const auto svg = report::plotSvg(analysis);
    ASSERT_TRUE(svg);
    const std::string text = textOfSvg(*svg);
    for (const std::string& words : wordsOf(analysis)) {
        EXPECT_THAT(text, HasSubstr(words));
    }
}

TEST_F(ChartExport, pdfHoldsThemAsSelectableText) {
    const Analysis analysis = annotated();
    ASSERT_TRUE(report::writePlot(analysis, path("a.pdf")));
    const std::string text =
        printed(QStringLiteral("pdftotext"),
                {QStringLiteral("-layout"), QString::fromStdString(path("a.pdf")), QStringLiteral("-")});
    if (text.empty()) {
        GTEST_SKIP() << "pdftotext is not installed";
    }
    for (const std::string& words : wordsOf(analysis)) {
        EXPECT_THAT(text, HasSubstr(words));
    }
}

TEST_F(ChartExport, chartShowsWhatTheExportSays) {
    const Analysis analysis = annotated();
    show(analysis);
    chart->resize(1100, 900);
    settle();
    const auto svg = report::plotSvg(analysis, {.view = chart->shownView()});
    ASSERT_TRUE(svg);
    const std::string exported = textOfSvg(*svg);
    const std::string on_screen = chart->shownTexts().join(QLatin1Char('\n')).toStdString();
    for (const std::string& words : wordsOf(analysis)) {
        EXPECT_THAT(on_screen, HasSubstr(words));
        EXPECT_THAT(exported, HasSubstr(words));
    }
    for (const QString& text : chart->shownTexts()) { // nor does it say anything else, but for what found no room
        EXPECT_THAT(exported, HasSubstr(text.toStdString()));
    }
}

TEST_F(ChartExport, exportsWhatIsInView) {
    const Analysis analysis = annotated();
    show(analysis);
    chart->showTime({.low = 600.0, .high = 760.0});
    const auto svg = report::plotSvg(analysis, {.view = chart->shownView()});
    const auto all = report::plotSvg(analysis, {.whole_trace = true});
    ASSERT_TRUE(svg && all);
    EXPECT_THAT(textOfSvg(*svg), HasSubstr("trace continues to 30 min"));
    EXPECT_THAT(textOfSvg(*svg), testing::Not(HasSubstr("stirred by hand"))); // it lies before
    EXPECT_THAT(textOfSvg(*all), testing::Not(HasSubstr("trace continues")));
}

TEST_F(ChartExport, drawsNothingOfAZoomedViewOutsideItsAxes) {
    const Analysis analysis = annotated();
    const report::PlotContent content = report::plotContent(analysis);
    report::PlotView view = report::viewOf(content, {.low = 640.0, .high = 820.0});
    view.panes.front().range = {.low = 45.0, .high = 60.0}; // the trace leaves above and below
    report::PlotPicture picture(content, report::paperTheme());
    for (const bool for_pixels : {false, true}) {
        picture.layOut({}, view, {.columns_per_unit = 2.0, .for_pixels = for_pixels});
        const report::PlotLayout& layout = picture.layout();
        std::size_t checked = 0;
        for (QGraphicsItem* const item : picture.scene().items()) {
            const auto* const pane = dynamic_cast<const report::PaneItem*>(item);
            if (pane == nullptr) {
                continue;
            }
            for (const report::Point& p : pane->paintedPoints()) {
                constexpr double rounding = 1e-6;
                EXPECT_TRUE(std::any_of(layout.areas.begin(), layout.areas.end(),
                                        [&](const report::Box& box) {
                                            return p.x >= box.left - rounding && p.x <= box.right + rounding &&
                                                   p.y >= box.top - rounding && p.y <= box.bottom + rounding;
                                        }))
                    << p.x << " " << p.y;
                ++checked;
            }
        }
        EXPECT_GT(checked, 100U);
        for (const report::ShownAnnotation& shown_one : picture.marks().annotations) {
            const report::Box& box = shown_one.text;
            EXPECT_TRUE(box.left >= layout.areas.front().left - 1.0 || box.width() == 0.0);
            EXPECT_LE(box.right, layout.areas.front().right + 1.0);
        }
    }
}

TEST_F(ChartExport, pngHasTheSizeThatWasAskedFor) {
    const auto image = report::plotImage(annotated(), {.width_px = 1600, .height_px = 1000});
    ASSERT_TRUE(image);
    EXPECT_EQ(image->size(), QSize(1600, 1000));
    ASSERT_TRUE(report::writePlot(annotated(), path("a.png"), {.width_px = 801, .height_px = 600}));
    EXPECT_EQ(QImage(QString::fromStdString(path("a.png"))).size(), QSize(801, 600));
    EXPECT_FALSE(report::plotImage(annotated(), {.width_px = 10, .height_px = 10}));
}

// How much of two pictures differs: the mean over all pixels, of 255. Each is looked at from so far that it does not
// matter in which way the edges of letters are smoothed.
double difference(const QImage& a, const QImage& b) {
    constexpr int far = 4;
    const auto seen = [](const QImage& image) {
        return image.scaled(image.width() / far, image.height() / far, Qt::IgnoreAspectRatio, Qt::SmoothTransformation);
    };
    const QImage first = seen(a);
    const QImage second = seen(b);
    double sum = 0.0;
    for (int y = 0; y < first.height(); ++y) {
        for (int x = 0; x < first.width(); ++x) {
            sum += std::abs(qGray(first.pixel(x, y)) - qGray(second.pixel(x, y)));
        }
    }
    return sum / (first.width() * first.height());
}

// Whether two pictures are the same one, and would not be if either were moved by two pixels of 820. What is left of a
// difference is text: in pixels, its baseline stands on whole ones.
void expectSame(const QImage& a, const QImage& b) {
    const double same = difference(a, b);
    EXPECT_LT(same, 3.0);
    EXPECT_LT(same, 0.6 * difference(a, b.copy(0, 2, b.width(), b.height())));
}

TEST_F(ChartExport, pdfLooksAsThePngDoes) {
    const Analysis analysis = annotated();
    ASSERT_TRUE(report::writePlot(analysis, path("a.pdf")));
    const auto png = report::plotImage(analysis, {.width_px = 1100, .height_px = 820});
    ASSERT_TRUE(png);
    printed(QStringLiteral("pdftoppm"),
            {QStringLiteral("-png"), QStringLiteral("-singlefile"), QStringLiteral("-scale-to-x"),
             QStringLiteral("1100"), QStringLiteral("-scale-to-y"), QStringLiteral("820"),
             QString::fromStdString(path("a.pdf")), QString::fromStdString(path("page"))});
    const QImage page(QString::fromStdString(path("page.png")));
    if (page.isNull()) {
        GTEST_SKIP() << "pdftoppm is not installed";
    }
    ASSERT_EQ(page.size(), png->size());
    expectSame(page, *png);
}

TEST_F(ChartExport, svgLooksAsThePngDoes) {
    const Analysis analysis = annotated();
    const auto svg = report::plotSvg(analysis);
    const auto png = report::plotImage(analysis, {.width_px = 1100, .height_px = 820});
    ASSERT_TRUE(svg && png);
    const QImage drawn = QImage::fromData(QByteArray::fromStdString(*svg), "SVG");
    if (drawn.isNull()) {
        GTEST_SKIP() << "Qt has no reader of SVG images here";
    }
    QImage ground(1100, 820, QImage::Format_RGB32);
    ground.fill(Qt::white);
    QPainter(&ground).drawImage(ground.rect(), drawn);
    expectSame(ground, *png);
}

} // namespace
} // namespace potwatch::window
