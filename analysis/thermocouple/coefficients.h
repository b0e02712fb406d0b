// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/thermocouple/reference_function.h"

#include <array>
#include <cstddef>
#include <span>

namespace potwatch::thermocouple {

// One polynomial of a reference function or of its inverse: the sum of coefficients[k] x^k for x from low to high.
// Forward: x is the temperature in °C, the sum the electromotive force in mV. Inverse: the other way round.
struct Piece {
    double low = 0.0;
    double high = 0.0;
    std::size_t terms = 0;
    std::array<double, 15> coefficients{};
};

// The pieces of a type, in ascending order of their ranges. The inverse ones of types R and S overlap, as published.
// Source: G. W. Burns et al., NIST Monograph 175 (1993), ITS-90; the same functions stand in IEC 60584-1.
[[nodiscard]] std::span<const Piece> forwardPieces(Type type);
[[nodiscard]] std::span<const Piece> inversePieces(Type type);

// What type K adds at and above 0 °C: amplitude exp(rate (t - centre)^2) [mV].
struct Bump {
    double amplitude_mv = 0.1185976;
    double rate_per_k2 = -1.183432e-4;
    double centre_c = 126.9686;
};

} // namespace potwatch::thermocouple
