// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/chart/chart_data.h"

#include <utility>

namespace potwatch::window {

std::shared_ptr<const ChartData> chartData(std::shared_ptr<const Analysis> analysis, const std::stop_token& stop) {
    auto data = std::make_shared<ChartData>();
    data->content = report::plotContent(*analysis, true, stop);
    data->analysis = std::move(analysis);
    return stop.stop_requested() ? nullptr : data;
}

} // namespace potwatch::window
