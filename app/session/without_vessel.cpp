// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/without_vessel.h"

#include "app/session/whole_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

namespace potwatch::session {
namespace {

constexpr double most_lost_share = 0.05;

tl::unexpected<Fault> missing(const Analysis& analysis, std::string what, std::string remedy) {
    return tl::unexpected(Fault{.kind = FaultKind::missing,
                                .what = std::move(what),
                                .where = {.file = analysis.findings.file},
                                .remedy = std::move(remedy)});
}

} // namespace

Result<forecast::AdiabaticTrace> withoutVessel(const Analysis& analysis, double e_kj_per_mol) {
    const HeatFindings& heat = analysis.findings.heat;
    const Series& series = analysis.series;
    if (!heat.thermal_inertia || !heat.heat_capacity_j_per_k) {
        return missing(analysis, "how much of the heat the vessel takes is not known (phi)",
                       "state [charge] resin_g and specific_heat_j_per_g_k and [vessel] heat_capacity_j_per_k");
    }
    const auto top = std::max_element(series.temperature_c.begin(), series.temperature_c.end());
    const auto rows = static_cast<std::size_t>(top - series.temperature_c.begin()) + 1;
    if (series.heat_j.size() < rows || rows < 2 || series.temperature_c.size() < rows) {
        return missing(analysis, "no rise of an adiabatic pot is seen, or its heat is not known",
                       "state [surroundings] temperature_c, and [vessel] loss_coefficient_w_per_k = 0 for a pot that "
                       "loses no heat");
    }
    const double stored_j = heat.heat_capacity_j_per_k->value * (*top - series.temperature_c.front());
    const double released_j = series.heat_j[rows - 1];
    if (!(released_j > 0.0) || stored_j < (1.0 - most_lost_share) * released_j) {
        return missing(analysis,
                       fmt::format("the pot lost {:.0f} % of its heat before its peak: its trace is not adiabatic",
                                   100.0 * (1.0 - stored_j / released_j)),
                       "use a fit, whose law says what a pot without heat loss would do");
    }
    forecast::AdiabaticTrace trace;
    trace.time_s.assign(series.time_s.begin(), series.time_s.begin() + static_cast<std::ptrdiff_t>(rows));
    trace.temperature_c.assign(series.temperature_c.begin(), std::next(top));
    return forecast::correctedForInertia(trace, heat.thermal_inertia->value, e_kj_per_mol);
}

Result<void> writeWithoutVessel(const Analysis& analysis, double e_kj_per_mol, const std::string& path) {
    const Result<forecast::AdiabaticTrace> trace = withoutVessel(analysis, e_kj_per_mol);
    if (!trace) {
        return tl::unexpected(trace.error());
    }
    std::string text = "time_s,temperature_c\n";
    for (std::size_t i = 0; i < trace->time_s.size(); ++i) {
        fmt::format_to(std::back_inserter(text), "{},{}\n", trace->time_s[i], trace->temperature_c[i]);
    }
    return writeWholeFile(path, text);
}

} // namespace potwatch::session
