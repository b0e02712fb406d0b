// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/forecast/mould_job.h"

#include "analysis/findings/prepare.h"
#include "analysis/forecast/programme.h"
#include "app/format/number.h"
#include "app/session/open.h"
#include "io/kinetics/kinetics_file.h"
#include "io/mould/mould_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::forecast {

namespace {

using Faults = std::vector<Fault>;

// The air as an oven's probe recorded it, from its first reading on.
tl::expected<TemperatureCourse, Faults> recordedAir(const MouldJob& job) {
    const auto opened = session::openRun(job.oven_file, {.import = job.import, .channel = job.oven_column});
    if (!opened) {
        return tl::unexpected(opened.error());
    }
    const Run& run = opened->run;
    const Result<std::size_t> channel = findings::potChannel(run, job.oven_column);
    if (!channel) {
        return tl::unexpected(Faults{channel.error()});
    }
    const Result<findings::Prepared> prepared = findings::prepare(run, *channel);
    if (!prepared) {
        return tl::unexpected(Faults{prepared.error()});
    }
    TemperatureCourse air;
    for (std::size_t i = 0; i < prepared->time_s.size(); ++i) {
        if (std::isfinite(prepared->value_c[i])) {
            air.time_s.push_back(prepared->time_s[i]);
            air.temperature_c.push_back(prepared->value_c[i]);
        }
    }
    return air;
}

tl::expected<TemperatureCourse, Faults> airOf(const std::string& programme) {
    const Result<Programme> read = programmeOf(programme);
    if (!read) {
        return tl::unexpected(Faults{read.error()});
    }
    return courseOf(*read);
}

// The temperatures and degrees that the law was fitted on say where it is not to be trusted.
void warnOfTheLaw(const Kinetics& kinetics, MouldAnswer& answer) {
    if (!kinetics.fit) {
        answer.warnings.emplace_back(
            "the kinetics file holds no [fit]: on what temperatures the law rests is not known, "
            "and the forecast has no interval");
        return;
    }
    const KineticsFit& fit = *kinetics.fit;
    if (answer.forecast.hottest.peak_temperature_c > fit.t_max_c + 1.0) {
        answer.warnings.push_back(
            fmt::format("the casting gets to {:.0f} °C, and the law was fitted up to {:.0f} °C only: "
                        "above that the forecast is a guess",
                        answer.forecast.hottest.peak_temperature_c, fit.t_max_c));
    }
    if (answer.forecast.hottest.peak_temperature_c < fit.t_min_c) {
        answer.warnings.push_back(fmt::format("the casting stays below {:.0f} °C, where the law was fitted from: the "
                                              "forecast is a guess",
                                              fit.t_min_c));
    }
}

void warnOfTheCure(const Kinetics& kinetics, const MouldJob& job, MouldAnswer& answer) {
    if (answer.target_s) {
        return;
    }
    if (kinetics.degree_limit.size() == 2) {
        const double limit =
            kinetics.degree_limit[0] + kinetics.degree_limit[1] * answer.forecast.hottest.peak_temperature_c;
        if (limit < answer.target_degree) {
            answer.warnings.push_back(fmt::format("a degree of cure of {:.2f} cannot be reached at {:.0f} °C: the "
                                                  "resin becomes a glass at {:.2f}; a hotter "
                                                  "programme goes further",
                                                  answer.target_degree, answer.forecast.hottest.peak_temperature_c,
                                                  std::max(0.0, limit)));
            return;
        }
    }
    answer.warnings.push_back(
        fmt::format("{} ends before the casting is cured: its least cured place is at {:.2f}, {:.2f} "
                    "is wanted; hold for longer, or hotter",
                    job.oven_file.empty() ? "the programme" : "the oven's trace", answer.forecast.least_degree,
                    answer.target_degree));
}

void warnOfFoam(MouldAnswer& answer) {
    if (answer.foam.foams) {
        answer.warnings.push_back(fmt::format("water boils in the casting from {} on, where its degree of cure is "
                                              "{:.2f}: it may foam. {:.0f} kPa (absolute) "
                                              "or more would hold the water; trapped air and formaldehyde come on top",
                                              format::durationText(*answer.foam.first_s), *answer.foam.degree,
                                              answer.foam.holding_pressure_kpa));
    }
}

} // namespace

tl::expected<MouldAnswer, Faults> forecastMould(const MouldJob& job, std::stop_token stop) {
    const auto kinetics = kinetics_file::readFile(job.kinetics_file);
    if (!kinetics) {
        return tl::unexpected(kinetics.error());
    }
    const auto mould = mould_file::readFile(job.mould_file);
    if (!mould) {
        return tl::unexpected(mould.error());
    }
    auto air = job.oven_file.empty() ? airOf(job.programme) : recordedAir(job);
    if (!air) {
        return tl::unexpected(air.error());
    }
    MouldProblem problem{.mould = *mould,
                         .law = lawOf(*kinetics),
                         .heat_of_reaction_j_per_g = kinetics->heat_of_reaction_j_per_g,
                         .air = *std::move(air),
                         .other_air = std::nullopt,
                         .until_s = 0.0};
    problem.until_s = job.until_s.value_or(problem.air.time_s.back());
    if (!job.other_programme.empty()) {
        auto other = airOf(job.other_programme);
        if (!other) {
            return tl::unexpected(other.error());
        }
        problem.other_air = *std::move(other);
    }
    Result<MouldForecast> forecast = forecastMould(problem, stop);
    if (!forecast) {
        return tl::unexpected(Faults{forecast.error()});
    }
    MouldAnswer answer{.forecast = *std::move(forecast),
                       .mould = *mould,
                       .programme = job.oven_file.empty() ? textOf(*programmeOf(job.programme)) : std::string(),
                       .target_degree = job.target_degree};
    answer.foam = foamRiskOf(answer.forecast, mould->pressure_kpa);
    answer.target_s = timeToDegreeS(answer.forecast, job.target_degree);
    if (job.until_s && *job.until_s > problem.air.time_s.back()) {
        answer.warnings.push_back(fmt::format("the oven is known up to {}: after that its last temperature stays",
                                              format::durationText(problem.air.time_s.back())));
    }
    warnOfFoam(answer);
    warnOfTheCure(*kinetics, job, answer);
    warnOfTheLaw(*kinetics, answer);
    return answer;
}

} // namespace potwatch::forecast
