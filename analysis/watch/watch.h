// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/event.h"
#include "analysis/values/kinetics.h"
#include "analysis/values/watch_state.h"

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::watch {

// The watch on a pot that is cooking: fed scan by scan, it says how things stand and what to be warned of. It holds no
// clock: all times are seconds of the run, given by the caller. It is no safety device.

// What is watched, and what for. Everything may be left as it is.
struct Plan {
    std::vector<std::string> channels; // names, in the order of the scans' values
    std::size_t pot = 0;               // which of them is the reacting mass
    std::optional<double> limit_c;     // otherwise 95 °C, or 5 K under the boiling point where that is lower
    std::optional<double> rate_limit_k_per_min = 30.0; // empty = none
    std::optional<Kinetics> kinetics;                  // of a fit: gives the latest useful stop of the dose
};

// Threads: one at a time. Cost of a scan: that of its channels; the fits are made at most four times a second of run
// time, whatever the rate of the scans. Memory does not grow with the run.
class Watch {
public:
    explicit Watch(Plan plan);
    ~Watch();
    Watch(Watch&&) noexcept;
    Watch& operator=(Watch&&) noexcept;

    // What is stated of the pot, and what was done: dose start, dose end, heat on, quench ... Both may change at any
    // time (the form is filled in, a mark is undone); each call takes the place of the one before.
    void setBatch(const Batch& batch);
    void setEvents(std::span<const Event> events);

    // One scan: its time and the reading of every channel [°C], NaN where there is none (open sensor, empty cell).
    // Shape: as many values as Plan::channels. A time that is not after the last one's is passed over.
    std::vector<AlarmChange> scan(double time_s, std::span<const double> values_c);

    // Time has passed without a scan (call it about once a second): says when readings have stopped.
    std::vector<AlarmChange> tick(double now_s);

    [[nodiscard]] const WatchState& state() const;

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace potwatch::watch
