// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/reference_function.h"

#include "analysis/thermocouple/coefficients.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

namespace potwatch::thermocouple {

namespace {

// Solved when a step moves the temperature by less: far below what a voltage can say, above the rounding of doubles.
constexpr double step_tolerance_k = 1e-10;
// Halving 2090 K this often leaves 1e-12 K; Newton's steps need a handful.
constexpr int most_steps = 80;

constexpr std::string_view letters = "BEJKNRST";

double sum(const Piece& piece, double x) {
    double result = 0.0;
    for (std::size_t k = piece.terms; k-- > 0;) {
        result = result * x + piece.coefficients[k];
    }
    return result;
}

double sumOfDerivative(const Piece& piece, double x) {
    double result = 0.0;
    for (std::size_t k = piece.terms; k-- > 1;) {
        result = result * x + static_cast<double>(k) * piece.coefficients[k];
    }
    return result;
}

// The piece whose range holds x; the first or last one beyond the ends.
const Piece& pieceAt(std::span<const Piece> pieces, double x) {
    std::size_t i = 0;
    while (i + 1 < pieces.size() && x > pieces[i].high) {
        ++i;
    }
    return pieces[i];
}

struct Emf {
    double mv = 0.0;
    double slope_mv_per_k = 0.0;
};

Emf emfWithin(Type type, double temperature_c) {
    const Piece& piece = pieceAt(forwardPieces(type), temperature_c);
    Emf emf{.mv = sum(piece, temperature_c), .slope_mv_per_k = sumOfDerivative(piece, temperature_c)};
    if (type == Type::K && temperature_c > 0.0) {
        const Bump bump;
        const double off_k = temperature_c - bump.centre_c;
        const double mv = bump.amplitude_mv * std::exp(bump.rate_per_k2 * off_k * off_k);
        emf.mv += mv;
        emf.slope_mv_per_k += mv * 2.0 * bump.rate_per_k2 * off_k;
    }
    return emf;
}

// Temperature between two others at which the function is emf_mv; it rises (or falls) all the way between them.
double solve(Type type, double emf_mv, double low_c, double high_c, double start_c) {
    const bool rising = emfWithin(type, high_c).mv >= emfWithin(type, low_c).mv;
    double temperature_c = std::clamp(start_c, low_c, high_c);
    for (int step = 0; step < most_steps; ++step) {
        const Emf emf = emfWithin(type, temperature_c);
        const double off_mv = emf.mv - emf_mv;
        if ((off_mv > 0.0) == rising) {
            high_c = temperature_c;
        } else {
            low_c = temperature_c;
        }
        double next_c = temperature_c - off_mv / emf.slope_mv_per_k;
        if (!(next_c >= low_c && next_c <= high_c)) {
            next_c = 0.5 * (low_c + high_c);
        }
        const double moved_k = std::abs(next_c - temperature_c);
        temperature_c = next_c;
        if (moved_k < step_tolerance_k) {
            break;
        }
    }
    return temperature_c;
}

// Where type B's voltage is lowest, 21 °C: its slope is a rising function up to there and beyond.
double turningPointOfB() {
    double low_c = 0.0;
    double high_c = 50.0;
    while (high_c - low_c > step_tolerance_k) {
        const double middle_c = 0.5 * (low_c + high_c);
        (emfWithin(Type::B, middle_c).slope_mv_per_k > 0.0 ? high_c : low_c) = middle_c;
    }
    return 0.5 * (low_c + high_c);
}

Fault outOfRange(Type type, const std::string& what, std::string_view of) {
    const Range range = rangeOf(type);
    return {.kind = FaultKind::range,
            .what = what,
            .where = {},
            .remedy = fmt::format("type {} runs from {:g} to {:g} °C ({:.3f} to {:.3f} mV); check {}", nameOf(type),
                                  range.low_c, range.high_c, range.low_mv, range.high_mv, of)};
}

} // namespace

std::optional<Type> typeOf(std::string_view letter) {
    if (letter.size() != 1) {
        return std::nullopt;
    }
    const char upper = letter[0] >= 'a' && letter[0] <= 'z' ? static_cast<char>(letter[0] - 'a' + 'A') : letter[0];
    const std::size_t place = letters.find(upper);
    return place == std::string_view::npos ? std::nullopt : std::optional{static_cast<Type>(place)};
}

std::string_view nameOf(Type type) {
    return letters.substr(static_cast<std::size_t>(type), 1);
}

Range rangeOf(Type type) {
    const std::span<const Piece> pieces = forwardPieces(type);
    const double low_c = pieces.front().low;
    const double high_c = pieces.back().high;
    return {.low_c = low_c,
            .high_c = high_c,
            .low_mv = emfWithin(type, type == Type::B ? turningPointOfB() : low_c).mv,
            .high_mv = emfWithin(type, high_c).mv};
}

Result<double> electromotiveForceMv(Type type, double temperature_c) {
    const std::span<const Piece> pieces = forwardPieces(type);
    if (!(temperature_c >= pieces.front().low && temperature_c <= pieces.back().high)) {
        return tl::unexpected(outOfRange(
            type, fmt::format("{:.6g} °C is outside the range of thermocouple type {}", temperature_c, nameOf(type)),
            "the type and the unit"));
    }
    return emfWithin(type, temperature_c).mv;
}

Result<double> seebeckMvPerK(Type type, double temperature_c) {
    return electromotiveForceMv(type, temperature_c).map([&](double) {
        return emfWithin(type, temperature_c).slope_mv_per_k;
    });
}

Result<HotJunction> hotJunctionAt(Type type, double emf_mv) {
    const std::span<const Piece> pieces = forwardPieces(type);
    const double low_c = pieces.front().low;
    const double high_c = pieces.back().high;
    const double from_c = type == Type::B ? turningPointOfB() : low_c;
    if (!(emf_mv >= emfWithin(type, from_c).mv && emf_mv <= emfWithin(type, high_c).mv)) {
        return tl::unexpected(outOfRange(
            type, fmt::format("{:.6g} mV is outside the range of thermocouple type {}", emf_mv, nameOf(type)),
            "the type, the unit and the polarity"));
    }
    const double start_c = inversePolynomial(type, emf_mv).value_or(0.5 * (from_c + high_c));
    HotJunction result;
    result.temperature_c = solve(type, emf_mv, from_c, high_c, start_c);
    if (type == Type::B) {
        result.ambiguous = emf_mv < type_b_ambiguous_below_mv;
        if (emf_mv <= emfWithin(type, low_c).mv) {
            result.other_c = solve(type, emf_mv, low_c, from_c, 0.5 * (low_c + from_c));
        }
    }
    return result;
}

Result<HotJunction> temperatureC(Type type, double measured_mv, double cold_junction_c) {
    const Result<double> cold_mv = electromotiveForceMv(type, cold_junction_c);
    if (!cold_mv) {
        return tl::unexpected(
            outOfRange(type,
                       fmt::format("a cold junction at {:.6g} °C is outside the range of thermocouple type {}",
                                   cold_junction_c, nameOf(type)),
                       "the cold junction's reading"));
    }
    return hotJunctionAt(type, measured_mv + *cold_mv);
}

Result<double> inversePolynomial(Type type, double emf_mv) {
    const std::span<const Piece> pieces = inversePieces(type);
    if (!(emf_mv >= pieces.front().low && emf_mv <= pieces.back().high)) {
        return tl::unexpected(
            Fault{.kind = FaultKind::range,
                  .what = fmt::format("{:.6g} mV is outside the inverse polynomials of type {}", emf_mv, nameOf(type)),
                  .where = {},
                  .remedy = fmt::format("they run from {:g} to {:g} mV", pieces.front().low, pieces.back().high)});
    }
    return sum(pieceAt(pieces, emf_mv), emf_mv);
}

} // namespace potwatch::thermocouple
