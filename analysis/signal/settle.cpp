// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/settle.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace potwatch::signal {

Settled settle(TraceView trace) {
    assert(trace.time_s.size() == trace.value.size());
    Settled result;
    std::vector<std::size_t> order;
    order.reserve(trace.size());
    double before_s = -std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < trace.size(); ++i) {
        const double time_s = trace.time_s[i];
        if (!std::isfinite(time_s)) {
            ++result.without_time;
            continue;
        }
        result.stepped_back += time_s < before_s ? 1U : 0U;
        before_s = time_s;
        order.push_back(i);
    }
    if (result.stepped_back > 0) {
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return trace.time_s[a] < trace.time_s[b]; });
    }
    result.time_s.reserve(order.size());
    result.value.reserve(order.size());
    for (std::size_t i = 0; i < order.size();) {
        const double time_s = trace.time_s[order[i]];
        double sum = 0.0;
        std::size_t known = 0;
        std::size_t next = i;
        for (; next < order.size() && trace.time_s[order[next]] == time_s; ++next) {
            const double value = trace.value[order[next]];
            if (!std::isnan(value)) {
                sum += value;
                ++known;
            }
        }
        result.repeated += next - i - 1;
        result.time_s.push_back(time_s);
        result.value.push_back(known == 0 ? std::numeric_limits<double>::quiet_NaN()
                                          : sum / static_cast<double>(known));
        i = next;
    }
    return result;
}

} // namespace potwatch::signal
