// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/fit_scene.h"

#include "app/format/text.h"
#include "app/report/axes_frame.h"
#include "app/report/axis.h"

#include <QPainterPath>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace potwatch::report {
namespace {

constexpr double left_margin = 58.0;  // numbers and title of the upright axis
constexpr double right_margin = 24.0; // the names of the law's energies
constexpr double top_margin = 34.0;
constexpr double axis_height = 50.0; // numbers and title of the lower axis
constexpr double row_height = 17.0;  // of the key
constexpr double key_width = 130.0;
constexpr double most_shown_half_kj = 20.0; // of an interval: a wide one would flatten all the others
constexpr double mark = 3.4;                // half the size of a mark
constexpr int forms = 7;

// One of seven outlines around a point.
QPainterPath outline(int form, QPointF at) {
    QPainterPath path;
    const auto polygon = [&](std::initializer_list<QPointF> corners) {
        QPolygonF points;
        for (const QPointF& corner : corners) {
            points << at + corner * mark;
        }
        path.addPolygon(points);
        path.closeSubpath();
    };
    const auto line = [&](QPointF from, QPointF to) {
        path.moveTo(at + from * mark);
        path.lineTo(at + to * mark);
    };
    switch (form % forms) {
    case 0:
        path.addEllipse(at, mark, mark);
        break;
    case 1:
        polygon({{-0.9, -0.9}, {0.9, -0.9}, {0.9, 0.9}, {-0.9, 0.9}});
        break;
    case 2:
        polygon({{0.0, -1.1}, {1.0, 0.8}, {-1.0, 0.8}});
        break;
    case 3:
        polygon({{0.0, -1.2}, {1.2, 0.0}, {0.0, 1.2}, {-1.2, 0.0}});
        break;
    case 4:
        polygon({{0.0, 1.1}, {1.0, -0.8}, {-1.0, -0.8}});
        break;
    case 5:
        line({-1.0, -1.0}, {1.0, 1.0});
        line({-1.0, 1.0}, {1.0, -1.0});
        break;
    default:
        line({-1.2, 0.0}, {1.2, 0.0});
        line({0.0, -1.2}, {0.0, 1.2});
        break;
    }
    return path;
}

// What the runs say of the activation energy without a law, with the law's energies across it.
void drawEnergies(AxesFrame& frame, QGraphicsScene& scene, const Theme& theme, const FitPicture& picture) {
    frame.draw("Energy without a law", "degree of cure", "E, kJ/mol");
    const Range& y = frame.upright();
    const auto law = [&](double e_kj_per_mol, const std::string& name) {
        if (e_kj_per_mol > y.low && e_kj_per_mol < y.high) {
            frame.line(frame.at(-0.02, e_kj_per_mol), frame.at(1.02, e_kj_per_mol), theme.rate, 1.2, Qt::DashLine);
            frame.label(name, frame.at(1.02, e_kj_per_mol) + QPointF(4.0, 0.0), 0.0, 0.5);
        }
    };
    law(picture.fit.kinetics.e1_kj_per_mol, "E1");
    if (picture.fit.kinetics.kind == RateModel::autocatalytic) {
        law(picture.fit.kinetics.e2_kj_per_mol, "E2");
    }
    QPainterPath marks;
    for (const EnergyAtDegree& one : picture.energies->at) {
        const Estimate& e = one.e_kj_per_mol;
        frame.line(frame.at(one.degree, std::clamp(e.low, y.low, y.high)),
                   frame.at(one.degree, std::clamp(e.high, y.low, y.high)), theme.ink, 1.2);
        marks.addEllipse(frame.at(one.degree, e.value), mark, mark);
    }
    scene.addPath(marks, QPen(theme.ink, 1.2), theme.ground);
}

Range energyRange(const ModelFree& energies) {
    Range range{energies.at.front().e_kj_per_mol.value, energies.at.front().e_kj_per_mol.value};
    for (const EnergyAtDegree& one : energies.at) {
        const Estimate& e = one.e_kj_per_mol;
        range.low = std::min(range.low, std::max(e.low, e.value - most_shown_half_kj));
        range.high = std::max(range.high, std::min(e.high, e.value + most_shown_half_kj));
    }
    const double more = std::max(1.0, 0.08 * range.width());
    return {range.low - more, range.high + more};
}

double largestResidual(const KineticFit& fit) {
    double largest = 1e-6;
    for (const FittedRun& run : fit.runs) {
        for (std::size_t i = 0; i < run.degree.size(); ++i) {
            largest = std::max(largest, std::abs(run.measured_degree[i] - run.degree[i]));
        }
    }
    return largest;
}

} // namespace

std::unique_ptr<QGraphicsScene> fitScene(const FitPicture& picture, const Theme& theme, QSizeF size) {
    auto scene = std::make_unique<QGraphicsScene>();
    scene->setSceneRect(QRectF(QPointF(), size));
    scene->addRect(QRectF(QPointF(), size), QPen(Qt::NoPen), theme.ground);
    const KineticFit& fit = picture.fit;
    const bool with_energies = picture.energies != nullptr && !picture.energies->at.empty();
    const int panes = with_energies ? 3 : 2;
    const int keys_a_row = std::max(1, static_cast<int>((size.width() - left_margin) / key_width));
    const int key_rows = (static_cast<int>(fit.runs.size()) + keys_a_row - 1) / keys_a_row;
    const double height = size.height() - top_margin - axis_height - row_height * key_rows - 8.0;
    const double pitch = size.width() / panes;
    const auto box = [&](int pane) {
        return QRectF(pitch * pane + left_margin, top_margin, pitch - left_margin - right_margin, height);
    };
    const double largest = 1000.0 * largestResidual(fit);
    AxesFrame residuals(*scene, theme, box(0), {-0.02, 1.02}, {-1.1 * largest, 1.1 * largest});
    residuals.draw("What the law misses", "degree, modelled", "measured less modelled, 1/1000");
    residuals.line(residuals.at(-0.02, 0.0), residuals.at(1.02, 0.0), theme.ink, 1.0);
    AxesFrame parity(*scene, theme, box(1), {-0.02, 1.02}, {-0.02, 1.02});
    parity.draw("Measured and modelled", "degree, modelled", "degree, measured");
    parity.line(parity.at(-0.02, -0.02), parity.at(1.02, 1.02), theme.ink, 1.0);
    if (with_energies) {
        AxesFrame energies(*scene, theme, box(2), {-0.02, 1.02}, energyRange(*picture.energies));
        drawEnergies(energies, *scene, theme, picture);
    }

    const std::array<QColor, 4> colours{theme.plateau, theme.rate, theme.heat_flow, theme.ink};
    for (std::size_t r = 0; r < fit.runs.size(); ++r) {
        const FittedRun& run = fit.runs[r];
        const QPen pen(colours[r % colours.size()], 1.1);
        QPainterPath left_marks;
        QPainterPath right_marks;
        for (std::size_t i = 0; i < run.degree.size(); ++i) {
            const double measured = run.measured_degree[i];
            const double modelled = run.degree[i];
            left_marks.addPath(outline(static_cast<int>(r), residuals.at(modelled, 1000.0 * (measured - modelled))));
            if (measured >= -0.02 && measured <= 1.02) {
                right_marks.addPath(outline(static_cast<int>(r), parity.at(modelled, measured)));
            }
        }
        scene->addPath(left_marks, pen);
        scene->addPath(right_marks, pen);
        // The key: form and name, in rows under the panes.
        const auto index = static_cast<int>(r);
        const QPointF key(left_margin + 6.0 + key_width * (index % keys_a_row),
                          top_margin + height + axis_height + row_height * (0.5 + index / keys_a_row));
        scene->addPath(outline(index, key), pen);
        residuals.label(format::shortened(format::oneLine(run.name), 18), key + QPointF(9.0, 0.0), 0.0, 0.5);
    }
    return scene;
}

} // namespace potwatch::report
