// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch {

// What the watch on a cooking pot says (analysis/watch/watch.h).

enum class AlarmLevel { notice, warning };

enum class AlarmKind {
    limit_reached,   // the temperature is at or over the limit
    limit_near,      // under 90 s to the limit at the least trend that its noise allows
    rising_fast,     // faster than the rate limit
    self_heating,    // d(T - Te)/dt > 0 and d2T/dt2 > 0; a notice, a warning only together with limit_near
    accumulation,    // more has been added than has reacted, and what is in could pass the limit; after the dose until
                     // little has still to react, it falls or it could not pass the limit
    slow_to_start,   // while dosing, where heat and masses are not stated: most is in, and the pot has hardly warmed
    sensor_open,     // a channel gives no number while the others do, or scans come without any
    sensor_frozen,   // a channel repeats one reading although it should move
    readings_stopped // no scan comes any more
};

struct Alarm {
    AlarmKind kind = AlarmKind::limit_reached;
    AlarmLevel level = AlarmLevel::warning;
    double since_s = 0.0;
    std::string channel; // of the sensor alarms, otherwise empty

    bool operator==(const Alarm&) const = default;
};

enum class DosePhase { none, before, during, after }; // none: nothing is said of a dose

// How the pot stands. Unknown = empty.
struct WatchState {
    double time_s = 0.0;                    // of the last scan, or of the last tick after it
    std::optional<double> temperature_c;    // smoothed, corrected for the probe's lag where that is stated
    std::optional<double> reading_c;        // the pot's last reading
    std::optional<double> start_c;          // its first
    std::optional<double> rate_k_per_min;   // of the temperature, once there are enough readings
    std::optional<double> rate_u_k_per_min; // its standard uncertainty
    double limit_c = 95.0;
    std::optional<double> rate_limit_k_per_min;
    std::optional<double> boiling_c;        // of this resin, or of water at the stated air pressure
    std::optional<double> seconds_to_limit; // not before: a bound; empty unless it rises towards it, 0 above it
    DosePhase dose_phase = DosePhase::none;
    std::optional<double> dosed_g;
    std::optional<double> dosed_share;          // of the stated total
    std::optional<double> reacted_share_high;   // degree of cure that has been reached at the most
    std::optional<double> unreacted_share_low;  // of the whole cure, what is in the pot and has still to react
    std::optional<double> mtsr_c;               // where what is in the pot could take it, at the least: MTSR
    std::optional<double> mtsr_high_c;          // the same at the most; higher where the heat loss is not stated
    std::optional<double> latest_useful_stop_s; // of the dose, in time of the run; only while dosing and with kinetics
    bool stop_no_longer_helps = false;          // kinetics say that the limit is passed even if the dose stops now
    std::vector<Alarm> alarms;                  // those that stand, the gravest first

    bool operator==(const WatchState&) const = default;
};

// An alarm that began, became a warning, or ended with this scan.
struct AlarmChange {
    enum class Kind { began, raised, ended };
    Kind kind = Kind::began;
    Alarm alarm;

    bool operator==(const AlarmChange&) const = default;
};

// The name of a kind as it stands in events and JSON: "limit reached", "limit near", ...
[[nodiscard]] std::string_view nameOf(AlarmKind kind);

} // namespace potwatch
