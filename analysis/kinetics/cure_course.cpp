// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/cure_course.h"

#include "analysis/findings/analyse_run.h"
#include "analysis/signal/smooth_curve.h"

#include <Eigen/Dense>
#include <boost/math/tools/minima.hpp>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <utility>

namespace potwatch::kinetics {

namespace {

constexpr double top_share = 0.9;
constexpr std::size_t fewest_at_top = 5;
constexpr int top_order = 4;
constexpr double same_catalyst = 0.01;
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

bool known(const CureCourse& course, std::size_t i) {
    return std::isfinite(course.temperature_c[i]) && std::isfinite(course.degree[i]) &&
           std::isfinite(course.rate_per_s[i]);
}

// Polynomial through some neighbouring rows.
class Through {
public:
    // The rows around i and i + 1, as far as they are known.
    Through(const CureCourse& course, std::size_t i)
        : course_(course)
        , first_(i > 0 && known(course, i - 1) ? i - 1 : i)
        , last_(i + 2 < course.time_s.size() && known(course, i + 2) ? i + 2 : i + 1) {}

    [[nodiscard]] double at(const std::vector<double>& values, double time_s) const {
        const std::vector<double>& t = course_.time_s;
        double sum = 0.0;
        for (std::size_t j = first_; j <= last_; ++j) {
            double weight = 1.0;
            for (std::size_t k = first_; k <= last_; ++k) {
                weight *= k == j ? 1.0 : (time_s - t[k]) / (t[j] - t[k]);
            }
            sum += weight * values[j];
        }
        return sum;
    }

private:
    const CureCourse& course_;
    std::size_t first_;
    std::size_t last_;
};

double straight(const std::vector<double>& time_s, const std::vector<double>& values, std::size_t i, double at_s) {
    const double share = (at_s - time_s[i]) / (time_s[i + 1] - time_s[i]);
    return values[i] + share * (values[i + 1] - values[i]);
}

CureMoment momentIn(const CureCourse& course, std::size_t i, double at_s) {
    const Through through(course, i);
    CureMoment moment{.time_s = at_s,
                      .temperature_c = through.at(course.temperature_c, at_s),
                      .degree = through.at(course.degree, at_s),
                      .rate_per_s = through.at(course.rate_per_s, at_s)};
    if (!course.catalyst_g_per_g.empty()) {
        moment.catalyst_g_per_g = straight(course.time_s, course.catalyst_g_per_g, i, at_s); // it has corners
    }
    return moment;
}

Fault missing(const CureCourse& course, std::string what, std::string remedy) {
    return {.kind = FaultKind::missing,
            .what = (course.run.empty() ? "" : course.run + ": ") + std::move(what),
            .where = {},
            .remedy = std::move(remedy)};
}

} // namespace

std::optional<Fault> faultIn(const CureCourse& course) {
    const std::size_t size = course.time_s.size();
    if (size < 2 || course.temperature_c.size() != size || course.degree.size() != size ||
        course.rate_per_s.size() != size ||
        (!course.catalyst_g_per_g.empty() && course.catalyst_g_per_g.size() != size)) {
        return missing(course, "the course of the cure is empty, or its columns differ in length",
                       "give one value a row in each column");
    }
    for (std::size_t i = 1; i < size; ++i) {
        if (!(course.time_s[i] > course.time_s[i - 1])) {
            return missing(course, "the times of the cure's course do not ascend", "sort its rows by time");
        }
    }
    return std::nullopt;
}

std::optional<CureMoment> passing(const CureCourse& course, double degree) {
    for (std::size_t i = 0; i + 1 < course.time_s.size(); ++i) {
        if (!known(course, i) || course.degree[i] >= degree) {
            if (known(course, i) || (i > 0 && course.degree[i - 1] >= degree)) {
                return std::nullopt; // it starts beyond
            }
            continue;
        }
        if (!known(course, i + 1)) {
            // Over the gap: whether it passed in there shows in the next known row.
            std::size_t next = i + 1;
            while (next < course.time_s.size() && !known(course, next)) {
                ++next;
            }
            if (next == course.time_s.size() || course.degree[next] >= degree) {
                return std::nullopt;
            }
            i = next - 1;
            continue;
        }
        if (course.degree[i + 1] < degree) {
            continue;
        }
        const Through through(course, i);
        double low_s = course.time_s[i];
        double high_s = course.time_s[i + 1];
        for (int halving = 0; halving < 60; ++halving) {
            const double middle_s = 0.5 * (low_s + high_s);
            (through.at(course.degree, middle_s) < degree ? low_s : high_s) = middle_s;
        }
        CureMoment moment = momentIn(course, i, 0.5 * (low_s + high_s));
        moment.degree = degree;
        return moment;
    }
    return std::nullopt;
}

std::optional<CureMoment> fastest(const CureCourse& course) {
    const std::size_t size = course.time_s.size();
    std::size_t top = size;
    for (std::size_t i = 0; i < size; ++i) {
        if (known(course, i) && (top == size || course.rate_per_s[i] > course.rate_per_s[top])) {
            top = i;
        }
    }
    if (top == size || top == 0 || top + 1 == size || !known(course, top - 1) || !known(course, top + 1) ||
        !(course.rate_per_s[top] > 0.0)) {
        return std::nullopt;
    }
    std::size_t first = top;
    std::size_t last = top;
    const auto reaches = [&](std::size_t i) {
        return known(course, i) &&
               (course.rate_per_s[i] >= top_share * course.rate_per_s[top] || last - first + 1 < fewest_at_top);
    };
    for (bool grown = true; grown;) {
        grown = false;
        if (first > 0 && reaches(first - 1)) {
            --first;
            grown = true;
        }
        if (last + 1 < size && reaches(last + 1)) {
            ++last;
            grown = true;
        }
    }
    if (last - first + 1 < fewest_at_top) {
        return std::nullopt;
    }
    const double half_s = 0.5 * (course.time_s[last] - course.time_s[first]);
    const double middle_s = 0.5 * (course.time_s[last] + course.time_s[first]);
    const auto rows = static_cast<Eigen::Index>(last - first + 1);
    Eigen::MatrixXd powers(rows, top_order + 1);
    Eigen::VectorXd rates(rows);
    for (Eigen::Index row = 0; row < rows; ++row) {
        const std::size_t i = first + static_cast<std::size_t>(row);
        rates[row] = course.rate_per_s[i] / course.rate_per_s[top];
        for (int power = 0; power <= top_order; ++power) {
            powers(row, power) = std::pow((course.time_s[i] - middle_s) / half_s, power);
        }
    }
    const Eigen::VectorXd fitted = powers.colPivHouseholderQr().solve(rates);
    const auto below = [&](double u) {
        double value = 0.0;
        for (int power = top_order; power >= 0; --power) {
            value = value * u + fitted[power];
        }
        return -value;
    };
    std::uintmax_t most_iterations = 200;
    const std::pair<double, double> found = boost::math::tools::brent_find_minima(
        below, -1.0, 1.0, std::numeric_limits<double>::digits / 2, most_iterations);
    const double at_s = middle_s + half_s * found.first;
    std::size_t i = first;
    while (i + 2 <= last && course.time_s[i + 1] < at_s) {
        ++i;
    }
    CureMoment moment = momentIn(course, i, at_s);
    moment.rate_per_s = -found.second * course.rate_per_s[top];
    return moment;
}

bool dosedBetween(const CureCourse& course, double from, double to) {
    if (course.catalyst_g_per_g.empty()) {
        return false;
    }
    double lowest = std::numeric_limits<double>::infinity();
    double highest = -lowest;
    for (std::size_t i = 0; i < course.time_s.size(); ++i) {
        if (course.degree[i] >= from && course.degree[i] <= to) {
            lowest = std::min(lowest, course.catalyst_g_per_g[i]);
            highest = std::max(highest, course.catalyst_g_per_g[i]);
        }
    }
    return highest > lowest && highest - lowest > same_catalyst * highest;
}

Result<CureCourse> cureCourseOf(const findings::RunStudy& study) {
    CureCourse course{.run = study.run->name};
    const findings::Inputs& in = study.inputs;
    if (study.rises.empty()) {
        return tl::unexpected(missing(course, "no exotherm", "leave this run out"));
    }
    if (!in.masses_known || !in.resin_g || !in.heat_of_reaction_j_per_g) {
        return tl::unexpected(missing(course, "the degree of cure needs the resin's mass and its heat of reaction",
                                      "give [charge] resin_g and [cure] heat_of_reaction_j_per_g"));
    }
    if (!study.balance || !study.balance->loss) {
        return tl::unexpected(missing(course, "how the pot loses heat is not known",
                                      "record until it has cooled, or add a blank or other runs of the vessel"));
    }
    const heat::Balance& balance = *study.balance;
    const heat::PotCourse& pot = balance.course;
    const landmarks::Course smoothed = landmarks::courseOf(study.curves, in.lag_s.value);
    const double reference_j = in.heat_of_reaction_j_per_g->value * *in.resin_g;
    const bool counts = in.dose && study.run->batch.dose && study.run->batch.dose->role == DoseRole::catalyst;
    for (std::size_t i = 0; i < pot.size(); ++i) {
        const double at_s = pot.time_s[i];
        const bool boiled = study.plateau && at_s >= study.plateau->start_s &&
                            (at_s <= study.plateau->end_s || !study.problem.evaporation_weighed);
        const double power_w = heat::curePower(
            balance.pot, *balance.loss,
            {.time_s = at_s,
             .temperature_c = pot.temperature_c[i],
             .rate_k_per_s = smoothed.rateAt(at_s),
             .surroundings_c = pot.surroundings_c[i],
             .heater_w = signal::linear(study.problem.heater_w.time_s, study.problem.heater_w.value, at_s),
             .heat_capacity_j_per_k = heat::heatCapacityAt(balance.pot, pot, i)});
        course.time_s.push_back(at_s);
        course.temperature_c.push_back(pot.temperature_c[i]);
        course.degree.push_back(boiled ? unknown : in.start_degree + balance.released_j[i] / reference_j);
        course.rate_per_s.push_back(boiled ? unknown : power_w / reference_j);
        if (counts) {
            course.catalyst_g_per_g.push_back(in.dose->dosedAt(at_s) / *in.resin_g);
        }
    }
    return course;
}

} // namespace potwatch::kinetics
