// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/exit_code.h"

#include <algorithm>
#include <array>

namespace potwatch::cli {
namespace {

constexpr std::array<ExitCode, 8> codes{
    ExitCode::input,           // input
    ExitCode::input,           // range
    ExitCode::noAnswer,        // missing
    ExitCode::noAnswer,        // notConverged
    ExitCode::deviceOrStorage, // device
    ExitCode::deviceOrStorage, // storage: an input that cannot be read is `input` already (app/session/open.h)
    ExitCode::stopped,         // cancelled
    ExitCode::deviceOrStorage, // unsupported: this build or this machine lacks what it takes
};

constexpr std::array<ExitCode, 6> by_weight{ExitCode::success, ExitCode::noAnswer,        ExitCode::input,
                                            ExitCode::usage,   ExitCode::deviceOrStorage, ExitCode::stopped};

auto weight(ExitCode code) {
    return std::find(by_weight.begin(), by_weight.end(), code) - by_weight.begin();
}

} // namespace

ExitCode exitCodeOf(FaultKind kind) {
    return codes.at(static_cast<std::size_t>(kind));
}

ExitCode exitCodeOf(std::span<const Fault> faults) {
    ExitCode heaviest = ExitCode::success;
    for (const Fault& fault : faults) {
        const ExitCode code = exitCodeOf(fault.kind);
        heaviest = weight(code) > weight(heaviest) ? code : heaviest;
    }
    return heaviest;
}

} // namespace potwatch::cli
