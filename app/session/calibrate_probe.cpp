// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/calibrate_probe.h"

#include "analysis/findings/prepare.h"
#include "analysis/thermocouple/fixed_point.h"
#include "analysis/thermocouple/plunge.h"
#include "app/format/number.h"

#include <fmt/format.h>

#include <cmath>
#include <utility>

namespace potwatch::session {
namespace {

Result<ProbeMeasured> measurePoint(TraceView readings, const CalibrationWanted& wanted,
                                   std::optional<double> pressure_kpa, const WallTime& done) {
    const bool in_ice = wanted.kind == CalibrationKind::ice;
    if (!in_ice && !pressure_kpa) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "the boiling point goes by the air's pressure, which is not stated",
                                    .where = {},
                                    .remedy =
                                        "give --pressure-kpa: the day's, at your height (near 101 at the sea, 1.2 "
                                        "less for each 100 m up)"});
    }
    const Result<thermocouple::FixedPoint> point =
        in_ice ? thermocouple::icePoint(readings) : thermocouple::boilingPoint(readings, *pressure_kpa);
    if (!point) {
        return tl::unexpected(point.error());
    }
    ProbeCalibration calibration;
    if (in_ice) {
        calibration.ice_reading_c = point->reading_c;
        calibration.ice_u_k = point->u_k;
        calibration.ice_done = done;
    } else {
        calibration.boiling_reading_c = point->reading_c;
        calibration.boiling_u_k = point->u_k;
        calibration.boiling_pressure_kpa = pressure_kpa;
        calibration.boiling_done = done;
    }
    return ProbeMeasured{.known = {.device = {}, .probe = {.calibration = calibration}},
                         .from_s = point->from_s,
                         .to_s = point->to_s,
                         .readings = point->readings,
                         .true_c = point->true_c};
}

Result<ProbeMeasured> measureLag(TraceView readings, const WallTime& done) {
    const Result<thermocouple::PlungeLag> lag = thermocouple::lagFromRecording(readings);
    if (!lag) {
        return tl::unexpected(lag.error());
    }
    return ProbeMeasured{.known = {.device = {}, .probe = {.lag_s = lag->lag_s, .lag_u_s = lag->u_s, .lag_done = done}},
                         .from_s = lag->from_s,
                         .to_s = lag->from_s,
                         .readings = 0,
                         .true_c = std::nullopt};
}

} // namespace

Result<ProbeMeasured> measureProbe(const Run& run, const std::string& channel, const CalibrationWanted& wanted) {
    const Result<std::size_t> at = findings::potChannel(run, channel);
    const Result<findings::Prepared> prepared = at ? findings::prepare(run, *at) : tl::unexpected(at.error());
    if (!prepared) {
        return tl::unexpected(prepared.error());
    }
    const WallTime done = run.started.value_or(wanted.now);
    const std::optional<double> pressure_kpa =
        wanted.pressure_kpa ? wanted.pressure_kpa : run.batch.surroundings.pressure_kpa;
    Result<ProbeMeasured> measured = wanted.kind == CalibrationKind::lag
                                         ? measureLag(prepared->view(), done)
                                         : measurePoint(prepared->view(), wanted, pressure_kpa, done);
    if (!measured) {
        Fault fault = measured.error();
        fault.where = {.file = run.file, .channel = prepared->channel};
        return tl::unexpected(std::move(fault));
    }
    measured->known.device = wanted.device;
    measured->known.probe.channel = prepared->channel;
    return measured;
}

ProbesMeasured measureProbes(const Run& run, const std::vector<std::string>& channels,
                             const CalibrationWanted& wanted) {
    ProbesMeasured all;
    for (const std::string& channel : channels) {
        Result<ProbeMeasured> measured = measureProbe(run, channel, wanted);
        if (measured) {
            all.probes.push_back(std::move(*measured));
        } else {
            all.faults.push_back(std::move(measured.error()));
        }
    }
    return all;
}

std::string measuredText(const ProbeMeasured& measured, CalibrationKind kind) {
    const Probe& probe = measured.known.probe;
    if (kind == CalibrationKind::lag) {
        return fmt::format("{} follows a plunge with a lag of {}, from {} on.", probe.channel,
                           format::estimateText(normalEstimate(*probe.lag_s, *probe.lag_u_s), format::Quantity::time),
                           format::valueText(measured.from_s, format::Quantity::time));
    }
    const bool in_ice = kind == CalibrationKind::ice;
    const double reading_c = in_ice ? *probe.calibration->ice_reading_c : *probe.calibration->boiling_reading_c;
    const double u_k = in_ice ? *probe.calibration->ice_u_k : *probe.calibration->boiling_u_k;
    const double off_k = reading_c - *measured.true_c;
    const std::string where = in_ice ? "melting ice, 0 °C"
                                     : fmt::format("water boiling at {:.2f} °C ({} kPa)", *measured.true_c,
                                                   format::numberText(*probe.calibration->boiling_pressure_kpa));
    return fmt::format("{} in {}: {}, from {:.0f} to {:.0f} s ({}). It reads {:.2f} K too {} there.", probe.channel,
                       where, format::estimateText(normalEstimate(reading_c, u_k), format::Quantity::temperature),
                       measured.from_s, measured.to_s, format::countText(measured.readings, "reading", "readings"),
                       std::abs(off_k), off_k < 0.0 ? "low" : "high");
}

std::vector<std::string> temperatureChannels(const Run& run) {
    std::vector<std::string> names;
    for (const Channel& channel : run.channels) {
        if (channel.unit == "degC") {
            names.push_back(channel.name);
        }
    }
    return names;
}

} // namespace potwatch::session
