// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/adiabatic.h"

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/roots.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <optional>
#include <string>
#include <utility>

namespace potwatch::forecast {

namespace {

constexpr double zero_celsius_k = 273.15;
constexpr double seconds_per_minute = 60.0;
// The highest rate is looked for at this many degrees before it is narrowed down: it is several of these steps wide.
constexpr std::size_t searched_degrees = 2000;
constexpr int narrowing_bits = 40; // of double precision; a maximum is flat, so half of the bits are all there is
// Relative error of a time: far below what any law is worth.
constexpr double quadrature_tolerance = 1e-9;
constexpr unsigned quadrature_depth = 15;
// Where a temperature for a given time is looked for.
constexpr double coldest_c = -100.0;
constexpr double hottest_c = 400.0;

Fault fault(FaultKind kind, std::string what, std::string remedy) {
    return {.kind = kind, .what = std::move(what), .where = {}, .remedy = std::move(remedy)};
}

std::optional<Fault> check(const AdiabaticPot& pot, const CurePlace& place) {
    const auto positive = [](double value) { return value > 0.0 && std::isfinite(value); };
    if (!positive(pot.resin_g) || !positive(pot.heat_of_reaction_j_per_g) || !positive(pot.heat_capacity_j_per_k)) {
        return fault(FaultKind::range, "the resin's mass, its heat of reaction or the heat capacity is not above zero",
                     "correct it in the batch file");
    }
    if (!(place.temperature_c > -zero_celsius_k) || !(place.degree >= 0.0 && place.degree <= 1.0)) {
        return fault(FaultKind::range, "the state of the pot cannot be", "give a temperature and a degree from 0 to 1");
    }
    return std::nullopt;
}

// The states that a pot without heat loss runs through.
class Adiabat {
public:
    Adiabat(const AdiabaticPot& pot, const CurePlace& start)
        : pot_(pot)
        , start_(start)
        , kelvin_per_degree_(pot.resin_g * pot.heat_of_reaction_j_per_g / pot.heat_capacity_j_per_k) {}

    [[nodiscard]] double temperatureC(double degree) const {
        return start_.temperature_c + kelvin_per_degree_ * (degree - start_.degree);
    }
    [[nodiscard]] double ratePerS(double degree) const {
        return curingRatePerS(
            pot_.law,
            {.temperature_c = temperatureC(degree), .degree = degree, .catalyst_g_per_g = start_.catalyst_g_per_g});
    }
    [[nodiscard]] double isothermalRatePerS(double degree) const {
        return curingRatePerS(
            pot_.law,
            {.temperature_c = start_.temperature_c, .degree = degree, .catalyst_g_per_g = start_.catalyst_g_per_g});
    }
    [[nodiscard]] double kelvinPerDegree() const { return kelvin_per_degree_; }

private:
    const AdiabaticPot& pot_;
    const CurePlace& start_;
    double kelvin_per_degree_ = 0.0;
};

// The degree from `from` to 1 at which the rate is highest.
template<class Rate>
double degreeOfHighest(const Rate& rate, double from) {
    const double step = (1.0 - from) / static_cast<double>(searched_degrees);
    double best = from;
    double highest = rate(from);
    for (std::size_t i = 1; i <= searched_degrees; ++i) {
        const double degree = i == searched_degrees ? 1.0 : from + step * static_cast<double>(i);
        const double here = rate(degree);
        if (here > highest) {
            highest = here;
            best = degree;
        }
    }
    std::uintmax_t most_iterations = 200;
    const auto [degree, negative] =
        boost::math::tools::brent_find_minima([&](double d) { return -rate(d); }, std::max(from, best - step),
                                              std::min(1.0, best + step), narrowing_bits, most_iterations);
    return -negative > highest ? degree : best;
}

double largestEnergy(const CureLaw& law) {
    if (law.a2_per_s == 0.0) {
        return law.e1_j_per_mol;
    }
    return law.a1_per_s == 0.0 ? law.e2_j_per_mol : std::max(law.e1_j_per_mol, law.e2_j_per_mol);
}

} // namespace

double adiabaticRiseK(const AdiabaticPot& pot, double degree) {
    return std::max(0.0, 1.0 - degree) * pot.resin_g * pot.heat_of_reaction_j_per_g / pot.heat_capacity_j_per_k;
}

double thermalInertia(double heat_capacity_j_per_k, const Sample& sample) {
    return heat_capacity_j_per_k / (sample.mass_g * sample.specific_heat_j_per_g_k);
}

Result<AdiabaticTrace> correctedForInertia(const AdiabaticTrace& trace, double phi, double e_kj_per_mol) {
    if (trace.time_s.size() < 2 || trace.time_s.size() != trace.temperature_c.size()) {
        return tl::unexpected(fault(FaultKind::input,
                                    "the adiabatic trace has fewer than two rows, or columns of "
                                    "unequal length",
                                    "give times and temperatures row by row"));
    }
    if (!(phi >= 1.0) || !std::isfinite(phi) || !(e_kj_per_mol > 0.0) || !std::isfinite(e_kj_per_mol)) {
        return tl::unexpected(fault(FaultKind::range,
                                    fmt::format("phi = {} with E = {} kJ/mol cannot be", phi, e_kj_per_mol),
                                    "phi is 1 or more, the activation energy above zero"));
    }
    const double energy_k = e_kj_per_mol * 1000.0 / gas_constant_j_per_mol_k;
    const double start_c = trace.temperature_c.front();
    AdiabaticTrace corrected{.time_s = {trace.time_s.front()}, .temperature_c = {start_c}};
    double before = 0.0; // ln of the factor by which the cure is faster, at the row before
    for (std::size_t i = 1; i < trace.time_s.size(); ++i) {
        const double duration_s = trace.time_s[i] - trace.time_s[i - 1];
        if (!(duration_s > 0.0) || !std::isfinite(trace.temperature_c[i])) {
            return tl::unexpected(fault(FaultKind::input,
                                        fmt::format("row {} of the adiabatic trace does not follow "
                                                    "the one before in time, or has no temperature",
                                                    i + 1),
                                        "sort the rows by time and leave out what was not measured"));
        }
        const double temperature_c = start_c + phi * (trace.temperature_c[i] - start_c);
        const double faster =
            energy_k * (1.0 / (trace.temperature_c[i] + zero_celsius_k) - 1.0 / (temperature_c + zero_celsius_k));
        // Mean of exp(-faster) over the step, faster being taken as straight in time.
        const double change = faster - before;
        const double mean = std::abs(change) < 1e-6 ? std::exp(-0.5 * (faster + before))
                                                    : (std::exp(-before) - std::exp(-faster)) / change;
        corrected.time_s.push_back(corrected.time_s.back() + duration_s * mean);
        corrected.temperature_c.push_back(temperature_c);
        before = faster;
    }
    return corrected;
}

double mtsrC(const AdiabaticPot& pot, const DosedMoment& moment) {
    const double whole_k = pot.resin_g * pot.heat_of_reaction_j_per_g / pot.heat_capacity_j_per_k;
    double accumulated = std::max(0.0, 1.0 - moment.degree);
    switch (moment.role) {
    case DoseRole::catalyst:
        accumulated = moment.catalyst_g_per_g > 0.0 ? accumulated : 0.0;
        break;
    case DoseRole::reactant:
        accumulated = std::max(0.0, std::min(moment.dosed_share, 1.0) - moment.degree);
        break;
    case DoseRole::diluent:
        break;
    }
    return moment.temperature_c + accumulated * whole_k;
}

Result<TimeToMaximumRate> timeToMaximumRate(const AdiabaticPot& pot, const CurePlace& place) {
    if (auto wrong = check(pot, place)) {
        return tl::unexpected(*std::move(wrong));
    }
    const Adiabat adiabat(pot, place);
    const auto rate = [&](double degree) { return adiabat.ratePerS(degree); };
    const double now = rate(place.degree);
    if (!(now > 0.0)) {
        return tl::unexpected(fault(FaultKind::missing,
                                    "nothing cures in this state of the pot, so no time leads to "
                                    "the fastest cure",
                                    "ask for it once the catalyst is in and the cure has begun"));
    }
    const double top = degreeOfHighest(rate, place.degree);
    TimeToMaximumRate found{.temperature_c = adiabat.temperatureC(top),
                            .degree = top,
                            .rate_k_per_min = seconds_per_minute * adiabat.kelvinPerDegree() * rate(top)};
    if (!(top > place.degree)) {
        return found;
    }
    try {
        found.time_s = boost::math::quadrature::gauss_kronrod<double, 31>::integrate(
            [&](double degree) { return 1.0 / rate(degree); }, place.degree, top, quadrature_depth,
            quadrature_tolerance);
    } catch (const std::exception& error) {
        return tl::unexpected(fault(FaultKind::notConverged,
                                    fmt::format("the time to the fastest cure cannot be worked out: {}", error.what()),
                                    "check the kinetics"));
    }
    if (!std::isfinite(found.time_s)) {
        return tl::unexpected(fault(FaultKind::missing, "the cure is too slow in this state for a time to its maximum",
                                    "ask for a warmer pot"));
    }
    const auto isothermal = [&](double degree) { return adiabat.isothermalRatePerS(degree); };
    const double fastest_k_per_s = adiabat.kelvinPerDegree() * isothermal(degreeOfHighest(isothermal, place.degree));
    const double temperature_k = place.temperature_c + zero_celsius_k;
    const double zero_order_s =
        gas_constant_j_per_mol_k * temperature_k * temperature_k / (largestEnergy(pot.law) * fastest_k_per_s);
    if (zero_order_s <= found.time_s) {
        found.zero_order_s = zero_order_s;
    }
    return found;
}

Result<double> temperatureForTimeToMaximumC(const AdiabaticPot& pot, const CurePlace& place, double time_s) {
    if (!(time_s > 0.0) || !std::isfinite(time_s)) {
        return tl::unexpected(fault(FaultKind::range, "a time to the maximum rate must be above zero", "give seconds"));
    }
    std::optional<Fault> wrong;
    // Hotter is sooner; where nothing is left to accelerate the time is 0, where it is too cold to tell it is endless.
    const auto over = [&](double temperature_c) {
        CurePlace here = place;
        here.temperature_c = temperature_c;
        const Result<TimeToMaximumRate> found = timeToMaximumRate(pot, here);
        if (!found) {
            if (found.error().kind != FaultKind::missing) {
                wrong = found.error();
            }
            return 1e6;
        }
        return std::log(std::max(found->time_s, 1e-300) / time_s);
    };
    const double at_coldest = over(coldest_c);
    const double at_hottest = over(hottest_c);
    if (wrong) {
        return tl::unexpected(*wrong);
    }
    if (!(at_coldest > 0.0 && at_hottest < 0.0)) {
        return tl::unexpected(fault(FaultKind::missing,
                                    fmt::format("no temperature between {:.0f} and {:.0f} °C leads to the fastest cure "
                                                "in that time",
                                                coldest_c, hottest_c),
                                    "check the kinetics, and that the catalyst is in"));
    }
    std::uintmax_t most_iterations = 200;
    const auto [low_c, high_c] = boost::math::tools::bisect(
        over, coldest_c, hottest_c, boost::math::tools::eps_tolerance<double>(40), most_iterations);
    return 0.5 * (low_c + high_c);
}

} // namespace potwatch::forecast
