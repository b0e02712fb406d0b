// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/linear_fit.h"

#include <Eigen/QR>

#include <cassert>
#include <cmath>

namespace potwatch::compare {

namespace {

// Ill-conditioned columns (years beside prices) cost a dozen digits: 64 bits of mantissa leave enough.
using Real = long double;
using Matrix = Eigen::Matrix<Real, Eigen::Dynamic, Eigen::Dynamic>;
using Vector = Eigen::Matrix<Real, Eigen::Dynamic, 1>;

} // namespace

Result<LinearFit> linearFit(std::span<const double> basis, std::size_t parameters, std::span<const double> y,
                            std::span<const double> weights) {
    assert(basis.size() == parameters * y.size() && (weights.empty() || weights.size() == y.size()));
    const auto rows = static_cast<Eigen::Index>(y.size());
    const auto columns = static_cast<Eigen::Index>(parameters);
    const Fault undetermined{.kind = FaultKind::missing,
                             .what = "the points do not determine the line through them",
                             .remedy = "add points at other places"};
    if (rows < columns || columns == 0) {
        return tl::unexpected(undetermined);
    }
    Matrix matrix(rows, columns);
    Vector right(rows);
    for (Eigen::Index i = 0; i < rows; ++i) {
        const auto row = static_cast<std::size_t>(i);
        const Real root = weights.empty() ? Real(1) : std::sqrt(static_cast<Real>(weights[row]));
        for (Eigen::Index j = 0; j < columns; ++j) {
            matrix(i, j) = root * static_cast<Real>(basis[row * parameters + static_cast<std::size_t>(j)]);
        }
        right[i] = root * static_cast<Real>(y[row]);
    }
    const Vector scale = matrix.colwise().norm().transpose();
    if (!(scale.minCoeff() > 0)) {
        return tl::unexpected(undetermined);
    }
    const Matrix scaled = matrix * scale.cwiseInverse().asDiagonal();
    const Eigen::ColPivHouseholderQR<Matrix> qr(scaled);
    if (qr.rank() < columns) {
        return tl::unexpected(undetermined);
    }
    const Vector solution = qr.solve(right);
    const Vector misfit = right - scaled * solution;
    const Matrix upper = qr.matrixQR().topRows(columns);
    const Matrix inverse =
        upper.triangularView<Eigen::Upper>().solve(Matrix::Identity(columns, columns)); // R^-1, columns as pivoted
    const Vector spread = qr.colsPermutation() * Vector(inverse.rowwise().norm());
    LinearFit fit{.parameters = {}, .deviations = {}, .residuals = {}};
    fit.sum_of_squares = static_cast<double>(misfit.squaredNorm());
    fit.degrees = static_cast<double>(rows - columns);
    const Real deviation = fit.degrees > 0.0 ? misfit.norm() / std::sqrt(static_cast<Real>(fit.degrees)) : Real(0);
    for (Eigen::Index j = 0; j < columns; ++j) {
        fit.parameters.push_back(static_cast<double>(solution[j] / scale[j]));
        fit.deviations.push_back(static_cast<double>(deviation * spread[j] / scale[j]));
    }
    for (Eigen::Index i = 0; i < rows; ++i) {
        const auto row = static_cast<std::size_t>(i);
        const Real root = weights.empty() ? Real(1) : std::sqrt(static_cast<Real>(weights[row]));
        fit.residuals.push_back(static_cast<double>(misfit[i] / root));
    }
    return fit;
}

} // namespace potwatch::compare
