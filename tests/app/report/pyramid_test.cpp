// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/decimation.h"
#include "app/report/pyramid.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace potwatch::report {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

// Noise with single missing values and with gaps of up to some hundred.
std::vector<double> randomValues(unsigned seed, std::size_t count) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    std::vector<double> values;
    std::size_t gap = 0;
    for (std::size_t i = 0; i < count; ++i) {
        if (gap == 0 && uniform(random) < 0.01) {
            gap = static_cast<std::size_t>(600.0 * uniform(random) * uniform(random));
        }
        const bool missing = gap > 0 || uniform(random) < 0.05;
        gap -= gap > 0 ? 1 : 0;
        values.push_back(missing ? nan : std::tan(3.1 * (uniform(random) - 0.5)));
    }
    return values;
}

Extremes scanned(const Samples& samples, std::size_t first, std::size_t last) {
    Extremes all;
    for (std::size_t i = first; i < last; ++i) {
        if (samples.known(i)) {
            all.low = std::min(all.low, static_cast<float>(samples.low(i)));
            all.high = std::max(all.high, static_cast<float>(samples.high(i)));
        }
    }
    return all;
}

void expectEqualToScan(const Samples& samples, const Pyramid& pyramid, unsigned seed) {
    std::mt19937 random(seed);
    std::uniform_int_distribution<std::size_t> any(0, samples.size());
    for (int i = 0; i < 300; ++i) {
        const std::size_t a = any(random);
        const std::size_t b = any(random);
        const std::size_t first = std::min(a, b);
        const std::size_t last = i % 3 == 0 ? std::min(first + 40, samples.size()) : std::max(a, b);
        ASSERT_EQ(pyramid.extremes(samples, first, last), scanned(samples, first, last)) << first << " " << last;
        std::size_t known_first = first;
        while (known_first < last && !samples.known(known_first)) {
            ++known_first;
        }
        std::size_t known_last = last;
        while (known_last > first && !samples.known(known_last - 1)) {
            --known_last;
        }
        ASSERT_EQ(pyramid.firstKnown(samples, first, last), known_first);
        ASSERT_EQ(pyramid.lastKnown(samples, first, last), known_last == first ? last : known_last - 1);
    }
}

TEST(Pyramid, equalsAScanOfAllSamples) {
    for (unsigned seed = 1; seed <= 12; ++seed) {
        const std::vector<double> values = randomValues(seed, 200 + 3517 * seed);
        Pyramid pyramid;
        pyramid.grow(samplesOf(values));
        EXPECT_EQ(pyramid.size(), values.size());
        expectEqualToScan(samplesOf(values), pyramid, seed);
    }
}

TEST(Pyramid, ofABandEqualsAScanOfItsLimits) {
    const std::vector<double> centre = randomValues(31, 20000);
    std::vector<double> u = randomValues(32, 20000);
    for (double& value : u) {
        value = std::abs(value);
    }
    const Samples band{.low_of = centre, .high_of = centre, .spread = u, .times = 1.96};
    Pyramid pyramid;
    pyramid.grow(band);
    expectEqualToScan(band, pyramid, 33);
}

TEST(Pyramid, grownBitByBitIsTheOneGrownAtOnce) {
    const std::vector<double> values = randomValues(5, 9000);
    Pyramid pyramid;
    std::mt19937 random(6);
    for (std::size_t size = 0; size < values.size();) {
        size = std::min(size + random() % 300, values.size());
        pyramid.grow(samplesOf(std::span(values).first(size)));
    }
    ASSERT_EQ(pyramid.size(), values.size());
    expectEqualToScan(samplesOf(values), pyramid, 7);
}

TEST(Pyramid, holdsLessThanAnEighthOfItsSamples) {
    const std::vector<double> values(100000, 1.0);
    Pyramid pyramid;
    pyramid.grow(samplesOf(values));
    EXPECT_LT(pyramid.bytes(), values.size() * sizeof(double) / 8);
}

TEST(Pyramid, holdsNothingOfNothing) {
    Pyramid pyramid;
    pyramid.grow({});
    EXPECT_TRUE(pyramid.extremes({}, 0, 0).empty());
    const std::vector<double> missing(1000, nan);
    pyramid.grow(samplesOf(missing));
    EXPECT_TRUE(pyramid.extremes(samplesOf(missing), 0, 1000).empty());
    EXPECT_EQ(pyramid.firstKnown(samplesOf(missing), 0, 1000), 1000U);
}

// What each column of uneven times shows, with a pyramid and by a scan.
TEST(Pyramid, thinsATraceToWhatAScanOfEachColumnGives) {
    std::mt19937 random(11);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    const std::vector<double> y = randomValues(12, 60000);
    std::vector<double> x;
    double time_s = 0.0;
    for (std::size_t i = 0; i < y.size(); ++i) {
        x.push_back(time_s += 0.001 + (i % 5000 < 200 ? 20.0 : 1.0) * uniform(random) * uniform(random));
    }
    Pyramid pyramid;
    pyramid.grow(samplesOf(y));
    for (const int count : {7, 50, 301, 4000}) {
        const ColumnSamples columns =
            columnSamples(x, {.from = 0.11 * x.back(), .to = 0.93 * x.back(), .count = count});
        const auto with = decimate(x, samplesOf(y), columns, &pyramid);
        const auto without = decimate(x, samplesOf(y), columns);
        ASSERT_EQ(with.size(), without.size());
        for (std::size_t i = 0; i < with.size(); ++i) {
            EXPECT_EQ(with[i].front(), without[i].front());
            EXPECT_EQ(with[i].back(), without[i].back());
            const auto byValue = [](const Point& a, const Point& b) { return a.y < b.y; };
            const auto extremes = [&](const Polyline& line) {
                const auto found = std::minmax_element(line.begin(), line.end(), byValue);
                return std::pair{static_cast<float>(found.first->y), static_cast<float>(found.second->y)};
            };
            EXPECT_EQ(extremes(with[i]), extremes(without[i]));
        }
        const auto band_with = decimateBand(x, samplesOf(y), columns, &pyramid);
        const auto band_without = decimateBand(x, samplesOf(y), columns);
        ASSERT_EQ(band_with.size(), band_without.size());
        for (std::size_t i = 0; i < band_with.size(); ++i) {
            ASSERT_EQ(band_with[i].size(), band_without[i].size());
            for (std::size_t k = 0; k < band_with[i].size(); ++k) {
                EXPECT_EQ(band_with[i][k].x, band_without[i][k].x);
                EXPECT_EQ(static_cast<float>(band_with[i][k].y), static_cast<float>(band_without[i][k].y));
            }
        }
    }
}

TEST(ColumnSamples, bordersAreWhereAScanPutsThem) {
    std::mt19937 random(3);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    std::vector<double> x;
    double time_s = 0.0;
    for (int i = 0; i < 5000; ++i) {
        x.push_back(time_s += i % 700 == 0 ? 300.0 : uniform(random));
    }
    const Columns columns{.from = 200.0, .to = 2500.0, .count = 333};
    const ColumnSamples made = columnSamples(x, columns);
    for (int c = 0; c < columns.count; ++c) {
        for (std::size_t i = made.border[static_cast<std::size_t>(c)]; i < made.border[static_cast<std::size_t>(c) + 1];
             ++i) {
            const long own = std::min(static_cast<long>((x[i] - columns.from) / columns.width()), columns.count - 1L);
            EXPECT_EQ(own, c);
        }
    }
    EXPECT_GE(x[made.border.front()], columns.from);
    EXPECT_GT(x[made.border.back()], columns.to);
}

} // namespace
} // namespace potwatch::report
