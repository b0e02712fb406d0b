// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/batch_check.h"

#include "io/batch/batch_file.h"

#include <algorithm>

namespace potwatch::session {

std::vector<Fault> faultsOf(const Batch& batch) {
    const auto read = batch::readText(batch::write(batch), {});
    return read ? std::vector<Fault>{} : read.error();
}

std::vector<Fault> newFaults(const Batch& before, const Batch& after) {
    std::vector<Fault> faults = faultsOf(after);
    if (faults.empty()) {
        return faults;
    }
    const std::vector<Fault> old = faultsOf(before);
    std::erase_if(faults, [&](const Fault& fault) {
        return std::any_of(old.begin(), old.end(), [&](const Fault& known) { return known.what == fault.what; });
    });
    return faults;
}

} // namespace potwatch::session
