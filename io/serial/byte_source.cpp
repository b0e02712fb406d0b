// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/byte_source.h"

#include <ctime>

namespace potwatch::serial {

// Source: clock_gettime(2), CLOCK_BOOTTIME: monotonic, with the time in which the system is suspended.
Moment now() {
    timespec time{};
    ::clock_gettime(CLOCK_BOOTTIME, &time);
    return Moment(std::chrono::seconds(time.tv_sec) + std::chrono::nanoseconds(time.tv_nsec));
}

} // namespace potwatch::serial
