// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/drawing.h"
#include "app/session/run_view.h"
#include "tests/app/report/invented_analysis.h"

#include <QApplication>
#include <gtest/gtest.h>

#include <memory>

namespace potwatch::window {

// The vocabulary of the tests of form and page: a run of the book as they are given it.
inline std::shared_ptr<session::RunView> runView(const book::RunId& id = "1") {
    auto view = std::make_shared<session::RunView>();
    view->id = id;
    view->channels = {"pot_c", "air_c"};
    Batch& batch = view->notes.batch;
    batch.name = "rod 03";
    batch.started = WallTime{.utc_us = 1'000'000, .offset_s = std::nullopt};
    batch.charge.resin_g = 80.0;
    batch.events = {{.time_s = 120.0, .kind = "dose start", .text = ""}};
    batch.outcome.void_percent = 2.0;
    Batch previous;
    previous.name = "rod 02";
    previous.charge = {.resin_g = 75.0, .specific_heat_j_per_g_k = 1.9};
    previous.vessel = {.name = "beaker 250", .heat_capacity_j_per_k = 25.0};
    previous.events = {{.time_s = 1.0, .kind = "pour", .text = ""}};
    previous.outcome.void_percent = 9.0;
    view->previous = previous;
    view->previous_name = "rod 02";
    Analysis analysis = report::shortAnalysis();
    analysis.findings.inputs = {{"specific heat of the resin", "J/(g K)", 1.9, 0.25, "default"},
                                {"surroundings", "°C", 20.5, 0.5, "pot before the rise"}};
    analysis.findings.warnings = {"the probe's lag is not stated: give [sensor] lag_s", "the pot boiled"};
    view->analysis = std::make_shared<const Analysis>(std::move(analysis));
    return view;
}

inline void needsApplication() {
    ASSERT_TRUE(report::prepareDrawing());
}

} // namespace potwatch::window
