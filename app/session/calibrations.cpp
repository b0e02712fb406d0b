// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/calibrations.h"

#include "analysis/thermocouple/calibration.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/format/wall_time.h"
#include "app/session/whole_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <system_error>
#include <utility>

namespace potwatch::session {
namespace {

namespace fs = std::filesystem;

KnownProbe* find(std::vector<KnownProbe>& known, const KnownProbe& wanted) {
    const auto found = std::find_if(known.begin(), known.end(), [&](const KnownProbe& one) {
        return one.device == wanted.device && one.probe.channel == wanted.probe.channel;
    });
    return found == known.end() ? nullptr : &*found;
}

void takeLag(Probe& into, const Probe& from) {
    into.lag_s = from.lag_s;
    into.lag_u_s = from.lag_u_s;
    into.lag_done = from.lag_done;
}

double daysBetween(const WallTime& then, const WallTime& now) {
    constexpr double us_per_day = 86'400e6;
    return static_cast<double>(now.utc_us - then.utc_us) / us_per_day;
}

// What has no date is a person's own statement, and nothing is later than that.
bool isLater(const std::optional<WallTime>& one, const std::optional<WallTime>& other) {
    return one && other && one->utc_us > other->utc_us;
}

std::optional<WallTime> latestOf(const ProbeCalibration& calibration) {
    return !calibration.boiling_done || isLater(calibration.ice_done, calibration.boiling_done)
               ? calibration.ice_done
               : calibration.boiling_done;
}

// "2026-03-01", "" where the date is not known.
std::string dayText(const std::optional<WallTime>& done) {
    constexpr std::size_t date = 10;
    return done ? format::wallTimeText(*done).substr(0, date) : std::string();
}

std::string dateText(const std::optional<WallTime>& done) {
    return done ? " (" + dayText(done) + ")" : std::string();
}

std::string pointText(const std::optional<double>& value, const std::optional<double>& u,
                      const std::optional<WallTime>& done, format::Quantity quantity) {
    return value ? format::estimateText(normalEstimate(*value, u.value_or(0.0)), quantity) + (done ? ", " : "") +
                       dayText(done)
                 : std::string();
}

std::string signedText(double difference_k) {
    return fmt::format("{}{:.2f} K", difference_k < 0.0 ? "\u2212" : "+", std::abs(difference_k));
}

} // namespace

std::string calibrationFile(const std::string& folder) {
    return (fs::path(folder) / "calibration.toml").string();
}

tl::expected<std::vector<KnownProbe>, batch::Faults> readCalibrations(const std::string& folder) {
    const std::string path = calibrationFile(folder);
    std::error_code error;
    if (!fs::exists(path, error) && !error) {
        return std::vector<KnownProbe>();
    }
    return calibration_file::readFile(path);
}

Result<void> writeCalibrations(const std::string& folder, const std::vector<KnownProbe>& probes) {
    std::error_code error;
    fs::create_directories(folder, error);
    if (error && !fs::is_directory(folder)) {
        return tl::unexpected(Fault{.kind = FaultKind::storage,
                                    .what = "cannot be made: " + error.message(),
                                    .where = {.file = folder},
                                    .remedy = "name another folder with --config"});
    }
    return writeWholeFile(calibrationFile(folder), calibration_file::write(probes));
}

tl::expected<std::vector<KnownProbe>, batch::Faults> changeCalibrations(const std::string& folder,
                                                                        const CalibrationChange& change) {
    tl::expected<std::vector<KnownProbe>, batch::Faults> known = readCalibrations(folder);
    if (!known) {
        return known;
    }
    change(*known);
    if (const Result<void> written = writeCalibrations(folder, *known); !written) {
        return tl::unexpected(batch::Faults{written.error()});
    }
    return known;
}

std::string deviceOf(const serial::PortInfo& port) {
    return port.usb_vendor && port.usb_product
               ? fmt::format("usb {:04x}:{:04x}{}{}", *port.usb_vendor, *port.usb_product,
                             port.serial_number.empty() ? "" : " ", format::oneLine(port.serial_number))
               : std::string();
}

std::string deviceBehind(const std::string& port) {
    if (port.empty()) {
        return {};
    }
    const Result<std::vector<serial::PortInfo>> ports = serial::listPorts();
    std::error_code ignored;
    const std::string real = fs::weakly_canonical(port, ignored).string();
    for (const serial::PortInfo& one : ports.value_or(std::vector<serial::PortInfo>())) {
        if (one.path == port || one.path == real || one.by_id == port) {
            return deviceOf(one);
        }
    }
    return {};
}

void keep(std::vector<KnownProbe>& known, const KnownProbe& measured) {
    KnownProbe* into = find(known, measured);
    if (into == nullptr) {
        known.push_back(measured);
        return;
    }
    if (measured.probe.lag_s) {
        takeLag(into->probe, measured.probe);
    }
    if (const auto& point = measured.probe.calibration) {
        ProbeCalibration merged = into->probe.calibration.value_or(ProbeCalibration());
        if (point->ice_reading_c) {
            merged.ice_reading_c = point->ice_reading_c;
            merged.ice_u_k = point->ice_u_k;
            merged.ice_done = point->ice_done;
        }
        if (point->boiling_reading_c) {
            merged.boiling_reading_c = point->boiling_reading_c;
            merged.boiling_u_k = point->boiling_u_k;
            merged.boiling_pressure_kpa = point->boiling_pressure_kpa;
            merged.boiling_done = point->boiling_done;
        }
        into->probe.calibration = merged;
    }
}

std::vector<KnownProbe> calibrationsFor(const std::vector<KnownProbe>& known, const std::string& device) {
    std::vector<KnownProbe> found;
    for (const KnownProbe& one : known) {
        if (one.device == device) {
            found.push_back(one);
        }
    }
    for (const KnownProbe& one : known) {
        const bool has_own = std::any_of(found.begin(), found.end(), [&](const KnownProbe& other) {
            return other.probe.channel == one.probe.channel;
        });
        if (one.device.empty() && !has_own) {
            found.push_back(one);
        }
    }
    return found;
}

void stateProbes(Batch& batch, const std::vector<KnownProbe>& known, const std::vector<std::string>& channels) {
    for (const KnownProbe& one : known) {
        const std::string& channel = one.probe.channel;
        if (std::find(channels.begin(), channels.end(), channel) == channels.end()) {
            continue;
        }
        auto probe = std::find_if(batch.probes.begin(), batch.probes.end(),
                                  [&](const Probe& other) { return other.channel == channel; });
        if (probe == batch.probes.end()) {
            probe = batch.probes.insert(probe, {.channel = channel, .role = ProbeRole::other});
        }
        if (one.probe.calibration &&
            (!probe->calibration || isLater(latestOf(*one.probe.calibration), latestOf(*probe->calibration)))) {
            probe->calibration = one.probe.calibration;
        }
        if (one.probe.lag_s && (!probe->lag_s || isLater(one.probe.lag_done, probe->lag_done))) {
            takeLag(*probe, one.probe);
        }
    }
}

std::string correctionText(const Probe& probe) {
    const ProbeCalibration calibration = probe.calibration.value_or(ProbeCalibration());
    const Result<thermocouple::Correction> correction = thermocouple::correctionOf(calibration);
    std::string points;
    const auto add = [&](const std::optional<double>& reading_c, const char* where,
                         const std::optional<WallTime>& done) {
        if (reading_c && correction) {
            points += fmt::format("{}{} at {}{}", points.empty() ? "" : ", ",
                                  signedText(correction->at(*reading_c) - *reading_c), where, dateText(done));
        }
    };
    add(calibration.ice_reading_c, "0 °C", calibration.ice_done);
    add(calibration.boiling_reading_c, "boiling", calibration.boiling_done);
    return points;
}

std::string calibrationText(const Probe& probe, const WallTime& now) {
    const std::string points = correctionText(probe);
    std::string text =
        points.empty() ? points : fmt::format("{} is corrected by its calibration: {}.", probe.channel, points);
    std::vector<std::optional<WallTime>> dates;
    if (const auto& calibration = probe.calibration; calibration && !points.empty()) {
        dates = {calibration->ice_done, calibration->boiling_done};
    }
    if (probe.lag_s && probe.lag_done) {
        text += fmt::format("{} lag is {}{}.", text.empty() ? probe.channel + "'s" : " Its",
                            format::valueText(*probe.lag_s, format::Quantity::time), dateText(probe.lag_done));
        dates.push_back(probe.lag_done);
    }
    if (std::any_of(dates.begin(), dates.end(), [&](const std::optional<WallTime>& done) {
            return done && daysBetween(*done, now) > old_after_days;
        })) {
        text += " Some of it is more than a year old: calibrate the probe again.";
    }
    return text;
}

KnownInWords inWords(const KnownProbe& known, const WallTime& now) {
    const Probe& probe = known.probe;
    const ProbeCalibration points = probe.calibration.value_or(ProbeCalibration());
    return {.in_ice = pointText(points.ice_reading_c, points.ice_u_k, points.ice_done, format::Quantity::temperature),
            .in_boiling_water = pointText(points.boiling_reading_c, points.boiling_u_k, points.boiling_done,
                                          format::Quantity::temperature),
            .lag = pointText(probe.lag_s, probe.lag_u_s, probe.lag_done, format::Quantity::time),
            .remark = calibrationText(probe, now)};
}

} // namespace potwatch::session
