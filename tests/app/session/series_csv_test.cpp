// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/series_csv.h"

#include <gtest/gtest.h>

#include <limits>

namespace potwatch::session {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

TEST(SeriesCsv, hasARowASampleWithEmptyCellsForWhatIsNotKnown) {
    const Series series{.time_s = {0.0, 0.1}, .reading_c = {22.25, nan}, .temperature_c = {22.0, 23.0}};
    EXPECT_EQ(seriesCsv(series),
              "time_s,reading_c,temperature_c,temperature_u_k,rate_k_per_min,power_w,heat_j,heat_u_j,"
              "degree,degree_low,degree_high\n"
              "0,22.25,22,,,,,,,,\n"
              "0.1,,23,,,,,,,,\n");
}

TEST(SeriesCsv, numbersReadBackAsTheSameDouble) {
    const double third = 100.0 / 3.0;
    const std::string text = seriesCsv({.time_s = {third}});
    const std::size_t row = text.find('\n') + 1;
    EXPECT_EQ(std::stod(text.substr(row)), third);
}

} // namespace
} // namespace potwatch::session
