// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/batch/batch_file.h"

#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <vector>

namespace potwatch::batch {

// The batch that a text states; a text with faults fails the test and names them.
inline Batch read(std::string_view text) {
    const tl::expected<Batch, Faults> batch = readText(text, "rod.batch.toml");
    if (!batch) {
        for (const Fault& fault : batch.error()) {
            ADD_FAILURE() << describe(fault);
        }
        return {};
    }
    return *batch;
}

// The faults of a text, in order.
inline Faults faultsOf(std::string_view text) {
    const tl::expected<Batch, Faults> batch = readText(text, "rod.batch.toml");
    return batch ? Faults{} : batch.error();
}

// The one fault of a text as a person reads it; more or fewer of them fail the test.
inline std::string faultOf(std::string_view text) {
    const Faults faults = faultsOf(text);
    if (faults.size() != 1) {
        ADD_FAILURE() << faults.size() << " faults where one is expected";
        for (const Fault& fault : faults) {
            ADD_FAILURE() << describe(fault);
        }
    }
    return faults.empty() ? std::string() : describe(faults.front());
}

} // namespace potwatch::batch
