// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/batch_file.h"

#include "io/batch/batch_format.h"
#include "io/batch/consistency.h"
#include "io/batch/own_file.h"
#include "io/batch/reading.h"

namespace potwatch::batch {

tl::expected<Batch, Faults> readFile(const std::string& path) {
    const Result<std::string> bytes = bytesOf(path);
    if (!bytes) {
        return tl::unexpected(Faults{bytes.error()});
    }
    return readText(*bytes, path);
}

tl::expected<Batch, Faults> readText(std::string_view text, const std::string& name) {
    const Result<Table> document = documentOf(text, name, {.name = "batch file", .version = format_version});
    if (!document) {
        return tl::unexpected(Faults{document.error()});
    }
    Batch batch;
    batch.file = name;
    Reading reading(name, knownKeys());
    readTable(*document, Position{}, batchFormat(), Where{}, batch, reading);
    checkConsistency(batch, reading);
    if (Faults faults = reading.faults(); !faults.empty()) {
        return tl::unexpected(std::move(faults));
    }
    return batch;
}

std::string write(const Batch& batch) {
    std::string out;
    writeTable(batch, batchFormat(), Where{}, out);
    return out;
}

} // namespace potwatch::batch
