// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/number.h"
#include "app/report/decimation.h"
#include "tests/app/window/chart/chart_fixture.h"

#include <QLineEdit>
#include <QMenu>

#include <cmath>

namespace potwatch::window {
namespace {

using report::Range;
using testing::HasSubstr;
using testing::Not;

class Edit : public Chart {
protected:
    void SetUp() override {
        Chart::SetUp();
        QObject::connect(chart.get(), &ChartView::landmarkMoved, [this](LandmarkKind landmark, double time_s) {
            moved.push_back({.landmark = landmark, .time_s = time_s});
        });
        QObject::connect(chart.get(), &ChartView::landmarkReset,
                         [this](LandmarkKind landmark) { reset.push_back(landmark); });
        QObject::connect(chart.get(), &ChartView::annotationAdded,
                         [this](const Annotation& annotation) { added.push_back(annotation); });
        QObject::connect(chart.get(), &ChartView::annotationChanged, [this](int index, const Annotation& annotation) {
            changed.push_back(annotation);
            changed_index = index;
        });
        QObject::connect(chart.get(), &ChartView::annotationRemoved, [this](int index) { removed.push_back(index); });
        chart->activateWindow();
        chart->setFocus();
        settle();
    }

    [[nodiscard]] QLineEdit* entry() const {
        for (auto* const found : chart->findChildren<QLineEdit*>(QStringLiteral("annotation_entry"))) {
            if (!found->isHidden()) {
                return found;
            }
        }
        return nullptr;
    }
    void write(const char* words) {
        ASSERT_NE(entry(), nullptr);
        entry()->setText(QString::fromUtf8(words));
        QTest::keyClick(entry(), Qt::Key_Return);
        settle();
    }
    // The same run with these annotations, as the page shows it after it took one in.
    void showWith(const std::vector<Annotation>& annotations, const std::vector<LandmarkKind>& by_hand = {}) {
        Analysis analysis = report::shortAnalysis();
        analysis.annotations = annotations;
        analysis.findings.by_hand = by_hand;
        show(analysis, true);
    }
    [[nodiscard]] std::string said() const { return chart->readOut().join(QLatin1Char('\n')).toStdString(); }
    [[nodiscard]] double peakTime() const { return shown->findings.landmarks.peak->time_s.value; }

    static Annotation words() {
        return {.kind = AnnotationKind::text,
                .pane = PaneKind::temperature,
                .time_s = 400.0,
                .value = 60.0,
                .to_time_s = 400.0,
                .to_value = 60.0,
                .text = "stirred by hand"};
    }

    std::vector<LandmarkOverride> moved;
    std::vector<LandmarkKind> reset;
    std::vector<Annotation> added;
    std::vector<Annotation> changed;
    int changed_index = -1;
    std::vector<int> removed;
};

TEST_F(Edit, zoomsToABoxOfTime) {
    chart->setTool(ChartTool::boxZoom);
    const QPoint from = at(PaneKind::temperature, 500.0, 30.0);
    const QPoint to(at(PaneKind::temperature, 900.0, 30.0).x(), 600);
    const double a_pixel = pixel();
    drag(from, to);
    EXPECT_NEAR(chart->shownTime().low, 500.0, a_pixel);
    EXPECT_NEAR(chart->shownTime().high, 900.0, a_pixel);
}

TEST_F(Edit, zoomsToABoxWithinAPaneInValueToo) {
    const QPoint from = at(PaneKind::temperature, 500.0, 40.0);
    const QPoint to = at(PaneKind::temperature, 900.0, 60.0);
    drag(from, to, Qt::ShiftModifier);
    EXPECT_NEAR(chart->shownTime().low, 500.0, 5.0);
    EXPECT_NEAR(chart->shownView().panes.front().range.low, 40.0, 0.5);
    EXPECT_NEAR(chart->shownView().panes.front().range.high, 60.0, 0.5);
    key(Qt::Key_0);
    EXPECT_GT(chart->shownView().panes.front().range.high, 70.0);
}

TEST_F(Edit, readsTheValuesWhereItIsClicked) {
    QTest::mouseClick(chart.get(), Qt::LeftButton, {}, at(PaneKind::rate, 600.0, 0.0));
    ASSERT_TRUE(chart->readingLine(0));
    EXPECT_NEAR(*chart->readingLine(0), 600.0, pixel());
    const double value = report::valueAt(shown->series.time_s, shown->series.temperature_c, *chart->readingLine(0));
    EXPECT_THAT(said(), HasSubstr("10 min "));
    EXPECT_THAT(said(), HasSubstr(": " + format::valueText(value, format::Quantity::temperature) + ", read "));
    EXPECT_THAT(said(), HasSubstr("K/min"));
    EXPECT_THAT(said(), HasSubstr(" W"));
    EXPECT_THAT(said(), HasSubstr("cure "));
}

TEST_F(Edit, measuresFromOneLineToTheOther) {
    chart->setReadingLine(0, 600.0);
    chart->setReadingLine(1, 660.0);
    EXPECT_THAT(said(), HasSubstr("1 min 0"));
    EXPECT_THAT(said(), HasSubstr(" K, "));
    EXPECT_THAT(said(), HasSubstr("K/min on average"));
}

TEST_F(Edit, movesTheLinesByKeysAndTakesThemAwayByEscape) {
    chart->setReadingLine(0, 600.0);
    key(Qt::Key_Right, Qt::AltModifier);
    EXPECT_NEAR(*chart->readingLine(0), 600.0 + pixel(), 1e-6);
    key(Qt::Key_Left, Qt::AltModifier | Qt::ShiftModifier);
    ASSERT_TRUE(chart->readingLine(1));
    EXPECT_LT(*chart->readingLine(1), *chart->readingLine(0));
    key(Qt::Key_C);
    EXPECT_EQ(chart->tool(), ChartTool::cursor);
    key(Qt::Key_Right);
    EXPECT_NEAR(*chart->readingLine(0), 600.0 + 2.0 * pixel(), 1e-6);
    key(Qt::Key_Escape);
    EXPECT_EQ(chart->tool(), ChartTool::pan);
    EXPECT_TRUE(chart->readingLine(0));
    key(Qt::Key_Escape);
    EXPECT_FALSE(chart->readingLine(0));
    EXPECT_FALSE(chart->readingLine(1));
}

TEST_F(Edit, movesALandmarkByDraggingItsPin) {
    const QPoint pin = chart->positionOf(LandmarkKind::onset)->toPoint();
    const double from_s = shown->findings.landmarks.onset->time_s.value;
    const double a_pixel = pixel();
    drag(pin, pin + QPoint(-30, 5));
    ASSERT_EQ(moved.size(), 1U);
    EXPECT_EQ(moved.front().landmark, LandmarkKind::onset);
    EXPECT_NEAR(moved.front().time_s, from_s - 30.0 * a_pixel, 1e-6);
    EXPECT_EQ(chart->shownTime(), report::shownRange(*shown)); // it was not panned
}

TEST_F(Edit, movesALandmarkByKeys) {
    key(Qt::Key_4); // the peak is the fourth
    EXPECT_THAT(said(), HasSubstr("peak"));
    key(Qt::Key_Right);
    key(Qt::Key_Right, Qt::ShiftModifier);
    EXPECT_TRUE(moved.empty());
    EXPECT_THAT(said(), HasSubstr("Enter keeps it there"));
    key(Qt::Key_Return);
    ASSERT_EQ(moved.size(), 1U);
    EXPECT_EQ(moved.front().landmark, LandmarkKind::peak);
    EXPECT_NEAR(moved.front().time_s, peakTime() + 11.0 * pixel(), 1e-6);
}

TEST_F(Edit, leavesALandmarkWhereItIsAfterEscape) {
    key(Qt::Key_4);
    key(Qt::Key_Right);
    key(Qt::Key_Escape);
    key(Qt::Key_Return);
    EXPECT_TRUE(moved.empty());
    const QPoint pin = chart->positionOf(LandmarkKind::peak)->toPoint();
    QTest::mousePress(chart.get(), Qt::LeftButton, {}, pin);
    QMouseEvent move(QEvent::MouseMove, pin + QPoint(40, 0), chart->mapToGlobal(pin), Qt::NoButton, Qt::LeftButton, {});
    QApplication::sendEvent(chart.get(), &move);
    key(Qt::Key_Escape);
    QTest::mouseRelease(chart.get(), Qt::LeftButton, {}, pin + QPoint(40, 0));
    EXPECT_TRUE(moved.empty());
}

TEST_F(Edit, putsALandmarkBackByDelete) {
    showWith({}, {LandmarkKind::onset});
    const std::string texts = chart->shownTexts().join(QLatin1Char('\n')).toStdString();
    EXPECT_THAT(texts, HasSubstr("put by hand"));
    key(Qt::Key_2);
    EXPECT_THAT(said(), HasSubstr("put by hand"));
    key(Qt::Key_Delete);
    EXPECT_THAT(reset, testing::ElementsAre(LandmarkKind::onset));
    key(Qt::Key_4); // the peak was found, so that there is nothing to put back
    key(Qt::Key_Delete);
    EXPECT_EQ(reset.size(), 1U);
}

TEST_F(Edit, writesWordsWhereItIsClicked) {
    key(Qt::Key_T);
    const QPoint where = at(PaneKind::temperature, 400.0, 60.0);
    QTest::mouseClick(chart.get(), Qt::LeftButton, {}, where);
    write("stirred by hand");
    ASSERT_EQ(added.size(), 1U);
    EXPECT_EQ(added.front().kind, AnnotationKind::text);
    EXPECT_EQ(added.front().pane, PaneKind::temperature);
    EXPECT_EQ(added.front().text, "stirred by hand");
    EXPECT_NEAR(added.front().time_s, 400.0, pixel());
    EXPECT_NEAR(added.front().value, 60.0, 0.5);
    EXPECT_EQ(chart->tool(), ChartTool::pan);
    EXPECT_EQ(entry(), nullptr);
}

TEST_F(Edit, writesNothingAfterEscapeOrWithoutWords) {
    key(Qt::Key_T);
    QTest::mouseClick(chart.get(), Qt::LeftButton, {}, at(PaneKind::temperature, 400.0, 60.0));
    ASSERT_NE(entry(), nullptr);
    QTest::keyClicks(entry(), QStringLiteral("words"));
    QTest::keyClick(entry(), Qt::Key_Escape);
    settle();
    EXPECT_EQ(entry(), nullptr);
    QTest::mouseClick(chart.get(), Qt::LeftButton, {}, at(PaneKind::temperature, 400.0, 60.0));
    write("  ");
    EXPECT_TRUE(added.empty());
}

TEST_F(Edit, drawsAnArrowFromTheThingToItsWords) {
    key(Qt::Key_A);
    drag(at(PaneKind::heat_flow, 700.0, 40.0), at(PaneKind::heat_flow, 1100.0, 60.0));
    write("the most heat");
    ASSERT_EQ(added.size(), 1U);
    EXPECT_EQ(added.front().kind, AnnotationKind::arrow);
    EXPECT_EQ(added.front().pane, PaneKind::heat_flow);
    EXPECT_NEAR(added.front().time_s, 700.0, pixel());
    EXPECT_NEAR(added.front().value, 40.0, 2.0);
    EXPECT_NEAR(added.front().to_time_s, 1100.0, pixel());
    EXPECT_NEAR(added.front().to_value, 60.0, 2.0);
}

TEST_F(Edit, drawsASpanWithItsLengthAsItsFirstWords) {
    key(Qt::Key_S);
    drag(at(PaneKind::temperature, 900.0, 50.0), at(PaneKind::temperature, 600.0, 53.0));
    ASSERT_NE(entry(), nullptr);
    EXPECT_THAT(entry()->text().toStdString(), HasSubstr("min"));
    QTest::keyClick(entry(), Qt::Key_Return);
    ASSERT_EQ(added.size(), 1U);
    EXPECT_EQ(added.front().kind, AnnotationKind::span);
    EXPECT_NEAR(added.front().time_s, 600.0, pixel());
    EXPECT_NEAR(added.front().to_time_s, 900.0, pixel());
    EXPECT_NEAR(added.front().value, 50.0, 0.5);
    EXPECT_EQ(added.front().to_value, added.front().value);
}

TEST_F(Edit, movesWordsByDraggingThem) {
    showWith({words()});
    const QPoint from = at(PaneKind::temperature, 400.0, 60.0) + QPoint(20, 0);
    const double a_pixel = pixel();
    drag(from, from + QPoint(50, -20));
    ASSERT_EQ(changed.size(), 1U);
    EXPECT_EQ(changed_index, 0);
    EXPECT_NEAR(changed.front().time_s, 400.0 + 50.0 * a_pixel, 1e-6);
    EXPECT_GT(changed.front().value, 60.0);
    EXPECT_EQ(changed.front().text, "stirred by hand");
}

TEST_F(Edit, movesOneEndOfASpan) {
    Annotation span = words();
    span.kind = AnnotationKind::span;
    span.to_time_s = 800.0;
    showWith({span});
    const QPoint end = at(PaneKind::temperature, 800.0, 60.0);
    drag(end, end + QPoint(40, 0));
    ASSERT_EQ(changed.size(), 1U);
    EXPECT_EQ(changed.front().time_s, 400.0);
    EXPECT_NEAR(changed.front().to_time_s, 800.0 + 40.0 * pixel(), 1e-6);
}

TEST_F(Edit, changesWordsByDoubleClickAndByEnter) {
    showWith({words()});
    QTest::mouseDClick(chart.get(), Qt::LeftButton, {}, at(PaneKind::temperature, 400.0, 60.0) + QPoint(20, 0));
    write("stirred by machine");
    ASSERT_EQ(changed.size(), 1U);
    EXPECT_EQ(changed.front().text, "stirred by machine");
    key(Qt::Key_Return); // it is still selected
    write("not stirred");
    ASSERT_EQ(changed.size(), 2U);
    EXPECT_EQ(changed.back().text, "not stirred");
}

TEST_F(Edit, removesTheSelectedWordsByDelete) {
    showWith({words()});
    QTest::mouseClick(chart.get(), Qt::LeftButton, {}, at(PaneKind::temperature, 400.0, 60.0) + QPoint(20, 0));
    key(Qt::Key_Delete);
    EXPECT_THAT(removed, testing::ElementsAre(0));
}

TEST_F(Edit, goesFromPinToPinByTabAndThenOn) {
    for (std::size_t i = 0; i < 5; ++i) {
        key(Qt::Key_Tab);
        EXPECT_TRUE(chart->hasFocus());
    }
    EXPECT_THAT(said(), HasSubstr("end"));
    key(Qt::Key_Backtab);
    EXPECT_THAT(said(), HasSubstr("peak"));
}

TEST_F(Edit, offersWhatCanBeDoneInAMenu) {
    QContextMenuEvent event(QContextMenuEvent::Mouse, QPoint(300, 250), chart->mapToGlobal(QPoint(300, 250)));
    QApplication::sendEvent(chart.get(), &event);
    auto* const menu = chart->findChild<QMenu*>(QStringLiteral("chart_menu"));
    ASSERT_NE(menu, nullptr);
    std::string texts;
    for (const QAction* const action : menu->actions()) {
        texts += action->text().toStdString() + "\n";
    }
    for (const char* const wanted : {"Fit to the cure\t0", "Mark an event here", "Write words\tT", "Zoom in\t+"}) {
        EXPECT_THAT(texts, HasSubstr(wanted));
    }
    menu->close();
}

TEST_F(Edit, asksForAnEventAtTheReadingLine) {
    QSignalSpy wanted(chart.get(), &ChartView::eventWanted);
    chart->setReadingLine(0, 555.0);
    key(Qt::Key_E);
    ASSERT_EQ(wanted.count(), 1);
    EXPECT_EQ(wanted.front().front().toDouble(), 555.0);
}

TEST_F(Edit, lightsUpAStretchWithoutHidingTheTrace) {
    const QPoint beside = at(PaneKind::temperature, 700.0, 30.0);
    const QPoint trace = onTrace(700.0);
    const QImage before = chart->grab().toImage();
    chart->setHighlight(ChartView::Highlight{.pane = PaneKind::temperature, .time_s = {.low = 600.0, .high = 800.0}});
    settle();
    const QImage lit = chart->grab().toImage();
    EXPECT_NE(lit.pixel(beside), before.pixel(beside));
    EXPECT_LT(qGray(lit.pixel(trace)), 80);
    chart->setHighlight(std::nullopt);
    settle();
    EXPECT_EQ(chart->grab().toImage().pixel(beside), before.pixel(beside));
}

TEST_F(Edit, followsTheColoursOfTheDesktop) {
    EXPECT_GT(qGray(chart->grab().toImage().pixel(3, 300)), 200);
    QPalette dark = chart->palette();
    dark.setColor(QPalette::Window, QColor(30, 30, 30));
    chart->setPalette(dark);
    settle();
    EXPECT_LT(qGray(chart->grab().toImage().pixel(10, 300)), 60);
}

TEST_F(Edit, showsALongRunOnceItIsReady) {
    chart->setAnalysis(std::make_shared<const Analysis>(
        report::inventedAnalysis({.length_s = 30000.0, .interval_s = 0.1, .middles_s = {9000.0}, .width_s = 600.0})));
    EXPECT_TRUE(chart->isBusy());
    chart->showTime({.low = 8000.0, .high = 9000.0});
    ASSERT_TRUE(QTest::qWaitFor([this] { return !chart->isBusy(); }, 60000));
    EXPECT_EQ(chart->shownTime(), (Range{.low = 8000.0, .high = 9000.0}));
}

} // namespace
} // namespace potwatch::window
