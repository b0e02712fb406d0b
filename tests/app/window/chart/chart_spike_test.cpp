// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/window/chart/chart_fixture.h"

#include <cmath>

namespace potwatch::window {
namespace {

// Half way up a spike of one sample of 10^7, looked for in the pixels at every zoom from the whole run to single
// samples.
TEST_F(Chart, showsASpikeOfOneSampleOfTenMillionAtEveryZoom) {
    constexpr std::size_t count = 10'000'000;
    constexpr std::size_t spike = 6'543'217;
    auto run = std::make_shared<Analysis>();
    run->findings.run = "spike";
    Series& series = run->series;
    for (std::size_t i = 0; i < count; ++i) {
        series.time_s.push_back(0.1 * static_cast<double>(i));
        series.reading_c.push_back(i == spike ? 90.0 : 20.0);
    }
    chart->setAnalysis(run);
    ASSERT_TRUE(QTest::qWaitFor([this] { return !chart->isBusy(); }, 60000));
    const double spike_s = series.time_s[spike];
    int zooms = 0;
    for (double width_s = 1e6; width_s > 1.0; width_s /= 1.7) {
        chart->showTime({.low = spike_s - 0.37 * width_s, .high = spike_s + 0.63 * width_s});
        settle();
        const auto where = chart->positionOf(PaneKind::temperature, spike_s, 89.0);
        ASSERT_TRUE(where);
        const QImage image = chart->grab().toImage();
        int darkest = 255;
        for (int dx = -3; dx <= 3; ++dx) {
            darkest = std::min(darkest, qGray(image.pixel(where->toPoint() + QPoint(dx, 0))));
        }
        EXPECT_LT(darkest, 110) << width_s;
        EXPECT_GT(qGray(image.pixel(where->toPoint() + QPoint(25, 0))), 200) << width_s; // and nothing else is there
        ++zooms;
    }
    EXPECT_GT(zooms, 20);
}

} // namespace
} // namespace potwatch::window
