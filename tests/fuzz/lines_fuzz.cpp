// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/baud.h"
#include "io/serial/device_file.h"
#include "io/serial/line_assembler.h"
#include "io/serial/line_decoder.h"
#include "io/serial/line_finder.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

// Whatever bytes a device sends, however they are cut into pieces, they become lines, and each line is understood as a
// whole or refused as a whole with a reason; nothing depends on where the pieces end. The same bytes as a device file
// are read or refused with faults that say what to do.

namespace {

using namespace potwatch;
using namespace potwatch::serial;

void require(bool holds, const char* what) {
    if (!holds) {
        std::fprintf(stderr, "does not hold: %s\n", what);
        std::abort();
    }
}

std::vector<Line> linesOf(std::string_view bytes, std::size_t piece) {
    LineAssembler assembler;
    assembler.restart(false);
    std::vector<Line> lines;
    for (std::size_t at = 0; at < bytes.size(); at += piece) {
        for (Line& line : assembler.take(bytes.substr(at, piece), Moment{})) {
            lines.push_back(std::move(line));
        }
    }
    for (Line& line : assembler.rest()) {
        lines.push_back(std::move(line));
    }
    return lines;
}

void judge(const LineDecoder& decoder, const Line& line) {
    const DecodedLine decoded = decoder.decode(line, {});
    if (decoded.kind != DecodedLine::Kind::values) {
        require(decoded.values.empty(), "a line that is not understood gives no number");
        require(decoded.kind != DecodedLine::Kind::refused || !decoded.reason.empty(), "a refusal has a reason");
        return;
    }
    const std::size_t columns = decoder.format().columns.size();
    require(decoded.values.size() == columns && decoded.open.size() == columns, "a value a column");
    for (std::size_t i = 0; i < columns; ++i) {
        require(!std::isinf(decoded.values[i]), "no value is infinite");
        require(std::isnan(decoded.values[i]) == !decoded.open[i].empty(), "no reading, and a word that says so");
    }
    require(line.has_end && !line.is_too_long, "only whole lines count");
}

void judgeDeviceFile(std::string_view text) {
    const auto device = parseDevice(text, "device.toml");
    if (!device) {
        require(!device.error().empty(), "a file that is refused has a fault");
        for (const Fault& fault : device.error()) {
            require(!fault.what.empty() && !fault.where.file.empty() && !fault.remedy.empty(),
                    "a fault says what, where and what to do");
        }
    } else if (device->lines) {
        require(LineDecoder::make(*device->lines).has_value(), "a format that was read can be used");
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view bytes(reinterpret_cast<const char*>(data), size);
    const std::vector<Line> lines = linesOf(bytes, std::max<std::size_t>(1, size));
    require(lines == linesOf(bytes, 3), "lines do not depend on how their bytes come");
    (void)judgeSpeed(bytes);
    std::vector<std::string> texts;
    for (const Line& line : lines) {
        require(!line.text.empty() && line.text.size() <= longest_line, "a line has bytes, and not too many");
        texts.push_back(line.text);
    }
    constexpr std::size_t most_lines = 50;
    texts.resize(std::min(texts.size(), most_lines));
    const Result<FoundFormat> found = findFormat(texts, "degC", 1);
    if (found) {
        const Result<LineDecoder> decoder = LineDecoder::make(found->format);
        require(decoder.has_value(), "a format that was found can be used");
        require(!inWords(found->format).empty(), "it can be told");
        for (const Line& line : lines) {
            judge(*decoder, line);
        }
    } else {
        require(!found.error().what.empty() && !found.error().remedy.empty(), "a fault says what and what to do");
    }
    judgeDeviceFile(bytes);
    return 0;
}
