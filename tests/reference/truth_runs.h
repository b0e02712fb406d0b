// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/open.h"

#include <nlohmann/json.hpp>

#include <fstream>
#include <stdexcept>
#include <string>
#include <vector>

// The model runs in tests/reference/truth: what was read, and what is true.
namespace potwatch::reference {

inline std::string truthFile(const std::string& name) {
    return std::string(POTWATCH_SOURCE_DIR) + "/tests/reference/truth/" + name;
}

inline nlohmann::json truthOf(const std::string& run) {
    std::ifstream file(truthFile(run + ".truth.json"));
    return nlohmann::json::parse(file);
}

inline Run truthRun(const std::string& name) {
    const auto opened = session::openRun(truthFile(name + ".csv"), {});
    if (!opened) {
        throw std::runtime_error(describe(opened.error().front()));
    }
    Run run = opened->run;
    run.batch.uncertainty.thermocouple_k = 0.0; // the simulated probe is right but for its lag and noise
    return run;
}

inline std::vector<Run> truthRuns(const std::vector<std::string>& names) {
    std::vector<Run> runs;
    for (const std::string& name : names) {
        runs.push_back(truthRun(name));
    }
    return runs;
}

} // namespace potwatch::reference
