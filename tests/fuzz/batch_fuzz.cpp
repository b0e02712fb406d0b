// SPDX-License-Identifier: GPL-3.0-or-later
// The batch reader on any bytes. What must hold: no crash; every fault is one line that names the file; and a batch
// that was read is written as text that reads back equal.

#include "analysis/values/fault.h"
#include "io/batch/batch_file.h"

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <string>
#include <string_view>

namespace {

void require(bool holds, const std::string& what) {
    if (!holds) {
        std::cerr << what << '\n';
        std::abort();
    }
}

void checkFaults(const potwatch::batch::Faults& faults) {
    require(!faults.empty(), "refused without a fault");
    for (const potwatch::Fault& fault : faults) {
        const std::string line = potwatch::describe(fault);
        require(line.starts_with("fuzz.batch.toml:"), "a fault without its file: " + line);
        require(line.find_first_of("\n\r\x1B") == std::string::npos, "a fault of more than one line: " + line);
        require(!fault.remedy.empty(), "a fault without a remedy: " + line);
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    const auto batch = potwatch::batch::readText(text, "fuzz.batch.toml");
    if (!batch) {
        checkFaults(batch.error());
        return 0;
    }
    const std::string written = potwatch::batch::write(*batch);
    const auto again = potwatch::batch::readText(written, "fuzz.batch.toml");
    require(again.has_value(), "what was written is refused:\n" + written);
    require(*again == *batch, "what was written reads back as another batch:\n" + written);
    return 0;
}
