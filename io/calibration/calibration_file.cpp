// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/calibration/calibration_file.h"

#include "io/batch/batch_format.h"
#include "io/batch/own_file.h"
#include "io/batch/schema.h"
#include "io/batch/wording.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>

namespace potwatch::calibration_file {

namespace {

using namespace batch;

constexpr std::int64_t version_written = 1;

struct File {
    std::vector<KnownProbe> probes;
};

// format = 1. A newer one was refused before anything else was read.
Entry<File> formatKey() {
    Entry<File> entry{.name = "format"};
    entry.read = [](const Item& item, const Where&, File&, Reading& reading) {
        const auto* const version = std::get_if<std::int64_t>(&item.value);
        if (version == nullptr || *version < 1) {
            reading.fault(FaultKind::input, item.position, "format is not a version number", "write format = 1");
            return false;
        }
        return true;
    };
    entry.write = [](const File&, const Where&, std::string& out) {
        out += fmt::format("format = {}\n", version_written);
    };
    return entry;
}

// A key that fills a member of the probe within.
template<class M>
Entry<KnownProbe> probeKey(const std::string& name, M Probe::*member, const Limits& limits = any_number) {
    const Entry<Probe> inner = key(name, member, limits);
    Entry<KnownProbe> entry{.name = name};
    entry.read = [inner](const Item& item, const Where& where, KnownProbe& into, Reading& reading) {
        return inner.read(item, where, into.probe, reading);
    };
    entry.write = [inner](const KnownProbe& from, const Where& where, std::string& out) {
        inner.write(from.probe, where, out);
    };
    return entry;
}

const Schema<File>& fileFormat() {
    static const Schema<File> format{
        formatKey(),
        list(
            "probe", &File::probes,
            {
                key("device", &KnownProbe::device),
                required(probeKey("channel", &Probe::channel)),
                probeKey("lag_s", &Probe::lag_s, not_negative),
                probeKey("lag_u_s", &Probe::lag_u_s, not_negative),
                probeKey("lag_done", &Probe::lag_done),
                section<KnownProbe, ProbeCalibration>(
                    "calibration", calibrationFormat(),
                    [](KnownProbe& into) -> ProbeCalibration& { return into.probe.calibration.emplace(); },
                    [](const KnownProbe& from) { return from.probe.calibration ? &*from.probe.calibration : nullptr; }),
            }),
    };
    return format;
}

std::vector<KnownKey> knownKeysOfFile() {
    std::vector<KnownKey> keys;
    listKeys(fileFormat(), Where{}, keys);
    return keys;
}

void check(const File& file, Reading& reading) {
    for (std::size_t i = 0; i < file.probes.size(); ++i) {
        const KnownProbe& one = file.probes[i];
        const auto position = [&](const char* key_name) {
            return reading.positionOf(fmt::format("probe.{}.{}", i + 1, key_name)).value_or(Position{});
        };
        const auto twin = [&](const KnownProbe& other) {
            return other.device == one.device && other.probe.channel == one.probe.channel;
        };
        if (!one.probe.channel.empty() &&
            std::any_of(file.probes.begin(), file.probes.begin() + static_cast<std::ptrdiff_t>(i), twin)) {
            reading.fault(FaultKind::input, position("channel"),
                          fmt::format("channel {} of this device has a [[probe]] already", inQuotes(one.probe.channel)),
                          "keep one [[probe]] a device and channel");
        }
        if (const auto& known = one.probe.calibration;
            known && known->boiling_reading_c && !known->boiling_pressure_kpa) {
            reading.fault(FaultKind::range, position("calibration.boiling_reading_c"),
                          "boiling_reading_c is stated without boiling_pressure_kpa",
                          "state the air's pressure then: the boiling point goes by it");
        }
    }
}

} // namespace

tl::expected<std::vector<KnownProbe>, Faults> readFile(const std::string& path) {
    const Result<std::string> bytes = batch::bytesOf(path);
    if (!bytes) {
        return tl::unexpected(Faults{bytes.error()});
    }
    return readText(*bytes, path);
}

tl::expected<std::vector<KnownProbe>, Faults> readText(std::string_view text, const std::string& name) {
    const Result<Table> document =
        batch::documentOf(text, name, {.name = "file of calibrations", .version = version_written});
    if (!document) {
        return tl::unexpected(Faults{document.error()});
    }
    File file;
    Reading reading(name, knownKeysOfFile());
    readTable(*document, Position{}, fileFormat(), Where{}, file, reading);
    check(file, reading);
    if (Faults faults = reading.faults(); !faults.empty()) {
        return tl::unexpected(std::move(faults));
    }
    return std::move(file.probes);
}

std::string write(const std::vector<KnownProbe>& probes) {
    std::string out;
    writeTable(File{.probes = probes}, fileFormat(), Where{}, out);
    return out;
}

} // namespace potwatch::calibration_file
